"""Two temperature scales side by side: the same step on both, each end a reading, the 32 in neither step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.calculations.temperatures import Unit, convert, convert_difference
from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

UNITS: tuple[Unit, ...] = ("°C", "°F", "K")
LEFT, RIGHT = 40.0, 420.0  # ends of both scales, in points
START, END = 120.0, 340.0  # ends of the difference on them
UPPER, LOWER = 152.0, 100.0  # heights of the scales


@dataclass(frozen=True)
class Step:
    """A difference in two units: its readings at both ends where it starts at the ice point."""

    difference: float
    unit: Unit
    other_unit: Unit
    converted: float

    def ends(self, unit: Unit) -> tuple[float, float]:
        """Readings at the ends of the step on one of the scales, the lower one first."""
        ice = convert(0.0, "°C", unit)
        other = ice + convert_difference(self.difference, self.unit, unit)
        return min(ice, other), max(ice, other)


def read(inputs: Inputs) -> Step:
    """Read the inputs; what is not told of the other scale is worked out, to be drawn in the solved form."""
    unit = _unit(inputs.unit("difference", "°C"))
    other = _unit(inputs.unit("converted", "°C" if unit == "°F" else "°F"))
    difference = inputs.number("difference")
    return Step(difference, unit, other, convert_difference(difference, unit, other))


def _unit(name: str) -> Unit:
    short = name.removesuffix(" (difference)")
    for unit in UNITS:
        if unit == short:
            return unit
    raise TrainerError(f"figure 'temperature scales': {name} is no unit of temperature")


def words(inputs: Inputs, solved: bool) -> str:
    """The difference on both scales, and in the solved form the readings at its ends."""
    step = read(inputs)
    known = inputs.show(step.difference, inputs["difference"].decimals, step.unit)
    told = [
        gettext("The scales of {unit} and {other} side by side, with one difference of {known} on both.").format(
            unit=step.unit, other=step.other_unit, known=known
        )
    ]
    if not solved:
        told.append(gettext("Its size in {other} is asked.").format(other=step.other_unit))
        return " ".join(told)
    ends = [
        inputs.show(reading, _decimals(inputs, unit, step), unit)
        for unit in (step.unit, step.other_unit)
        for reading in step.ends(unit)
    ]
    told.append(
        gettext("With the ice point at one end it runs from {start} to {end}, which is from {from_} to {to}.").format(
            start=ends[0], end=ends[1], from_=ends[2], to=ends[3]
        )
    )
    told.append(gettext("It is {converted}: the number at the ice point is in both readings and drops out.").format(
        converted=_converted(inputs, step)
    ))  # fmt: skip
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw both scales with the difference on them."""
    step, board = read(inputs), sheet.board()
    known = inputs.show(step.difference, inputs["difference"].decimals, step.unit)
    color = sheet.theme.answer if solved else sheet.theme.known
    asked = _converted(inputs, step) if solved else f"? {step.other_unit}"
    for x in (START, END):
        sheet.line(board, [x, x], [LOWER, UPPER], sheet.theme.quiet, linestyle=":")
    _scale(sheet, board, UPPER, step.unit)
    _scale(sheet, board, LOWER, step.other_unit)
    _difference(sheet, board, UPPER + 50, known, sheet.theme.known)
    _difference(sheet, board, LOWER - 50, asked, color if solved else sheet.theme.ink)
    _readings(sheet, board, inputs, step, step.unit, UPPER, 1.0)
    if solved:
        _readings(sheet, board, inputs, step, step.other_unit, LOWER, -1.0)


def _scale(sheet: Sheet, board: Axes, y: float, unit: Unit) -> None:
    sheet.arrow(board, (LEFT, y), (RIGHT, y), sheet.theme.ink)
    sheet.text(board, RIGHT + 8, y, unit, weight="bold", va="center")
    for x in (START, END):
        sheet.line(board, [x, x], [y - 5, y + 5], sheet.theme.ink)


def _difference(sheet: Sheet, board: Axes, y: float, text: str, color: str) -> None:
    sheet.arrow(
        board, (START, y), (END, y), color, arrowstyle="<|-|>,head_width=0.35,head_length=0.7", linewidth=sheet.thick
    )
    ground = {"facecolor": sheet.theme.sheet, "edgecolor": "none", "pad": 2}
    style: dict[str, Any] = {"ha": "center", "va": "center", "fontsize": sheet.large, "weight": "bold", "bbox": ground}
    sheet.text(board, (START + END) / 2, y, text, color, **style)


def _readings(sheet: Sheet, board: Axes, inputs: Inputs, step: Step, unit: Unit, y: float, way: float) -> None:
    """What the scale reads at both ends of the difference."""
    for x, reading in zip((START, END), step.ends(unit), strict=True):
        text = inputs.show(reading, _decimals(inputs, unit, step), unit)
        sheet.text(board, x, y + way * 20, text, ha="center", va="center")


def _decimals(inputs: Inputs, unit: Unit, step: Step) -> int:
    """Decimals of the readings on a scale: those of the difference in its unit."""
    if unit == step.unit:
        return inputs["difference"].decimals
    return inputs["converted"].decimals if "converted" in inputs else inputs["difference"].decimals + 1


def _converted(inputs: Inputs, step: Step) -> str:
    return inputs.show(step.converted, _decimals(inputs, step.other_unit, step), step.other_unit)
