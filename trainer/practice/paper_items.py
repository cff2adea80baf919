"""What stands on a paper and on its key, in plain values: one item for each problem."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from trainer.language import gettext
from trainer.units import format_quantity
from trainer.worksheets import solution
from trainer.worksheets.draw import decimals_of
from trainer.worksheets.kinds import Kind
from trainer.worksheets.snapshot import KeptGiven, KeptSlip, KeptStep, Snapshot, written


@dataclass(frozen=True)
class GivenLine:
    """A given value; the symbol is LaTeX, and words are told from figures."""

    title: str
    symbol: str
    value: str
    unit: str
    words: bool


@dataclass(frozen=True)
class Drawn:
    """A value that goes into a figure."""

    value: Any
    unit: str
    decimals: int
    title: str


@dataclass(frozen=True)
class OpenFigure:
    """A figure by name, with what it is drawn from; nothing of the answers."""

    name: str
    values: tuple[tuple[str, Drawn], ...]


@dataclass(frozen=True)
class Blank:
    """A step to be filled in: boxes to write into, or options and times to tick."""

    number: int
    title: str
    symbol: str
    kind: Kind
    unit: str
    ask_unit: bool
    tolerance: str
    options: tuple[str, ...]
    labels: tuple[str, ...]


@dataclass(frozen=True)
class Item:
    """A problem on a paper."""

    number: int
    problem: str
    seed: int
    skill: str
    title: str
    text: str
    find: str
    givens: tuple[GivenLine, ...]
    figure: OpenFigure | None
    cautions: tuple[str, ...]
    steps: tuple[Blank, ...]


@dataclass(frozen=True)
class Wrong:
    """What a slip leads to: at its own step, and at the answer where that is another one."""

    value: str
    answer: str
    message: str


@dataclass(frozen=True)
class WorkedStep:
    """A step with its value, its formula in symbols and in numbers as LaTeX, and the slips made at it."""

    number: int
    title: str
    value: str
    tolerance: str
    symbols: str
    numbers: str
    rule: str
    slips: tuple[Wrong, ...]


@dataclass(frozen=True)
class KeyItem:
    """A problem on a key, with the seed that draws its numbers again."""

    number: int
    problem: str
    seed: int
    skill: str
    title: str
    steps: tuple[WorkedStep, ...]
    sources: tuple[str, ...]


def paper_item(kept: Snapshot, number: int, decimal: str) -> Item:
    """A problem to be worked."""
    figure = _figure(kept)
    drawn = set(kept.figure.values.values()) if kept.figure else set()
    return Item(
        number=number,
        problem=kept.problem,
        seed=kept.seed,
        skill=kept.skill,
        title=gettext(kept.title),
        text=kept.text(decimal),
        find=gettext(kept.answer.title),
        givens=tuple(
            _given(each, decimal)
            for each in kept.shown_givens
            if each.kind != "row" or each.name not in drawn  # a row that the figure shows need not be listed
        ),
        figure=figure,
        cautions=tuple(map(gettext, kept.cautions)),
        steps=tuple(_blank(kept, step, at, decimal) for at, step in enumerate(kept.steps, 1)),
    )


def key_item(kept: Snapshot, number: int, decimal: str) -> KeyItem:
    """The same problem worked."""
    return KeyItem(
        number=number,
        problem=kept.problem,
        seed=kept.seed,
        skill=kept.skill,
        title=gettext(kept.title),
        steps=tuple(_worked(kept, step, at, decimal) for at, step in enumerate(kept.steps, 1)),
        sources=tuple(map(gettext, kept.sources)),
    )


def _given(given: KeptGiven, decimal: str) -> GivenLine:
    value = written(given.kind, given.value, given.decimals, decimal)
    return GivenLine(gettext(given.title), given.symbol, value, given.unit, given.kind not in ("number", "row"))


def _figure(kept: Snapshot) -> OpenFigure | None:
    if kept.figure is None:
        return None
    givens = {given.name: given for given in kept.givens}
    takes = [(place, givens[name]) for place, name in sorted(kept.figure.values.items()) if name in givens]
    return OpenFigure(
        kept.figure.name,
        tuple((place, Drawn(given.value, given.unit, given.decimals, given.title)) for place, given in takes),
    )


def _blank(kept: Snapshot, step: KeptStep, number: int, decimal: str) -> Blank:
    options = sorted(step.options) if step.kind == "order" else step.options  # by name, which tells no order
    return Blank(
        number=number,
        title=gettext(step.title),
        symbol=step.symbol,
        kind=step.kind,
        unit=step.unit,
        ask_unit=step.ask_unit,
        tolerance=_tolerance(step, decimal),
        options=tuple(map(gettext, options)),
        labels=_labels(kept, step, decimal),
    )


def _labels(kept: Snapshot, step: KeptStep, decimal: str) -> tuple[str, ...]:
    """What stands over the cells of a row or of states."""
    if step.kind not in ("row", "states"):
        return ()
    over = next((given for given in kept.givens if given.name == step.over), None)
    if over is None:
        return tuple(str(number) for number in range(1, len(step.value) + 1))
    return tuple(
        each if isinstance(each, str) else format_quantity(each, over.decimals, over.unit, decimal)
        for each in over.value
    )


def _tolerance(step: KeptStep, decimal: str) -> str:
    if step.kind not in ("number", "row"):
        return ""
    amount = format_quantity(step.tolerance, decimals_of(step.tolerance), step.unit, decimal)
    return gettext("within {amount}").format(amount=amount)


def _worked(kept: Snapshot, step: KeptStep, number: int, decimal: str) -> WorkedStep:
    return WorkedStep(
        number=number,
        title=gettext(step.title),
        value=_told(step, step.value, decimal),
        tolerance=_tolerance(step, decimal),
        symbols=solution.in_symbols(kept, step),
        numbers=solution.with_numbers(kept, step, decimal),
        rule=gettext(step.rule),
        slips=tuple(_wrong(kept, step, slip, decimal) for slip in kept.slips if slip.step == step.name),
    )


def _wrong(kept: Snapshot, step: KeptStep, slip: KeptSlip, decimal: str) -> Wrong:
    answer = kept.answer
    carried = step is not answer and answer.name in slip.values
    message = gettext(slip.message)
    return Wrong(
        value=_told(step, slip.values[step.name], decimal),
        answer=_told(answer, slip.values[answer.name], decimal) if carried else "",
        message=kept.filled(message, decimal),
    )


def _told(step: KeptStep, value: Any, decimal: str) -> str:
    """A value of a step with its unit; of an order every chain that must be kept."""
    if step.kind == "number":
        return format_quantity(value, step.decimals, step.unit, decimal)
    if step.kind == "order":
        return "; ".join(written("order", (chain,), 0) for chain in value)
    text = written(step.kind, value, step.decimals, decimal)
    return f"{text}\N{NO-BREAK SPACE}{step.unit}" if step.kind == "row" and step.unit else text
