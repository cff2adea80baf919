"""Errors of a calibration record in percent of span over its points: up, down or as left, with the limits."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.calculations.calibration import percent_error
from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

BRANCHES = ("up", "down", "found", "left")
LOOKS: dict[str, dict[str, Any]] = {
    "up": {"marker": "^", "linestyle": "-"},
    "down": {"marker": "v", "linestyle": "--"},
    "found": {"marker": "s", "linestyle": "--"},
    "left": {"marker": "o", "linestyle": "-"},
}
KEY = 215.0  # from one entry of the key to the next, in points
PLAIN_LIMIT = 1.0  # half of the window where there is neither limit nor record [% of span]


def read(inputs: Inputs, solved: bool) -> dict[str, tuple[float, ...]]:
    """The errors of each branch; outputs are turned into errors, which are what is asked of them."""
    outputs, points = "signal_low" in inputs, inputs.row("points")
    branches: dict[str, tuple[float, ...]] = {}
    for name in BRANCHES:
        if name not in inputs or (outputs and not solved):
            continue
        row = inputs.row(name)
        if len(row) != len(points):
            raise TrainerError(f"figure 'calibration errors': {name} needs one value for each point")
        branches[name] = _errors(inputs, points, row) if outputs else row
    return branches


def _errors(inputs: Inputs, points: tuple[float, ...], outputs: tuple[float, ...]) -> tuple[float, ...]:
    low, high = inputs.number("signal_low"), inputs.number("signal_high")
    return tuple(
        percent_error(output, low + (high - low) * point / 100.0, high - low)
        for point, output in zip(points, outputs, strict=True)
    )


def _name(branch: str) -> str:
    names = {"up": gettext("up"), "down": gettext("down"), "found": gettext("as found"), "left": gettext("as left")}
    return names[branch]


def words(inputs: Inputs, solved: bool) -> str:
    """The errors of each branch at each point, and whether they are within the limits."""
    branches, limit = read(inputs, solved), inputs.known("limit")
    points = ", ".join(inputs.show(each, inputs["points"].decimals, "%") for each in inputs.row("points"))
    told = [gettext("Error in percent of span at these points: {points}.").format(points=points)]
    if limit is not None:
        told.append(gettext("The limits are ±{limit}.").format(limit=_limit(inputs)))
    for name, row in branches.items():
        decimals = 2 if "signal_low" in inputs else inputs[name].decimals
        errors = "; ".join(inputs.show(each, decimals) for each in row)
        told.append(gettext("Errors {branch}: {errors}.").format(branch=_name(name), errors=errors))
        if solved and limit is not None:
            within = all(abs(each) <= limit + 1e-9 for each in row)
            told.append(gettext("All of them lie within the limits.") if within else gettext("Some lie outside."))
    if "signal_low" in inputs and not solved:
        told += [_outputs(inputs, name) for name in BRANCHES if name in inputs]
    if not solved:
        told.append(gettext("What kind of error it is, is asked.") if branches else gettext("The errors are asked."))
    return " ".join(told)


def _outputs(inputs: Inputs, name: str) -> str:
    """The outputs of a branch, of which the errors are asked."""
    unit, decimals = inputs.unit("signal_low"), inputs[name].decimals
    outputs = "; ".join(inputs.show(each, decimals, unit) for each in inputs.row(name))
    return gettext("Outputs {branch}: {outputs}.").format(branch=_name(name), outputs=outputs)


def _limit(inputs: Inputs) -> str:
    return inputs.show(inputs.number("limit"), inputs["limit"].decimals, "%")


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the limits and the branches."""
    branches, limit, points = read(inputs, solved), inputs.known("limit"), inputs.row("points")
    board, plot = sheet.board(), sheet.plot(72, 52, 330, 146)
    largest = max((abs(each) for row in branches.values() for each in row), default=0.0)
    most = 1.25 * max(largest, limit or 0.0) or PLAIN_LIMIT
    plot.set(xlim=(min(points) - 4, max(points) + 4), ylim=(-most, most))
    if limit is not None:
        plot.axhspan(-limit, limit, facecolor=sheet.theme.fill, zorder=0)
        for y, sign in ((limit, "+"), (-limit, "−")):
            sheet.line(plot, plot.get_xlim(), [y, y], sheet.theme.known, linestyle="-.", linewidth=sheet.thin)
            text = sign + inputs.show(limit, inputs["limit"].decimals)
            sheet.text(plot, plot.get_xlim()[1], y, text, sheet.theme.known, (6, 0), va="center")
    sheet.line(plot, plot.get_xlim(), [0, 0], sheet.theme.quiet, linewidth=sheet.thin)
    plot.set_xticks(points, [inputs.show(each, inputs["points"].decimals) for each in points])
    sheet.ticks(plot.yaxis, inputs.decimal)
    sheet.text(
        board, 12, 216, gettext("Error, {unit}").format(unit=gettext("% of span")), sheet.theme.quiet, va="center"
    )
    sheet.text(board, 402, 14, gettext("Point, {unit}").format(unit="%"), sheet.theme.quiet, ha="right", va="center")
    _branches(sheet, board, plot, branches, points)
    if solved:
        _worst(sheet, board, inputs, branches)
    if not solved:
        style: dict[str, Any] = {"fontsize": sheet.large, "weight": "bold", "ha": "center", "va": "center"}
        for x in () if branches else points:
            sheet.text(plot, x, 0, "?", **style)
        if branches:
            sheet.text(board, 440, 242, "?", **style)


def _branches(
    sheet: Sheet, board: Axes, plot: Axes, branches: dict[str, tuple[float, ...]], points: tuple[float, ...]
) -> None:
    """The records with a key in the top line."""
    for number, (name, row) in enumerate(branches.items()):
        color = sheet.theme.answer if name == "left" else sheet.theme.ink
        sheet.line(plot, points, row, color, markersize=8, **LOOKS[name])
        x = 14 + KEY * number
        sheet.line(board, [x, x + 20, x + 40], [242] * 3, color, markersize=8, **LOOKS[name])
        sheet.text(board, x + 48, 242, _name(name), color, va="center")


def _worst(sheet: Sheet, board: Axes, inputs: Inputs, branches: dict[str, tuple[float, ...]]) -> None:
    """The greatest error of each record, in the key."""
    for number, (name, row) in enumerate(branches.items()):
        decimals = 2 if "signal_low" in inputs else inputs[name].decimals
        text = inputs.show(max(row, key=abs), decimals)
        x = 14 + KEY * (number + 1) - 24
        color = sheet.theme.answer if name == "left" else sheet.theme.ink
        sheet.text(board, x, 242, text, color, ha="right", va="center", weight="bold")
