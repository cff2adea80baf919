"""Worksheets written as data in a question bank: givens, steps and slips with their arithmetic."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, get_args

from trainer import units
from trainer.content.faults import Faults
from trainer.errors import TrainerError
from trainer.worksheets.expressions import node
from trainer.worksheets.kinds import Kind
from trainer.worksheets.notation import by_word, formula
from trainer.worksheets.snapshot import PLACEHOLDER
from trainer.worksheets.tolerance import Tolerance, absolute, of_span, relative, share_of
from trainer.worksheets.worksheet import FigureUse, Formula, Node, Worksheet

KINDS = get_args(Kind)
SHEET_KEYS = (
    "name", "title", "skill", "version", "figure", "cautions", "sources", "constants", "given", "step", "slip",
    "refuse",
)  # fmt: skip
GIVEN_KEYS = ("name", "title", "symbol", "unit", "kind", "options", "hidden", "decimals", "prepare")
STEP_KEYS = (
    "name", "title", "value", "formula", "rule", "symbol", "unit", "kind", "options", "over", "tolerance", "decimals",
    "possible", "ask_unit", "skill", "slip",
)  # fmt: skip
SHARED_KEYS = ("name", "from")
SLIP_KEYS = ("value", "say", "coincides", "replaces", "name", "step", "of")
TOLERANCES: Mapping[str, Callable[..., Tolerance]] = {
    "of_span": lambda percent, lower="lower", upper="upper": of_span(percent, lower, upper),
    "share": lambda share, of: share_of(of, share),
    "relative": lambda percent, at_least=0.0: relative(percent, at_least),
}
UNIT_WORDS = ("as ", "difference as ")
NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
SHEET_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
LONGEST_NAME, LONGEST_TEXT, DECIMALS_AT_MOST = 60, 600, 9
# Work on a sheet grows with the square and more of these.
AT_MOST: Mapping[str, int] = {"given": 60, "step": 20, "slip": 60, "refuse": 20, "constants": 60}
TEXTS = frozenset(("title", "symbol", "unit", "formula", "rule", "over", "skill", "say", "step", "of", "from"))
LISTS = frozenset(("options", "cautions", "sources"))
SWITCHES = frozenset(("hidden", "ask_unit", "coincides"))


def read_worksheets(tables: Any, bank: str, known: dict[str, Worksheet], faults: Faults) -> None:
    """Build the worksheets of one bank and add them to those known; what is wrong is added to the faults."""
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        faults.add("worksheet", tables, "is written as [[worksheet]]")
        return
    for number, table in enumerate(tables, 1):
        here = faults.within(str(table.get("name", f"worksheet {number}")))
        before = len(here.lines)
        sheet = _build(table, known, here)
        if sheet is not None and sheet.name in known:
            here.add("name", sheet.name, "is used already")
        if sheet is not None and len(here.lines) == before:
            sheet.bank, known[sheet.name] = bank, sheet


def _build(table: dict[str, Any], known: Mapping[str, Worksheet], faults: Faults) -> Worksheet | None:
    faults.unknown(table, SHEET_KEYS)
    before = len(faults.lines)
    _check_kinds(table, faults)
    for part, most in AT_MOST.items():
        kind = dict if part == "constants" else list
        if not isinstance(table.get(part, kind()), kind) or len(table.get(part, ())) > most:
            faults.add(part, "...", f"is a {'table' if kind is dict else 'list'} of at most {most}")
    if "name" in table and not (_is_short(table["name"]) and SHEET_NAME.fullmatch(table["name"])):
        faults.add("name", table["name"], "has small letters, digits and single hyphens")
    if not _is_whole(table.get("version", 1), 1, 10_000):
        faults.add("version", table["version"], "is a whole number from 1 on")
    if len(faults.lines) > before:
        return None
    if missing := [key for key in ("name", "title", "skill", "step") if not table.get(key)]:
        faults.add(missing[0], "nothing", "is required")
        return None
    figure = table.get("figure", {})
    if not isinstance(figure, dict) or not all(isinstance(value, str) for value in figure.values()):
        faults.add("figure", figure, 'is written { name = "...", ... } with the names of givens and steps')
        return None
    figure = dict(figure)
    sheet = Worksheet(
        table["name"],
        table["title"],
        table["skill"],
        version=table.get("version", 1),
        figure=FigureUse(figure.pop("name"), figure) if "name" in figure else None,
        cautions=tuple(table.get("cautions", ())),
        sources=tuple(table.get("sources", ())),
    )
    for name, value in table.get("constants", {}).items():
        _try(_add_constant, sheet, {"name": name, "value": value}, faults.within(name))
    adders: Mapping[str, Callable[[Worksheet, Any, Faults], None]] = {
        "given": _add_given,
        "step": partial(_add_step, known),
        "slip": _add_slip,
    }
    for part, add in adders.items():
        for entry in table.get(part, ()):
            name = str(entry.get("name", part)) if isinstance(entry, dict) else part
            _try(add, sheet, entry, faults.within(name))
    for text in table.get("refuse", ()):
        _try(_add_refusal, sheet, text, faults.within("refuse"))
    return sheet


def _try(add: Callable[[Worksheet, Any, Faults], None], sheet: Worksheet, entry: Any, faults: Faults) -> None:
    """Add one part; a fault of any kind becomes a line, unless it has been told where it was found."""
    before = len(faults.lines)
    try:
        add(sheet, entry, faults)
    except (TrainerError, ValueError, TypeError, LookupError, AttributeError, ArithmeticError, StopIteration) as fault:
        if len(faults.lines) == before:
            told = str(fault) if isinstance(fault, TrainerError | ValueError) else f"is wrong: {fault!r}"
            faults.add("entry", entry, told)


def _add_constant(sheet: Worksheet, entry: dict[str, Any], faults: Faults) -> None:
    """A number or text of the worksheet, a row of them, or a table of what stands for each word."""
    _check_name(entry, faults)
    value = entry["value"]
    sheet.constants[entry["name"]] = (
        {key: _constant(cell) for key, cell in value.items()} if isinstance(value, dict) else _constant(value)
    )


def _constant(value: Any) -> float | str | tuple[Any, ...]:
    if isinstance(value, list) and not any(isinstance(cell, list) for cell in value):
        return tuple(_constant(cell) for cell in value)
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError("a constant is a number, a text, a list of them, or a table of these")
    return value if isinstance(value, str) else float(value)


def _add_given(sheet: Worksheet, entry: dict[str, Any], faults: Faults) -> None:
    faults.unknown(entry, GIVEN_KEYS)
    _check_name(entry, faults)
    options = {key: entry[key] for key in GIVEN_KEYS if key in entry and key not in ("name", "title", "prepare")}
    _check(options, faults)
    if "prepare" in entry:
        options["prepare"] = _node(sheet, "prepare", entry["prepare"], faults)
    sheet.given(entry["name"], entry["title"], **(options | {"options": _options(sheet, entry)}))


def _add_step(known: Mapping[str, Worksheet], sheet: Worksheet, entry: dict[str, Any], faults: Faults) -> None:
    """The next step: one of its own, or one that an earlier worksheet has, with the slips of it."""
    faults.unknown(entry, SHARED_KEYS if "from" in entry else STEP_KEYS)
    _check_name(entry, faults)
    if "from" in entry:
        if entry["from"] not in known or entry["name"] not in known[entry["from"]].steps:
            raise ValueError(f"{entry['from']} is no worksheet above with a step {entry['name']}")
        sheet.share_step(known[entry["from"]].steps[entry["name"]])
        return
    plain = ("name", "title", "value", "formula", "tolerance", "slip", "possible", "options")
    options = {key: entry[key] for key in STEP_KEYS if key in entry and key not in plain}
    _check(options, faults)
    work = _node(sheet, "value", entry["value"], faults)
    options["formula"] = _formula(sheet, entry, faults)
    options["options"] = _options(sheet, entry)
    if "tolerance" in entry:
        options["tolerance"] = _tolerance(entry["tolerance"])
    if "possible" in entry:
        low, high = entry["possible"]
        options["possible"] = (float(low), float(high))
    sheet.add_step(entry["name"], entry["title"], work, **options)
    for name, slip in entry.get("slip", {}).items():
        _try(_add_slip, sheet, {"name": name, "of": entry["name"]} | slip, faults.within(name))


def _add_slip(sheet: Worksheet, entry: dict[str, Any], faults: Faults) -> None:
    """A slip of one step, or one that replaces any nodes (``replaces``) and shows first at a step."""
    faults.unknown(entry, SLIP_KEYS)
    _check_name(entry, faults)
    _check_places(sheet, "say", entry["say"], faults)
    if len(sheet.slips) >= AT_MOST["slip"]:
        raise ValueError(f"a worksheet has at most {AT_MOST['slip']} slips")
    if "replaces" in entry:
        replaced = {name: _node(sheet, name, text, faults) for name, text in entry["replaces"].items()}
        sheet.add_slip(entry["say"], entry["name"], entry["step"], replaced, bool(entry.get("coincides", False)))
        return
    value = _node(sheet, "value", entry["value"], faults)
    sheet.add_slip_of(entry["of"], entry["say"], entry["name"], value, bool(entry.get("coincides", False)))


def _add_refusal(sheet: Worksheet, text: str, faults: Faults) -> None:
    sheet.refusals.append(_node(sheet, "refuse", text, faults))


def _options(sheet: Worksheet, entry: Mapping[str, Any]) -> tuple[str, ...]:
    """The words to choose from; the name of a constant stands for its text."""
    return tuple(str(sheet.constants.get(option, option)) for option in entry.get("options", ()))


def _formula(sheet: Worksheet, entry: Mapping[str, Any], faults: Faults) -> Formula:
    """The formula that is written, the one of several for a word, or the one that follows from the expression."""
    written = entry.get("formula")
    if written is None:
        return formula(str(entry["value"]), sheet.constants)
    if isinstance(written, dict):
        _node(sheet, "formula", written["by"], faults)
        return by_word(written["by"], written, sheet.constants)
    return str(written)


def _node(sheet: Worksheet, key: str, text: Any, faults: Faults) -> Node:
    try:
        return node(str(text), sheet.constants)
    except TrainerError as fault:
        faults.add(key, text, str(fault))
        raise


def _tolerance(given: Any) -> Tolerance:
    if isinstance(given, dict):
        kind = next(iter(given))
        rest = {key: value for key, value in given.items() if key != kind}
        made = TOLERANCES[kind](given[kind], **rest)
        numbers = [value for value in given.values() if not isinstance(value, str)]
    else:
        made, numbers = absolute(float(given)), [given]
    if not all(isinstance(number, int | float) and 0 <= number < math.inf for number in numbers):
        raise ValueError("a tolerance is made of numbers from 0 on")
    return made


def _check(options: Mapping[str, Any], faults: Faults) -> None:
    if options.get("kind", KINDS[0]) not in KINDS:
        faults.name("kind", options["kind"], KINDS)
    if not _is_whole(options.get("decimals", 0), 0, DECIMALS_AT_MOST):
        faults.add("decimals", options["decimals"], f"is a whole number from 0 to {DECIMALS_AT_MOST}")
    unit = options.get("unit", "")
    if not unit.startswith(UNIT_WORDS):
        try:
            units.unit(unit)
        except TrainerError as fault:
            faults.add("unit", unit, str(fault))


def _check_name(entry: Mapping[str, Any], faults: Faults) -> None:
    """Names are used in expressions and in addresses of a page; all texts are short."""
    if not (_is_short(entry["name"]) and NAME.fullmatch(entry["name"])):
        faults.add("name", entry["name"], f"has letters, digits and _, at most {LONGEST_NAME} of them")
    _check_kinds(entry, faults)


def _check_kinds(entry: Mapping[str, Any], faults: Faults) -> None:
    for key, value in entry.items():
        if isinstance(value, list) and key in AT_MOST:
            continue
        texts = value.values() if key == "formula" and isinstance(value, dict) else (value,)
        if key in TEXTS and not all(isinstance(text, str) and len(text) <= LONGEST_TEXT for text in texts):
            faults.add(key, value, f"is a text of at most {LONGEST_TEXT} characters")
        elif key in LISTS and not (isinstance(value, list) and all(isinstance(each, str) for each in value)):
            faults.add(key, value, "is a list of texts")
        elif key in SWITCHES and not isinstance(value, bool):
            faults.add(key, value, "is true or false")


def _check_places(sheet: Worksheet, key: str, text: str, faults: Faults) -> None:
    """A sentence may hold the names of givens and steps in braces, and no others."""
    for match in PLACEHOLDER.finditer(text):
        if match[1] not in sheet.givens and match[1] not in sheet.steps:
            faults.name(key, match[1], (*sheet.givens, *sheet.steps))


def _is_short(name: Any) -> bool:
    return isinstance(name, str) and 0 < len(name) <= LONGEST_NAME


def _is_whole(value: Any, lowest: int, highest: int) -> bool:
    return type(value) is int and lowest <= value <= highest
