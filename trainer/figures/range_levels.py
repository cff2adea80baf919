"""Values of a setup on one range, each beside the signal that it is, and the current that a fault drives."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from trainer.calculations.signals import Signal, fraction, signal_from_value, value_from_signal
from trainer.figures.columns import alike, texts
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

MOST = 6
LEFT, BAR, LOW, HIGH = 232.0, 24.0, 24.0, 196.0  # of the bar, in points
LOWEST, HIGHEST = 14.0, 228.0  # of labels
BEYOND, GAP = 0.2, 23.0  # how far a fault may stand beyond the bar, in spans; between two labels, in points


class Level(NamedTuple):
    """A level: its name, its value and signal as they are shown, and its height in spans."""

    name: str
    value: str
    signal: str
    height: float
    fault: bool = False


def read(inputs: Inputs) -> list[Level]:
    """All levels from below, the ends of the range included."""
    unit, signal_unit = inputs.unit("lower"), inputs.unit("signal_low")
    ends = inputs.number("lower"), inputs.number("upper", unit)
    signal = Signal(inputs.number("signal_low"), inputs.number("signal_high", signal_unit), signal_unit)
    alike(inputs, "names", "levels")
    decimals = inputs["levels"].decimals
    values = [
        (gettext("range"), end, inputs[name].decimals) for name, end in zip(("lower", "upper"), ends, strict=True)
    ]
    names = texts(inputs, "names", MOST)
    values += [(name, value, decimals) for name, value in zip(names, inputs.row("levels", unit), strict=True)]
    levels = []
    for name, value, places in values:
        current = inputs.show(signal_from_value(value, *ends, signal), 2, signal_unit)
        levels.append(Level(name, inputs.show(value, places, unit), current, fraction(value, *ends)))
    if (fault := inputs.known("fault", signal_unit)) is not None:
        reads_as = value_from_signal(fault, *ends, signal)
        height = min(max(fraction(reads_as, *ends), -BEYOND), 1.0 + BEYOND)
        shown = inputs.show(reads_as, decimals + (not decimals), unit)
        levels.append(Level(gettext("break"), shown, inputs.quantity("fault", signal_unit), height, True))
    return sorted(levels, key=lambda level: level.height)


def words(inputs: Inputs, solved: bool) -> str:
    """Every level with its signal, from above."""
    told = []
    for level in reversed(read(inputs)):
        text = gettext("{name}: {value}, {signal}.") if solved else gettext("{name}: {value}.")
        if level.fault:
            text = (
                gettext("A break drives {signal}, which reads as {value}.") if solved else gettext("A break: {signal}.")
            )
        told.append(text.format(name=level.name, value=level.value, signal=level.signal))
    return " ".join(told if solved else [*told, gettext("The signal of each value is asked.")])


def apart(heights: list[float], gap: float, low: float, high: float) -> list[float]:
    """Places for labels of rising heights: a gap apart, between two ends, and as near to them as can be.

    Examples
    --------
    >>> apart([0.0, 20.0, 22.0, 50.0], 8.0, 2.0, 60.0)
    [2.0, 17.0, 25.0, 50.0]
    """
    up, down = list(heights), list(heights)
    for i in range(1, len(heights)):
        up[i] = max(up[i], up[i - 1] + gap)
    for i in reversed(range(len(heights) - 1)):
        down[i] = min(down[i], down[i + 1] - gap)
    places, edge = [], low
    for above, below in zip(up, down, strict=True):
        places.append(max((above + below) / 2, edge))
        edge = places[-1] + gap
    edge = high
    for i in reversed(range(len(places))):
        places[i] = min(places[i], edge)
        edge = places[i] - gap
    return places


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the bar with its levels, labels at both sides."""
    board, levels = sheet.board(), read(inputs)
    sheet.text(board, LEFT - 36, 246, gettext("Value"), sheet.theme.quiet, ha="right", va="center")
    sheet.text(board, LEFT + BAR + 36, 246, gettext("Signal"), sheet.theme.quiet, va="center")
    xs = [LEFT, LEFT + BAR, LEFT + BAR, LEFT]
    look: dict[str, Any] = {"edgecolor": sheet.theme.quiet, "linewidth": sheet.thin}
    board.fill(xs, [LOW, LOW, HIGH, HIGH], facecolor=sheet.theme.fill, **look)
    ys = [LOW + (HIGH - LOW) * level.height for level in levels]
    for level, y, label in zip(levels, ys, apart(ys, GAP, LOWEST, HIGHEST), strict=True):
        _level(sheet, board, level, y, label, solved)


def _level(sheet: Sheet, board: Axes, level: Level, y: float, label: float, solved: bool) -> None:
    """A line across the bar, led to its labels."""
    right = LEFT + BAR
    color = sheet.theme.known if level.fault else sheet.theme.ink
    dashed: dict[str, Any] = {"linestyle": "--"} if level.fault else {}
    sheet.line(board, [LEFT - 6, right + 6], [y, y], color, **dashed)
    for near, far in ((LEFT - 6, LEFT - 30), (right + 6, right + 30)):
        sheet.line(board, [near, far], [y, label], sheet.theme.quiet, linewidth=sheet.thin)
    value = level.value if solved or not level.fault else "?"
    signal = level.signal if solved or level.fault else "?"
    sheet.text(board, LEFT - 36, label, f"{level.name} {value}", color, ha="right", va="center")
    answer = color if level.fault else sheet.theme.answer
    sheet.text(board, right + 36, label, signal, answer, va="center", weight="bold")
