"""What an attempt keeps of a variant, in plain values: enough to show it and mark it again when code has changed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import cached_property
from typing import Any

from trainer.errors import OutOfRange
from trainer.language import gettext
from trainer.units import format_number, format_quantity
from trainer.worksheets.draw import Choice, Draw, decimals_of
from trainer.worksheets.kinds import Kind, Value, frozen, is_plain, one_order
from trainer.worksheets.problem import Variant
from trainer.worksheets.tolerance import decimals_for
from trainer.worksheets.worksheet import Given, Step

PLACEHOLDER = re.compile(r"\{(\w+)(:bare)?\}")


def written(kind: Kind, value: Any, decimals: int, decimal: str = ".") -> str:
    """A value as text, without its unit."""
    if kind == "number":
        return format_number(value, decimals, decimal)
    if kind == "row":
        return "; ".join(format_number(each, decimals, decimal) for each in value)
    if kind == "choice":
        return gettext(value)
    if kind == "order":
        return " \N{RIGHTWARDS ARROW} ".join(gettext(each) for each in one_order((), value))
    return ", ".join(gettext(each) for each in value)


@dataclass(frozen=True)
class KeptGiven:
    """A given as it was drawn; a hidden one is kept to work from and never shown."""

    name: str
    title: str
    symbol: str
    unit: str
    kind: Kind
    value: Any
    decimals: int
    hidden: bool


@dataclass(frozen=True)
class KeptStep:
    """A step as it was asked, with its true value."""

    name: str
    title: str
    symbol: str
    unit: str
    kind: Kind
    options: tuple[str, ...]
    over: str
    value: Any
    tolerance: float
    decimals: int
    possible: tuple[float, float] | None
    ask_unit: bool
    skill: str
    rule: str
    formula: str
    needs: tuple[str, ...]
    rounding: float


@dataclass(frozen=True)
class KeptSlip:
    """A slip with the values it leads to, at its own step and at the later ones that it changes."""

    name: str
    step: str
    message: str
    values: Mapping[str, Any]


@dataclass(frozen=True)
class KeptFigure:
    """The figure's name and which value goes into which of its inputs."""

    name: str
    values: Mapping[str, str]


@dataclass(frozen=True)
class Snapshot:
    """A variant in plain values."""

    problem: str
    seed: int
    worksheet: str
    version: int
    skill: str
    level: str
    place: str
    title: str
    wording: str
    givens: tuple[KeptGiven, ...]
    steps: tuple[KeptStep, ...]
    slips: tuple[KeptSlip, ...]
    figure: KeptFigure | None
    cautions: tuple[str, ...]
    sources: tuple[str, ...]

    @cached_property
    def shown_givens(self) -> tuple[KeptGiven, ...]:
        """The givens a page shows."""
        return tuple(given for given in self.givens if not given.hidden)

    @cached_property
    def given_values(self) -> dict[str, Value]:
        """All givens by name, to work the graph from."""
        return {given.name: given.value for given in self.givens}

    def step(self, name: str) -> KeptStep:
        """The step of a name; KeyError where there is none."""
        return self._by_name[name]

    @cached_property
    def _by_name(self) -> dict[str, KeptStep]:
        return {step.name: step for step in self.steps}

    @property
    def answer(self) -> KeptStep:
        """The last step."""
        return self.steps[-1]

    def text(self, decimal: str = ".") -> str:
        """The wording with the drawn numbers in it."""
        return self.filled(gettext(self.wording), decimal)

    def filled(self, template: str, decimal: str = ".") -> str:
        """A text with the values of givens and steps in their places."""
        if "{" not in template:
            return template
        nodes: dict[str, KeptGiven | KeptStep] = {given.name: given for given in self.givens}
        nodes.update((step.name, step) for step in self.steps)

        def put_in(match: re.Match[str]) -> str:
            node = nodes[match[1]]
            unit = "" if match[2] or node.kind != "number" else node.unit
            if unit:
                return format_quantity(node.value, node.decimals, unit, decimal)
            return written(node.kind, node.value, node.decimals, decimal)

        return PLACEHOLDER.sub(put_in, template)

    def to_json(self) -> dict[str, Any]:
        """Plain dicts and lists."""
        return asdict(self)

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Snapshot:
        """The inverse of :meth:`to_json`, also after a journey through JSON text."""
        parts = dict(kept)
        parts["givens"] = tuple(KeptGiven(**_tuples(given)) for given in kept["givens"])
        parts["steps"] = tuple(KeptStep(**_tuples(step)) for step in kept["steps"])
        parts["slips"] = tuple(KeptSlip(**(dict(slip) | {"values": _tuples(slip["values"])})) for slip in kept["slips"])
        parts["figure"] = KeptFigure(**kept["figure"]) if kept["figure"] else None
        return cls(**_tuples(parts))


