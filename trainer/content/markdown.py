"""Lesson text: CommonMark with tables, formulas, worked examples and figures, made into HTML."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from trainer.content.faults import Faults
from trainer.content.formulas import FormulaRefused, mathml
from trainer.errors import TrainerError

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.rules_core import StateCore
    from markdown_it.token import Token

LENGTH_AT_MOST = 64 * 1024
SKILL = re.compile(r"S[1-9]\d?\.[1-9]\d?")
# No colon, no backslash, no second slash at the front: an address inside this program in every browser.
_INSIDE = re.compile(r"/?[\w.-][\w./%-]*(\?[\w=&%.-]*)?(#[\w.-]*)?")
_ALIGNED = {"text-align:left": "left", "text-align:center": "center", "text-align:right": "right"}

RenderExample = Callable[[str, int], str]
RenderFigure = Callable[[str, Mapping[str, Any], str], str]


@dataclass(frozen=True)
class Example:
    """A worked example in a lesson: the variant that a seed draws of a problem."""

    problem: str
    seed: int


@dataclass(frozen=True)
class Figure:
    """A figure in a lesson: its name, the values to draw it with and its caption."""

    name: str
    values: Mapping[str, Any]
    caption: str


@dataclass(frozen=True)
class Outline:
    """What a text refers to, and what is wrong with it."""

    examples: tuple[Example, ...]
    figures: tuple[Figure, ...]
    skills: tuple[str, ...]
    faults: tuple[str, ...]


def lesson_address(skill: str) -> str:
    """Where the lesson of a skill is shown, unless the caller says otherwise."""
    return f"/lessons/{skill}"


def render(
    text: str,
    *,
    example: RenderExample,
    figure: RenderFigure,
    address: Callable[[str], str] = lesson_address,
) -> str:
    """Make a text into HTML that is safe to embed in a page.

    Parameters
    ----------
    text : str
        CommonMark with tables and dollar formulas; raw HTML in it is shown as text.
    example : callable
        (problem, seed) to trusted HTML of the worked example.
    figure : callable
        (name, values, caption) to trusted HTML of the figure.
    address : callable
        Skill to the address of its lesson, for links written ``skill:S3.2``.

    Returns
    -------
    str
        Headings from h2 down. What a check would fault is shown as plain text or code.

    Raises
    ------
    TrainerError
        Where the text is over 64 k characters.
    """
    _check_length(text)
    env = {"example": example, "figure": figure, "address": address}
    html: str = _parser().render(text, env)
    return html


def outline(text: str, where: tuple[str, ...] = ()) -> Outline:
    """Read what a text refers to and collect its faults, each line starting with ``where``."""
    _check_length(text)
    faults = Faults(where=where)
    env: dict[str, Any] = {"faults": faults, "skills": []}
    tokens = _parser().parse(text, env)
    examples, figures = [], []
    for token in _flat(tokens):
        if token.type in ("math_inline", "math_block"):
            _check_formula(token, faults)
        elif token.type == "fence":
            found = _directive(token, faults)
            if isinstance(found, Example):
                examples.append(found)
            elif isinstance(found, Figure):
                figures.append(found)
    _check_headings(tokens, faults)
    _check_table_heads(tokens, faults)
    return Outline(tuple(examples), tuple(figures), tuple(env["skills"]), tuple(faults.lines))


def _check_length(text: str) -> None:
    if len(text) > LENGTH_AT_MOST:
        raise TrainerError(f"text has {len(text)} characters; at most {LENGTH_AT_MOST} are read")


@lru_cache(maxsize=1)
def _parser() -> MarkdownIt:
    from markdown_it import MarkdownIt  # heavy: only when a text is shown
    from mdit_py_plugins.dollarmath import dollarmath_plugin

    parser = MarkdownIt("commonmark", {"html": False, "xhtmlOut": False}).enable("table")
    parser.use(dollarmath_plugin, allow_labels=False, allow_space=False, allow_digits=False, renderer=_formula)
    parser.validateLink = lambda url: True  # type: ignore[method-assign]  # judged in _settle, which keeps the fault
    parser.core.ruler.push("settle", _settle)
    parser.add_render_rule("fence", _fence)
    return parser


def _flat(tokens: Sequence[Token]) -> list[Token]:
    return [each for token in tokens for each in (token, *(token.children or ()))]


def _settle(state: StateCore) -> None:
    """Give headings, tables and links their final shape, before anything is written."""
    for token in state.tokens:
        if token.type in ("heading_open", "heading_close") and token.tag == "h1":
            token.tag = "h2"  # the title of the page is its only h1
        elif token.type in ("th_open", "td_open"):
            _settle_cell(token)
        elif token.children:
            token.children = _settle_links(token.children, state.env)


def _settle_cell(token: Token) -> None:
    """Alignment as a class, for style attributes are barred from the pages; a scope for heads."""
    aligned = _ALIGNED.get(str(token.attrs.pop("style", "")))
    if aligned:
        token.attrSet("class", aligned)
    if token.type == "th_open":
        token.attrSet("scope", "col")


def _settle_links(tokens: Sequence[Token], env: Any) -> list[Token]:
    kept: list[Token] = []
    opened: list[bool] = []
    for token in tokens:
        if token.type == "link_open":
            opened.append(_settle_link(token, env))
            if opened[-1]:
                kept.append(token)
        elif token.type == "link_close":
            if opened.pop():
                kept.append(token)
        elif token.type == "image":
            _fault(env, "image", token.attrs.get("src", ""), "is not shown: a figure is a figure block")
            kept.append(_as_text(token))
        else:
            kept.append(token)
    return kept


def _settle_link(token: Token, env: Any) -> bool:
    """Whether the link may stay; one to a skill gets the address of its lesson."""
    href = str(token.attrs.get("href", ""))
    skill = href.removeprefix("skill:")
    if skill != href and SKILL.fullmatch(skill):
        env.setdefault("skills", []).append(skill)
        token.attrs = {"href": env["address"](skill)} if "address" in env else {"href": href}
        return True
    if _INSIDE.fullmatch(href):
        return True
    _fault(env, "link", href, "leads out; a link is skill:S3.2 or an address inside the program")
    return False


def _as_text(token: Token) -> Token:
    token.type, token.tag, token.children, token.attrs = "text", "", None, {}
    return token


def _fault(env: Any, key: str, value: Any, rule: str) -> None:
    if "faults" in env:
        env["faults"].add(key, value, rule)


def _formula(latex: str, how: Mapping[str, Any]) -> str:
    try:
        return mathml(latex, display=bool(how["display_mode"]))
    except FormulaRefused:
        return f"<code>{escape(latex)}</code>"


def _fence(renderer: Any, tokens: Sequence[Token], index: int, options: Any, env: Any) -> str:
    found = _directive(tokens[index], Faults())
    if isinstance(found, Example):
        return str(env["example"](found.problem, found.seed))
    if isinstance(found, Figure):
        return str(env["figure"](found.name, found.values, found.caption))
    return f"<pre><code>{escape(tokens[index].content)}</code></pre>\n"


def _directive(token: Token, faults: Faults) -> Example | Figure | None:
    """The example or figure a fence stands for; None for plain code and for a faulty one."""
    kind = token.info.strip()
    if kind not in ("example", "figure"):
        return None
    try:
        table = tomllib.loads(token.content)
    except (tomllib.TOMLDecodeError, RecursionError) as fault:
        faults.add(kind, token.content.strip(), f"cannot be read: {fault}")
        return None
    return _example(table, faults.within(kind)) if kind == "example" else _figure(table, faults.within(kind))


def _example(table: dict[str, Any], faults: Faults) -> Example | None:
    problem, seed = table.get("problem"), table.get("seed")
    named = isinstance(problem, str) and problem.strip()
    drawn = isinstance(seed, int) and not isinstance(seed, bool) and seed >= 0
    faults.unknown(table, ("problem", "seed"))
    if not named:
        faults.add("problem", problem, "is the id of a problem")
    if not drawn:
        faults.add("seed", seed, "is a whole number from 0")
    return Example(table["problem"], table["seed"]) if named and drawn else None


def _figure(table: dict[str, Any], faults: Faults) -> Figure | None:
    faulty = [key for key in ("name", "caption") if not str(table.get(key, "")).strip()]
    faulty += [key for key in ("name", "caption") if key in table and not isinstance(table[key], str)]
    for key in faulty:
        faults.add(key, table.get(key), "is a text and required")
    if faulty:
        return None
    values = {key: value for key, value in table.items() if key not in ("name", "caption")}
    return Figure(table["name"], values, table["caption"])


def _check_formula(token: Token, faults: Faults) -> None:
    try:
        mathml(token.content.strip(), display=token.type == "math_block")
    except FormulaRefused as fault:
        faults.add("formula", token.content.strip(), fault.why)


def _check_headings(tokens: Sequence[Token], faults: Faults) -> None:
    last = 1
    for token, inner in pairwise(tokens):
        if token.type == "heading_open":
            level = len(token.markup) if token.markup.startswith("#") else int(token.tag[1])
            if level == 1 or token.markup == "=":
                faults.add("heading", inner.content, "starts with ##: the title is the only # of the page")
            elif level > last + 1:
                faults.add("heading", inner.content, f"skips a level: {'#' * (last + 1)} comes first")
            last = max(level, 2)


def _check_table_heads(tokens: Sequence[Token], faults: Faults) -> None:
    for token, inner in pairwise(tokens):
        if token.type == "th_open" and not inner.content.strip():
            faults.add("table", "nothing", "has words in every head cell, for screen readers")
