"""A reading after a step, over one to five time constants, with the 63.2 % of the first and a point on the way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.calculations.response import after_step, time_to_value
from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext
from trainer.units import UNITS

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

LAST, PIECES = 5.5, 70  # time constants that are shown, and straight pieces of the curve
FIRST = 0.632120558829  # of the step after one time constant, 1 - 1/e


@dataclass(frozen=True)
class Step:
    """A step with its time constant, and a point on the way; what is not known is None."""

    start: float
    end: float
    constant: float | None
    time: float | None
    target: float | None
    allowed: float | None

    def share(self, target: float) -> float:
        """Fraction of the step that is done at a reading."""
        return (target - self.start) / (self.end - self.start)


def read(inputs: Inputs, solved: bool) -> Step:
    """Read the inputs; in the solved form what is missing of the point is worked out."""
    unit = inputs.unit("start")
    start, end, constant = inputs.number("start"), inputs.number("end", unit), inputs.known("constant", "s")
    if start == end:
        raise TrainerError("figure 'step response': start and end are the same")
    time, target, allowed = inputs.known("time", "s"), inputs.known("target", unit), _allowed(inputs, unit)
    if solved and allowed is not None and target is None:
        target = end - allowed if end > start else end + allowed
    if solved and constant is not None:
        if time is None and target is not None:
            time = time_to_value(target, constant, start, end)
        elif target is None and time is not None:
            target = after_step(time, constant, start, end)
    return Step(start, end, constant, time, target, allowed)


def _allowed(inputs: Inputs, unit: str) -> float | None:
    difference = f"{unit} (difference)"
    return inputs.known("allowed", difference if difference in UNITS else unit)


def _time_unit(inputs: Inputs) -> str:
    return inputs.unit("constant", inputs.unit("time", "s"))


def _time(inputs: Inputs, step: Step) -> str:
    if "time" in inputs or step.time is None:
        return inputs.told("time", True, "s")
    unit = _time_unit(inputs)
    scaled = step.time / UNITS[unit].factor
    return inputs.show(scaled, max(1, inputs["constant"].decimals if "constant" in inputs else 0), unit)


def _target(inputs: Inputs, step: Step) -> str:
    unit = inputs.unit("start")
    if "target" in inputs or step.target is None:
        return inputs.told("target", True, unit)
    return inputs.show(step.target, max(inputs["start"].decimals, inputs["end"].decimals) + 1, unit)


def words(inputs: Inputs, solved: bool) -> str:
    """Ends and time constant, and the point or what is asked of it."""
    step, unit = read(inputs, solved), inputs.unit("start")
    share = inputs.show(100.0 * FIRST, 1, "%")
    told = [
        gettext("A reading after a step from {start} to {end}: {share} of the way after one time constant.").format(
            start=inputs.quantity("start"), end=inputs.quantity("end", unit), share=share
        )
    ]
    if "constant" in inputs:
        told.append(gettext("The time constant is {constant}.").format(constant=inputs.quantity("constant", "s")))
    if "allowed" in inputs:
        told.append(gettext("Within {allowed} of the end it counts as settled.").format(
            allowed=inputs.quantity("allowed")
        ))  # fmt: skip
    time, target = _time(inputs, step), _target(inputs, step)
    if time and target:
        told.append(gettext("It reads {target} after {time}.").format(target=target, time=time))
        if "constant" not in inputs and not solved:
            told.append(gettext("The time constant is asked."))
    elif not solved:
        told.append(
            gettext("The reading after {time} is asked.").format(time=time)
            if time
            else gettext("The time to {target} is asked.").format(target=target)
            if target
            else gettext("The time to a reading is asked.")
        )
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the curve, its ticks and its point."""
    step, plot, board = read(inputs, solved), sheet.plot(76, 52, 288, 156), sheet.board()
    rising = step.end > step.start
    room = 0.06 * (step.end - step.start)
    ends = (step.start - room, step.end + 2.0 * room)
    plot.set(xlim=(0, LAST), ylim=ends if rising else ends[::-1])
    xs = [LAST * i / PIECES for i in range(PIECES + 1)]
    sheet.line(plot, xs, [after_step(x, 1.0, step.start, step.end) for x in xs], sheet.theme.ink, linewidth=sheet.thick)
    plot.set_xticks(range(1, 6), [inputs.show(number, 0) for number in range(1, 6)])
    decimals = max(inputs["start"].decimals, inputs["end"].decimals)
    plot.set_yticks([step.start, step.end], [inputs.show(each, decimals) for each in (step.start, step.end)])
    if step.allowed is not None:
        plot.axhspan(step.end - step.allowed, step.end + step.allowed, facecolor=sheet.theme.fill, zorder=0)
    sheet.line(plot, [0, LAST], [step.end] * 2, sheet.theme.quiet, linestyle=":", linewidth=sheet.thin)
    first = after_step(1.0, 1.0, step.start, step.end)
    look: dict[str, Any] = {"linestyle": ":", "linewidth": sheet.thin}
    sheet.line(plot, [0, 1, 1], [first, first, step.start], sheet.theme.quiet, **look)
    sheet.line(plot, [1], [first], sheet.theme.ink, marker="o", markersize=7)
    sheet.text(
        plot,
        1,
        first,
        inputs.show(100.0 * FIRST, 1, "%"),
        "",
        (8, -5 if rising else 5),
        va="top" if rising else "bottom",
        bbox={"facecolor": sheet.theme.sheet, "edgecolor": "none", "pad": 1},
    )
    _titles(sheet, board, inputs, solved)
    _point(sheet, board, plot, inputs, step, solved)


