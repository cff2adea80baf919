"""A signal path from sensor to input card with its grounds: two on one path put their difference into the signal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.calculations.signals import span_between
from trainer.figures.inputs import Inputs
from trainer.figures.symbols import box, wire
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

YES, NO = "yes", "no"
PATH, GROUND = 178.0, 92.0  # heights of the path and of the grounds, in points
SENSOR, INPUT, OUTPUT, CARD = 56.0, 198.0, 262.0, 404.0  # middles along the path
HALF, APART = 29.0, 6.0  # of a half of the conditioner, and from its middle to the water between the two


def _is(inputs: Inputs, name: str) -> bool:
    return inputs.choice(name, (YES, NO)) == YES


def _grounds(inputs: Inputs) -> int:
    """Grounds that a walk from the card toward the sensor meets; it ends where input and output are isolated."""
    return _is(inputs, "at_card") + (_is(inputs, "at_sensor") and not _is(inputs, "isolated"))


def _error(inputs: Inputs) -> float:
    """Error [% of span]: what lies between two grounds of one path is in series with the signal."""
    span = span_between("signal", inputs.number("signal_low", "V"), inputs.number("signal_high", "V"))
    return 100.0 * inputs.number("difference", "V") / span if _grounds(inputs) > 1 else 0.0


def _told(inputs: Inputs) -> str:
    """The error in percent of span and, where the range is known, in its unit."""
    error = _error(inputs)
    told = inputs.show(error, 2, "% of span")
    if "lower" in inputs and "upper" in inputs:
        unit = inputs.unit("lower")
        span = span_between("range", inputs.number("lower"), inputs.number("upper", unit))
        told += " = " + inputs.show(error / 100.0 * span, 1, unit)
    return told


def words(inputs: Inputs, solved: bool) -> str:
    """Where the path is grounded and isolated, and in the solved form the error."""
    places = [
        name
        for place, name in (("at_sensor", gettext("at the sensor")), ("at_card", gettext("at the input card")))
        if _is(inputs, place)
    ]
    isolated = gettext("input and output of the conditioner isolated from each other")
    if not _is(inputs, "isolated"):
        isolated = gettext("input and output of the conditioner joined")
    told = [
        gettext("A signal path: sensor, conditioner, input card; {isolated}. Grounded: {places}.").format(
            isolated=isolated, places=", ".join(places) or gettext("nowhere")
        ),
        gettext("{x} lie between the two grounds; the signal runs from {low} to {high}.").format(
            x=inputs.quantity("difference", "V"),
            low=inputs.quantity("signal_low", "V"),
            high=inputs.quantity("signal_high", "V"),
        ),
    ]
    if not solved:
        return " ".join([*told, gettext("The error is asked.")])
    count = gettext("Grounds on one path: {n}; error {error}.")
    return " ".join([*told, count.format(n=_grounds(inputs), error=_told(inputs))])


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw path, grounds and what lies between them."""
    board, isolated = sheet.board(), _is(inputs, "isolated")
    middle: dict[str, Any] = {"ha": "center", "va": "center"}
    wire(sheet, board, (SENSOR, PATH), (CARD, PATH))
    for x, name in ((SENSOR, gettext("sensor")), (CARD, gettext("input card"))):
        box(sheet, board, x, PATH, 64, 44)
        sheet.text(board, x, PATH + 40, name, **middle)
    _conditioner(sheet, board, isolated)
    told = gettext("isolated") if isolated else gettext("joined")
    sheet.text(board, (INPUT + OUTPUT) / 2, PATH - 40, told, sheet.theme.known, weight="bold", **middle)
    for x, place in ((SENSOR, "at_sensor"), (CARD, "at_card")):
        if _is(inputs, place):
            _ground(sheet, board, x)
    _difference(sheet, board, inputs)
    if not solved:
        sheet.text(board, (INPUT + OUTPUT) / 2, 24, "? " + gettext("% of span"), weight="bold", **middle)
        return
    count = gettext("grounds on one path: {n}").format(n=_grounds(inputs))
    sheet.text(board, (INPUT + OUTPUT) / 2, 42, count, sheet.theme.answer, **middle)
    error = gettext("error {x}").format(x=_told(inputs))
    sheet.text(board, (INPUT + OUTPUT) / 2, 18, error, sheet.theme.answer, weight="bold", **middle)


def _conditioner(sheet: Sheet, board: Axes, isolated: bool) -> None:
    """Input and output as two islands: with water between them, or joined."""
    for x, name, way in ((INPUT, gettext("input"), -1), (OUTPUT, gettext("output"), 1)):
        box(sheet, board, x + (way * APART if isolated else 3.0 * -way), PATH, 2 * HALF, 44)
        sheet.text(board, x + 8 * way, PATH + 40, name, ha="center", va="center")
    middle = (INPUT + OUTPUT) / 2
    if isolated:
        box(sheet, board, middle, PATH, 2 * APART + 4, 20, edgecolor="none")
        for x in (middle - 3, middle + 3):
            sheet.line(board, [x, x], [PATH - 28, PATH + 28], sheet.theme.known, zorder=5)
    else:
        sheet.line(board, [INPUT, OUTPUT], [PATH, PATH], sheet.theme.known, linewidth=sheet.thick, zorder=5)


def _ground(sheet: Sheet, board: Axes, x: float) -> None:
    """The sign of ground under a place."""
    wire(sheet, board, (x, PATH - 22), (x, GROUND))
    for step, half in enumerate((16.0, 10.0, 4.0)):
        sheet.line(board, [x - half, x + half], [GROUND - 6.0 * step] * 2, sheet.theme.ink)


def _difference(sheet: Sheet, board: Axes, inputs: Inputs) -> None:
    """The voltage between the two grounds."""
    heads = "<|-|>,head_width=0.3,head_length=0.6"
    sheet.arrow(board, (SENSOR + 24, GROUND), (CARD - 24, GROUND), sheet.theme.known, arrowstyle=heads)
    told = gettext("{x} between grounds").format(x=inputs.quantity("difference", "V"))
    ground = {"facecolor": sheet.theme.sheet, "edgecolor": "none", "pad": 2}
    sheet.text(board, (INPUT + OUTPUT) / 2, GROUND, told, sheet.theme.known, ha="center", va="center", bbox=ground)
