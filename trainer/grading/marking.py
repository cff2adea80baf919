"""One typed entry against what it may be: right, following from an earlier value, a known slip, or wrong.

The order of the tests is the table of rules in the contributors' guide. A :class:`Basis` holds all that a verdict
rests on, in plain values, so that an entry can be marked again from what was stored with it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from trainer.errors import OutOfRange
from trainer.grading.entries import Typed, read_entry
from trainer.language import gettext
from trainer.units import format_quantity
from trainer.worksheets.kinds import Kind, differing, frozen, is_plain, near, same
from trainer.worksheets.snapshot import KeptStep, Snapshot
from trainer.worksheets.worksheet import Worksheet

POWERS = (10.0, 100.0, 1000.0, 1e6)


@dataclass(frozen=True)
class Earlier:
    """A value that the learner has entered for a step, and whether it was right."""

    value: Any
    right: bool


@dataclass(frozen=True)
class KnownSlip:
    """A slip and the value it gives at the step asked."""

    name: str
    message: str
    value: Any


@dataclass(frozen=True)
class Basis:
    """All that the verdict on one entry rests on."""

    kind: Kind
    unit: str
    ask_unit: bool
    options: tuple[str, ...]
    decimal: str
    right: Any
    tolerance: float
    decimals: int
    rounding: float
    rule: str
    follows: Any = None
    mend: int = 0
    blocked: bool = False
    slips: tuple[KnownSlip, ...] = ()
    second_look: bool = False
    half_for_unit: bool = True

    def to_json(self) -> dict[str, Any]:
        """Plain dicts and lists."""
        return asdict(self)

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Basis:
        """The inverse of :meth:`to_json`, also after a journey through JSON text."""
        parts: dict[str, Any] = {key: frozen(value) for key, value in kept.items()}
        parts["slips"] = tuple(KnownSlip(s["name"], s["message"], frozen(s["value"])) for s in kept["slips"])
        return cls(**parts)


@dataclass(frozen=True)
class Mark:
    """A verdict; ``mark`` is None where the entry was not marked and the attempt is not used."""

    verdict: str
    mark: float | None
    message: str
    slip: str | None = None

    @property
    def counts(self) -> bool:
        """Whether this was an entry at all, or an invitation to type it again."""
        return self.mark is not None


def basis(
    snapshot: Snapshot,
    name: str,
    earlier: Mapping[str, Earlier] | None = None,
    worksheet: Worksheet | None = None,
    decimal: str = ".",
    second_look: bool = False,
    half_for_unit: bool = True,
) -> Basis:
    """What an entry for a step is judged against.

    ``earlier`` holds the learner's values of earlier steps, but none whose true value has been shown. Without the
    ``worksheet``, or with one of another version, nothing is followed up. Slips of earlier steps are not looked for
    where the learner has had that step right.
    """
    step, typed = snapshot.step(name), dict(earlier or {})
    passed = {key for key, value in typed.items() if value.right and key != name}
    typed = {key: value for key, value in typed.items() if key in step.needs}
    wrong = [key for key, value in typed.items() if not value.right]
    graph = (
        worksheet
        if worksheet and (worksheet.name, worksheet.version) == (snapshot.worksheet, snapshot.version)
        else None
    )
    pinned = {key: value.value for key, value in typed.items()} if wrong else {}
    order = [kept.name for kept in snapshot.steps]
    return Basis(
        kind=step.kind,
        unit=step.unit,
        ask_unit=step.ask_unit,
        options=step.options,
        decimal=decimal,
        right=step.value,
        tolerance=step.tolerance,
        decimals=step.decimals,
        rounding=step.rounding,
        rule=step.rule,
        follows=_followed(snapshot, step, graph, pinned) if graph and wrong else None,
        mend=min(order.index(key) for key in wrong) + 1 if wrong else 0,
        blocked=any(_beyond(snapshot.step(key), typed[key].value) for key in wrong),
        slips=tuple(_slips(snapshot, step, graph, pinned, passed, decimal)),
        second_look=second_look,
        half_for_unit=half_for_unit,
    )


def mark(text: str, against: Basis) -> Mark:
    """Mark a typed text."""
    typed = read_entry(text, against.kind, against.unit, against.options, against.decimal)
    if typed.refusal:
        return Mark("unread", None, typed.refusal)
    if against.ask_unit and against.kind == "number" and not typed.unit:
        return Mark("missing unit", None, gettext("A number alone is not a value here. Which unit is it in?"))
    if typed.foreign:
        wanted = gettext("A value in {unit} is wanted here.").format(unit=against.unit or gettext("plain numbers"))
        return Mark("unit", 0.0, wanted)
    return _mark_number(typed, against) if against.kind == "number" else _mark_exact(typed, against)


def _mark_number(typed: Typed, against: Basis) -> Mark:
    value, right, tolerance = typed.value, against.right, against.tolerance
    if near(value, right, tolerance):
        return _right(typed, against)
    return (
        _follows(value, against)
        or _named(value, against)
        or _scale(value, against)
        or _rounded(value, against)
        or _sign(value, against)
        or _wrong(against)
    )


def _mark_exact(typed: Typed, against: Basis) -> Mark:
    """Rows, choices and sequences: all of it right, or the first place to look at."""
    value = typed.value
    if against.kind in ("row", "states") and len(value) != len(against.right):
        wanted = gettext("{wanted} entries are wanted, {found} were found.")
        return Mark("unread", None, wanted.format(wanted=len(against.right), found=len(value)))
    if same(against.kind, value, against.right, against.tolerance):
        return _in_other_unit(typed, against) if typed.other_unit else Mark("right", 1.0, gettext("Right."))
    return _follows(value, against) or _named(value, against) or _wrong(against, value)


def _in_other_unit(typed: Typed, against: Basis) -> Mark:
    said = gettext("The value is right, given in {given}; {wanted} was asked.")
    return Mark("unit", 0.5 if against.half_for_unit else 0.0, said.format(given=typed.unit, wanted=against.unit))


def _right(typed: Typed, against: Basis) -> Mark:
    if typed.other_unit:
        return _in_other_unit(typed, against)
    off = abs(typed.value - against.right)
    if off < 0.5 * 10.0**-against.decimals:
        return Mark("right", 1.0, gettext("Right."))
    distance = format_quantity(off, against.decimals, against.unit, against.decimal)
    return Mark("right", 1.0, gettext("Right, {distance} from the unrounded value.").format(distance=distance))


def _follows(value: Any, against: Basis) -> Mark | None:
    if against.follows is None or not same(against.kind, value, against.follows, against.tolerance):
        return None
    if against.blocked:
        return Mark("mend earlier", 0.0, gettext("Mend step {n} first; this one rests on it.").format(n=against.mend))
    said = gettext("Follows from your value in step {n}; step {n} is the one to mend.")
    return Mark("follows", 1.0, said.format(n=against.mend))


def _named(value: Any, against: Basis) -> Mark | None:
    met = {slip.name: slip for slip in against.slips if same(against.kind, value, slip.value, against.tolerance)}
    if len(met) > 1:
        return Mark(
            "wrong",
            0.0,
            gettext("More than one slip leads here. Work the first step on its own and check it."),
        )
    return next((Mark("slip", 0.0, slip.message, slip.name) for slip in met.values()), None)


def _scale(value: float, against: Basis) -> Mark | None:
    powers = [power for p in POWERS for power in (p, 1 / p)] if value and against.right else []
    if not any(near(value, against.right * power, against.tolerance * power) for power in powers):
        return None
    said = gettext("The digits are right, the power of ten is not: check the decimal point and the prefix of the unit.")
    return Mark("scale", None if against.second_look else 0.0, said)


def _rounded(value: float, against: Basis) -> Mark | None:
    if against.rounding <= against.tolerance or not near(value, against.right, against.rounding):
        return None
    return Mark(
        "rounded early",
        0.5,
        gettext("Close, but rounded too early: keep one digit more in the steps before."),
    )


def _sign(value: float, against: Basis) -> Mark | None:
    if not near(-value, against.right, against.tolerance):
        return None
    return Mark("sign", 0.0, gettext("The size is right, the sign is not: which way does the difference go?"))


def _wrong(against: Basis, value: Any = None) -> Mark:
    said = gettext("Not this value.")
    if against.kind in ("row", "states"):
        places = differing(against.kind, value, against.right, against.tolerance)
        said = gettext("{wrong} of {all} differ, the first is number {n}.").format(
            wrong=len(places), all=len(value), n=places[0] + 1
        )
    elif against.kind == "several":
        missing, extra = len(set(against.right) - set(value)), len(set(value) - set(against.right))
        said = gettext("{missing} missing, {extra} too many.").format(missing=missing, extra=extra)
    elif against.kind == "order":
        said = gettext("Not in this order.")
    elif against.kind == "choice":
        said = gettext("Not this one.")
    return Mark("wrong", 0.0, f"{said} {gettext(against.rule)}".strip())


def _beyond(step: KeptStep, value: Any) -> bool:
    """A value that cannot be, or that makes the steps after it trivial."""
    return step.possible is not None and not step.possible[0] < value < step.possible[1]


def _followed(snapshot: Snapshot, step: KeptStep, graph: Worksheet, pinned: Mapping[str, Any]) -> Any:
    try:
        value = graph.solve(snapshot.given_values, pinned)[step.name]
    except (OutOfRange, ArithmeticError):
        return None
    return value if is_plain(value) else None


def _slips(
    snapshot: Snapshot,
    step: KeptStep,
    graph: Worksheet | None,
    pinned: Mapping[str, Any],
    passed: Collection[str],
    decimal: str,
) -> Iterator[KnownSlip]:
    """Slips of this step and those carried from earlier ones; after a wrong entry, this step's also worked from it."""
    for slip in snapshot.slips:
        said = snapshot.filled(gettext(slip.message), decimal)
        if step.name in slip.values and slip.step not in passed:
            yield KnownSlip(slip.name, said, slip.values[step.name])
        if graph and pinned and slip.step == step.name and slip.name in graph.slips:
            worked = graph.solve_slip(graph.slips[slip.name], snapshot.given_values, pinned)
            if worked is not None and step.name in worked:
                yield KnownSlip(slip.name, said, worked[step.name])
