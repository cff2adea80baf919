"""Lessons: Markdown files that each declare one skill in a TOML head and teach it in the text below."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from trainer.content.faults import Faults
from trainer.content.markdown import (
    SKILL,
    Example,
    Figure,
    Outline,
    RenderExample,
    RenderFigure,
    lesson_address,
    outline,
    render,
)
from trainer.worksheets.problem import LEVELS

SIZE_AT_MOST = 64 * 1024
FENCE = "+++"
STRANDS = "strands.toml"
KEYS: Mapping[str, type] = {
    "skill": str,
    "title": str,
    "can": str,
    "level": str,
    "safety": bool,
    "cautions": list,
    "sources": list,
}
KINDS = {str: "a text", bool: "true or false", list: "a list of texts"}


@dataclass(frozen=True)
class Lesson:
    """A lesson and the skill it declares."""

    skill: str
    strand: str
    title: str
    can: str
    level: str
    safety: bool
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    body: str
    path: Path

    @cached_property
    def outline(self) -> Outline:
        """What the body refers to and what is wrong with it."""
        return outline(self.body, (self.path.name,))

    @property
    def examples(self) -> tuple[Example, ...]:
        """Worked examples, in order."""
        return self.outline.examples

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Figures, in order."""
        return self.outline.figures

    def html(
        self,
        *,
        example: RenderExample,
        figure: RenderFigure,
        address: Callable[[str], str] = lesson_address,
    ) -> str:
        """The body as HTML, safe to embed; see `trainer.content.markdown.render`."""
        return render(self.body, example=example, figure=figure, address=address)


def read_strands(folders: Iterable[Path]) -> tuple[dict[str, str], list[str]]:
    """Read the titles of the strands, a later folder adding to an earlier one.

    Returns
    -------
    strands, faults
        Title by strand id, in the order of the files, and one line per fault.
    """
    strands: dict[str, str] = {}
    faults = Faults().within(STRANDS)
    for path in (folder / STRANDS for folder in folders):
        if not path.exists():
            continue
        try:
            table = tomllib.loads(path.read_text("utf-8-sig"))
        except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as fault:
            faults.add("file", path.name, f"cannot be read: {fault}")
            continue
        for strand, title in table.items():
            if not SKILL.fullmatch(f"{strand}.1"):
                faults.add("strand", strand, "is S and a number")
            elif not isinstance(title, str) or not title.strip():
                faults.add(strand, title, "is the title of the strand")
            else:
                strands[strand] = title
    return strands, faults.lines


def read_lessons(folders: Iterable[Path]) -> tuple[tuple[Lesson, ...], list[str]]:
    """Read the heads of all lessons of the folders; bodies are read when shown or checked.

    Returns
    -------
    lessons, faults
        The sound lessons in order of skill, and one line per fault: file, key, value, rule.
    """
    folders = tuple(folders)
    strands, lines = read_strands(folders)
    faults = Faults(lines)
    lessons: dict[str, Lesson] = {}
    for path in (path for folder in folders for path in sorted(folder.glob("*.md"))):
        lesson = _read_lesson(path, strands, faults.within(path.name))
        if lesson is None:
            continue
        if lesson.skill in lessons:
            first = lessons[lesson.skill].path.name
            faults.within(path.name).add("skill", lesson.skill, f"is declared already in {first}")
        else:
            lessons[lesson.skill] = lesson
    return tuple(sorted(lessons.values(), key=_order)), faults.lines


def check_bodies(
    lessons: Iterable[Lesson],
    problems: Collection[str] | None = None,
    figures: Collection[str] | None = None,
) -> list[str]:
    """Every fault of the bodies: formulas, links, headings, tables, examples, figures.

    Parameters
    ----------
    lessons : iterable of Lesson
        All lessons, for a link to a skill must find its lesson among them.
    problems, figures : collection of str, optional
        Known ids of problems and names of figures; not checked where left out.
    """
    lessons = tuple(lessons)
    skills = [lesson.skill for lesson in lessons]
    faults = Faults()
    for lesson in lessons:
        here = faults.within(lesson.path.name)
        faults.lines.extend(lesson.outline.faults)
        _check_names("link", lesson.outline.skills, skills, here)
        if problems is not None:
            _check_names("example", (each.problem for each in lesson.examples), problems, here)
        if figures is not None:
            _check_names("figure", (each.name for each in lesson.figures), figures, here)
    return faults.lines


def _check_names(key: str, names: Iterable[str], known: Collection[str], faults: Faults) -> None:
    for name in names:
        if name not in known:
            faults.name(key, name, known)


def _order(lesson: Lesson) -> tuple[int, ...]:
    return tuple(int(part) for part in lesson.skill[1:].split("."))


def _read_lesson(path: Path, strands: Mapping[str, str], faults: Faults) -> Lesson | None:
    before = len(faults.lines)
    parts = _read_parts(path, faults)
    if parts is None:
        return None
    head, body = parts
    _check_kinds(head, faults)
    if len(faults.lines) > before:
        return None
    _check_words(head, strands, faults)
    if not body.strip():
        faults.add("body", "nothing", "is required")
    if len(faults.lines) > before:
        return None
    return Lesson(
        skill=head["skill"],
        strand=head["skill"].partition(".")[0],
        title=head["title"].strip(),
        can=head["can"].strip(),
        level=head["level"],
        safety=head["safety"],
        cautions=tuple(head["cautions"]),
        sources=tuple(head["sources"]),
        body=body,
        path=path,
    )


def _read_parts(path: Path, faults: Faults) -> tuple[dict[str, Any], str] | None:
    """The head as a table and the body as text."""
    try:
        size = path.stat().st_size
        if size > SIZE_AT_MOST:
            faults.add("size", size, f"a lesson has at most {SIZE_AT_MOST} bytes")
            return None
        text = path.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as fault:
        faults.add("file", path.name, f"cannot be read: {fault}")
        return None
    first, _, rest = text.partition("\n")
    head, fence, body = f"\n{rest}".partition(f"\n{FENCE}\n")
    if first.rstrip() != FENCE or not fence:
        faults.add("head", first, f"is TOML between two lines of {FENCE}")
        return None
    try:
        return tomllib.loads(head), body
    except (tomllib.TOMLDecodeError, RecursionError) as fault:
        faults.add("head", path.name, f"cannot be read: {fault}")
        return None


def _check_kinds(head: Mapping[str, Any], faults: Faults) -> None:
    faults.unknown(head, KEYS)
    for key, kind in KEYS.items():
        if key not in head:
            faults.add(key, "nothing", "is required")
        elif not isinstance(head[key], kind) or (kind is list and not all(map(_is_text, head[key]))):
            faults.add(key, head[key], f"is {KINDS[kind]}")


def _check_words(head: Mapping[str, Any], strands: Mapping[str, str], faults: Faults) -> None:
    skill, level = head["skill"], head["level"]
    if not SKILL.fullmatch(skill):
        faults.add("skill", skill, "is written S3.2: strand, point, number")
    elif skill.partition(".")[0] not in strands:
        faults.name("skill", skill.partition(".")[0], strands)
    if level not in LEVELS:
        faults.name("level", level, LEVELS)
    for key in ("title", "can"):
        if not head[key].strip() or "\n" in head[key].strip():
            faults.add(key, head[key], "is one line")
    if not head["sources"]:
        faults.add("sources", "nothing", "says where the numbers come from")
    if head["safety"] and not head["cautions"]:
        faults.add("cautions", "nothing", "is required where safety = true")


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip())
