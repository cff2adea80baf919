"""The form of a problem set: what is typed in it, kept as it was typed, and the plan it stands for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import count, takewhile
from typing import TypeVar
from uuid import UUID

from werkzeug.datastructures import MultiDict

from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.practice.plans import Chosen, Fault, Plan
from trainer.practice.reference import read_typed
from trainer.practice.sheet import MODES
from trainer.web.due_times import date_text, read_moment, time_text
from trainer.web.practice import UNPRINTABLE
from trainer.web.visits import decimal_sign

Found = TypeVar("Found")


@dataclass(frozen=True)
class Row:
    """A chosen problem as the form has it; ``id`` is that of its place in the set, ``position`` where it is wanted."""

    problem: str
    mode: str = MODES[0]
    weight: str = "1"
    id: str = ""
    position: str = ""


@dataclass(frozen=True)
class Typed:
    """The texts of the boxes, and the problems chosen."""

    texts: Mapping[str, str]
    rows: tuple[Row, ...] = ()


def as_typed(plan: Plan) -> Typed:
    """A plan as the form shows it."""
    texts = {
        "title": plan.title,
        "kind": plan.kind,
        "numbers": plan.numbers,
        "due_date": date_text(plan.due),
        "due_time": time_text(plan.due),
        "pass_mark": _number_text(100 * plan.pass_mark),
        "tries": str(plan.tries),
        "minutes": str(plan.minutes or ""),
        "note": plan.note,
    }
    rows = (Row(each.problem, each.mode, _number_text(each.weight), str(each.id or "")) for each in plan.problems)
    return Typed(texts, _numbered(rows))


def sent(form: MultiDict[str, str]) -> Typed:
    """What a form holds: those to be taken out are gone, the others in their new order, what is ticked at the end."""
    names = as_typed(Plan("")).texts
    texts = {name: form.get(name, "").replace("\r\n", "\n").translate(UNPRINTABLE) for name in names}
    numbers = takewhile(lambda number: f"problem-{number}" in form, count(1))
    stay = _ordered((number, _row(form, number)) for number in numbers if f"out-{number}" not in form)
    mode = stay[-1].mode if stay else MODES[0]
    return Typed(texts, _numbered((*stay, *(Row(name, mode) for name in form.getlist("problem")))))


def with_earlier(typed: Typed, earlier: Plan, title: str) -> Typed:
    """A form with the problems of an earlier set at the end, and its settings wherever nothing else was typed."""
    fresh, taken = as_typed(Plan("")), as_typed(replace(earlier, title=title, due=None))
    texts = {name: taken.texts[name] if text == fresh.texts[name] else text for name, text in typed.texts.items()}
    return Typed(texts, _numbered((*typed.rows, *(replace(row, id="") for row in taken.rows))))


class Faults(list[Fault]):
    """What of a form cannot be read, each beside its box."""

    def take(self, place: str, work: Callable[[], Found], otherwise: Found) -> Found:
        """Read a box; where it cannot be read, the fault is noted and ``otherwise`` stands for it."""
        try:
            return work()
        except TrainerError as fault:
            self.append((place, str(fault)))
            return otherwise


def read_plan(typed: Typed) -> tuple[Plan, Faults]:
    """The plan that a form stands for, and what of it cannot be read; where it cannot, the usual value stands."""
    faults, texts, usual = Faults(), typed.texts, Plan("")
    plan = Plan(
        title=texts["title"],
        problems=tuple(_chosen(number, row, faults) for number, row in enumerate(typed.rows, 1)),
        kind=texts["kind"],
        numbers=texts["numbers"],
        due=faults.take("due", lambda: read_moment(texts["due_date"], texts["due_time"]), None),
        pass_mark=faults.take("pass_mark", lambda: _number(texts["pass_mark"], "%") / 100, usual.pass_mark),
        tries=faults.take("tries", lambda: read_whole(texts["tries"]), usual.tries),
        minutes=faults.take("minutes", lambda: _whole_or_none(texts["minutes"]), None),
        note=texts["note"],
    )
    return plan, faults


def read_whole(text: str) -> int:
    """A whole number as it was typed.

    Raises
    ------
    TrainerError
        If it is none.
    """
    digits = text.strip()
    if not (digits.isascii() and digits.removeprefix("-").isdecimal() and len(digits) <= 9):
        raise TrainerError(gettext("This is a whole number, such as 40."))
    return int(digits)


def _chosen(number: int, row: Row, faults: Faults) -> Chosen:
    if row.position != str(number):
        faults.append((f"place {number}", gettext("A place is a whole number, 1 for the first.")))
    weight = faults.take(f"weight {number}", lambda: _number(row.weight), 1.0)
    return Chosen(row.problem, row.mode, weight, _uuid(row.id))


def _whole_or_none(text: str) -> int | None:
    return read_whole(text) if text.strip() else None


def _row(form: MultiDict[str, str], number: int) -> Row:
    names = {"problem": "problem", "mode": "mode", "weight": "weight", "id": "place", "position": "position"}
    texts = {name: form.get(f"{box}-{number}", "").translate(UNPRINTABLE) for name, box in names.items()}
    return Row(**(texts | {"position": texts["position"].strip() or str(number)}))


def _ordered(rows: Iterable[tuple[int, Row]]) -> list[Row]:
    """Rows, each with its old place, in the order wanted: one moved up stands before the one whose place it takes, one
    moved down behind it."""

    def key(entry: tuple[int, Row]) -> tuple[int, int]:
        place, row = entry
        wanted = int(row.position) if _is_position(row.position) else place
        return wanted, (wanted > place) - (wanted < place)

    return [row for _, row in sorted(rows, key=key)]


def _numbered(rows: Iterable[Row]) -> tuple[Row, ...]:
    """Rows with the places they have now; what cannot be a place stays as it was typed."""
    return tuple(
        replace(row, position=str(number)) if not row.position or _is_position(row.position) else row
        for number, row in enumerate(rows, 1)
    )


def _is_position(text: str) -> bool:
    return text.isascii() and text.isdecimal() and 0 < len(text) <= 4


def _number(text: str, unit: str = "") -> float:
    reading = read_typed(text, decimal_sign())
    if reading.unit not in ("", unit):
        raise TrainerError(gettext("Only a number stands here, not {unit}.").format(unit=reading.unit))
    return reading.number


def _number_text(value: float) -> str:
    return f"{value:.10g}".replace(".", decimal_sign())


def _uuid(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None