def _titles(sheet: Sheet, board: Axes, inputs: Inputs, solved: bool) -> None:
    unit = inputs.unit("start")
    label = gettext("Reading, {unit}").format(unit=unit) if unit else gettext("Reading")
    sheet.text(board, 12, 240, label, sheet.theme.quiet, va="center")
    sheet.text(board, 364, 14, gettext("Time, in time constants"), sheet.theme.quiet, ha="right", va="center")
    constant = inputs.told("constant", solved, _time_unit(inputs))
    if constant:
        color = sheet.theme.known if "constant" in inputs else ""
        sheet.text(board, 448, 240, gettext("time constant"), sheet.theme.quiet, ha="right", va="center")
        sheet.text(board, 448, 219, constant, color, ha="right", va="center", weight="bold")


def _point(sheet: Sheet, board: Axes, plot: Axes, inputs: Inputs, step: Step, solved: bool) -> None:
    """The point on the curve, or only what is known of it, far from where the answer is."""
    color, right = sheet.theme.answer if solved else sheet.theme.known, LAST
    time, target = _time(inputs, step), _target(inputs, step)
    if not solved:
        _asked(sheet, board, inputs, time, target)
        return
    if step.target is None:
        return
    share = min(step.share(step.target), 1.0 - 1e-9)
    x = time_to_value(share, 1.0, 0.0, 1.0)
    sheet.line(plot, [x, x, right], [step.start, step.target, step.target], color)
    sheet.line(plot, [x], [step.target], color, marker="o", markersize=9)
    shift = -12 if step.end > step.start else 12
    above = share > 0.5
    sheet.text(plot, right, step.target, target, color, (8, shift if above else 0), va="center", weight="bold")
    late: dict[str, Any] = {"shift": (8, 4), "ha": "left"} if x < 3.4 else {"shift": (-8, 4), "ha": "right"}
    low = step.start - 0.06 * (step.end - step.start)
    late |= {"va": "bottom"} if step.end > step.start else {"va": "top", "shift": (late["shift"][0], -4)}
    sheet.text(plot, x, low, time, color, weight="bold", **late)


def _asked(sheet: Sheet, board: Axes, inputs: Inputs, time: str, target: str) -> None:
    """What is known of the point, and what is asked of it, beside the plot."""
    rows = [(text, sheet.theme.known) for text in (target, time) if text]
    if "allowed" in inputs:
        rows.append((gettext("within {x}").format(x=inputs.amount("allowed")), sheet.theme.known))
    if not (time and target):
        unit = inputs.unit("start") if time else _time_unit(inputs)
        rows.append((f"? {unit}".rstrip(), sheet.theme.ink))
    for number, (text, color) in enumerate(rows):
        sheet.text(board, 450, 148 - 24 * number, text, color, ha="right", va="center", weight="bold")