def snapshot(variant: Variant) -> Snapshot:
    """Keep a variant."""
    problem, sheet = variant.problem, variant.worksheet
    return Snapshot(
        problem=problem.id,
        seed=variant.seed,
        worksheet=sheet.name,
        version=sheet.version,
        skill=problem.skill or sheet.skill,
        level=problem.level,
        place=problem.place,
        title=problem.title,
        wording=problem.text,
        givens=tuple(_given(variant, given) for given in sheet.givens.values()),
        steps=tuple(_step(variant, step) for step in sheet.steps.values()),
        slips=_slips(variant),
        figure=KeptFigure(sheet.figure.name, dict(sheet.figure.values)) if sheet.figure else None,
        cautions=(*sheet.cautions, *problem.cautions),
        sources=sheet.sources,
    )


def _given(variant: Variant, given: Given) -> KeptGiven:
    value = variant.givens[given.name]
    unit = variant.unit(given.unit) or variant.problem.units.get(given.name, "")
    decimals = given.decimals
    if decimals is None:
        drawn = next((draw for draw in variant.problem.draws if given.name in draw.names), None)
        decimals = _decimals(drawn, given.name, value)
    return KeptGiven(given.name, given.title, given.symbol, unit, given.kind, value, decimals, given.hidden)


def _decimals(drawn: Draw | None, name: str, value: Any) -> int:
    """As many as the grid has; what is drawn from rows shows the most that any of its rows needs."""
    if drawn is not None and hasattr(drawn, "decimals"):
        return int(drawn.decimals)
    values = [row[drawn.names.index(name)] for row in drawn.rows] if isinstance(drawn, Choice) else [value]
    cells = [cell for each in values for cell in (each if isinstance(each, tuple) else (each,))]
    return max((decimals_of(cell) for cell in cells if isinstance(cell, int | float)), default=0)


def _step(variant: Variant, step: Step) -> KeptStep:
    tolerance = variant.tolerance(step) if step.kind in ("number", "row") else 0.0
    return KeptStep(
        name=step.name,
        title=step.title,
        symbol=step.symbol,
        unit=variant.unit(step.unit),
        kind=step.kind,
        options=step.options,
        over=step.over,
        value=variant.values[step.name],
        tolerance=tolerance,
        decimals=decimals_for(tolerance) if step.decimals is None else step.decimals,
        possible=step.possible,
        ask_unit=step.ask_unit,
        skill=step.skill,
        rule=step.rule,
        formula=step.formula if isinstance(step.formula, str) else step.formula(variant.values),
        needs=variant.worksheet.needs(step.name),
        rounding=_rounding(variant, step) if step.kind == "number" else 0.0,
    )


def _rounding(variant: Variant, step: Step) -> float:
    """How far off the step gets where each step before it keeps one digit fewer than its tolerance needs."""
    total = 0.0
    for name in variant.worksheet.needs(step.name):
        earlier = variant.worksheet.steps[name]
        if earlier.kind != "number":
            continue
        half = 0.5 * 10.0 ** (1 - decimals_for(variant.tolerance(earlier)))
        off = [_shifted(variant, step.name, name, shift) for shift in (half, -half)]
        total += max(off)
    return total


def _shifted(variant: Variant, step: str, earlier: str, shift: float) -> float:
    try:
        values = variant.worksheet.solve(variant.givens, {earlier: variant.values[earlier] + shift})
    except (OutOfRange, ArithmeticError):
        return 0.0
    off = values[step] - variant.values[step]
    return abs(float(off)) if is_plain(off) else 0.0


def _slips(variant: Variant) -> tuple[KeptSlip, ...]:
    return tuple(
        KeptSlip(slip.name, slip.step, slip.message, {name: values[name] for name in variant.reached(slip, values)})
        for slip, values in variant.slips.values()
    )


def _tuples(parts: Mapping[str, Any]) -> dict[str, Any]:
    return {key: frozen(value) for key, value in parts.items()}
