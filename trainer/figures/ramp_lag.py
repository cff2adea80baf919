"""A ramp and the reading that trails behind it, with the set point it passes late and the delay that follows."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext
from trainer.units import UNITS, convert

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

LEFT, RIGHT, LOW, HIGH = 20.0, 330.0, 40.0, 218.0  # of the plot, in points; nothing in it is to scale
STEEP = 0.6  # slope of the lines on the sheet
LAG, WAIT = 82.0, 62.0  # what lag and delay take of the sheet
CROSSING = 112.0  # where the true line crosses the set point, in points from the left
LAGS = ("sensor", "filter", "constant")


@dataclass(frozen=True)
class Ramp:
    """Slope [unit of the value per second], lags and delay [s], and the value at which the reading is [its unit]."""

    rate: float
    lags: float | None
    delay: float | None
    level: float | None
    unit: str

    @property
    def late(self) -> float | None:
        """From the true value at the level to the end of the delay [s]."""
        return None if self.lags is None else self.lags + (self.delay or 0.0)

    @property
    def past(self) -> float | None:
        """How far the true value has gone past the level by then."""
        return None if self.late is None else self.rate * self.late


def read(inputs: Inputs) -> Ramp:
    """Read the inputs."""
    per = inputs.unit("rate")
    top, slash, _ = per.rpartition("/")
    if not slash or f"{top}/s" not in UNITS:
        raise TrainerError(f"figure 'ramp lag': rate in {per or 'no unit'} is nothing per time")
    lags = [inputs.number(name, "s") for name in LAGS if name in inputs]
    level = inputs.known("set_point" if "set_point" in inputs else "reading", top if top in UNITS else "")
    rate = convert(inputs.number("rate"), per, f"{top}/s")
    return Ramp(rate, sum(lags) if lags else None, inputs.known("delay", "s"), level, top)


def _level(inputs: Inputs) -> str:
    return "set_point" if "set_point" in inputs else "reading"


def _late(inputs: Inputs, ramp: Ramp) -> str:
    decimals = max((inputs[name].decimals for name in (*LAGS, "delay") if name in inputs), default=0)
    return "" if ramp.late is None else inputs.show(ramp.late, decimals, "s")


def _past(inputs: Inputs, ramp: Ramp) -> str:
    return "" if ramp.past is None else inputs.show(abs(ramp.past), 2, ramp.unit)


def _true(inputs: Inputs, ramp: Ramp) -> str:
    if "true" in inputs:
        return inputs.quantity("true", ramp.unit)
    return "" if ramp.past is None or ramp.level is None else inputs.show(ramp.level + ramp.past, 2, ramp.unit)


def words(inputs: Inputs, solved: bool) -> str:
    """The ramp, the lags, the level, and in the solved form how late and how far past."""
    ramp = read(inputs)
    told = [gettext("A value that changes by {rate}, and a reading that trails behind it.").format(
        rate=inputs.quantity("rate")
    )]  # fmt: skip
    labels = {
        "sensor": gettext("lag of the sensor {x}"),
        "filter": gettext("lag of the filter {x}"),
        "constant": gettext("time constant {x}"),
        "delay": gettext("on-delay {x}"),
        "set_point": gettext("set point {x}"),
        "reading": gettext("reading {x}"),
        "start": gettext("start at {x}"),
    }
    values = [label.format(x=inputs.quantity(name)) for name, label in labels.items() if name in inputs]
    told += [gettext("Known: {values}.").format(values=", ".join(values))] if values else []
    if not solved:
        told.append(gettext("How far the true value is past the level is asked."))
    elif ramp.late is not None:
        sentence = gettext("It is {late} late; by then the true value has gone {past} past the level.")
        told.append(sentence.format(late=_late(inputs, ramp), past=_past(inputs, ramp)))
        if true := _true(inputs, ramp):
            told.append(gettext("The true value is then {true}.").format(true=true))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw both lines, the level, and the two times that pass."""
    ramp, board = read(inputs), sheet.board()
    falling = ramp.rate < 0.0
    sheet.arrow(board, (LEFT, LOW), (RIGHT + 8, LOW), sheet.theme.quiet, linewidth=sheet.thin)
    sheet.arrow(board, (LEFT, LOW), (LEFT, HIGH + 8), sheet.theme.quiet, linewidth=sheet.thin)
    sheet.text(board, RIGHT + 14, LOW, gettext("time"), sheet.theme.quiet, va="center")
    _ramps(sheet, board, falling)
    _level_line(sheet, board, inputs, falling)
    _times(sheet, board, inputs, ramp, solved, falling)
    head = gettext("rate {rate}").format(rate=inputs.quantity("rate"))
    sheet.text(board, 12, 244, head, sheet.theme.known, va="center")
    if "start" in inputs:
        start = gettext("from {start}").format(start=inputs.quantity("start"))
        sheet.text(board, 448, 244, start, sheet.theme.known, ha="right", va="center")


def _y(x: float, falling: bool) -> float:
    """Height of the true line over a place, in points."""
    rise = STEEP * (x - LEFT)
    return HIGH - 18 - rise if falling else LOW + 12 + rise


def _ramps(sheet: Sheet, board: Axes, falling: bool) -> None:
    """The true line, and the reading that bends into a line of the same slope."""
    end = LEFT + CROSSING + LAG + WAIT + 14
    sheet.line(board, [LEFT, end], [_y(LEFT, falling), _y(end, falling)], sheet.theme.ink, linewidth=sheet.thick)
    bend = [LEFT + 4.0 * i for i in range(int((RIGHT - LEFT) / 4) + 1)]
    short = LAG / 2.5
    trail = [x - LAG * (1.0 - 2.718281828 ** (-(x - LEFT) / short)) for x in bend]
    kept = [(x, max(behind, LEFT)) for x, behind in zip(bend, trail, strict=True)]
    ys = [_y(behind, falling) for _, behind in kept]
    sheet.line(board, [x for x, _ in kept], ys, sheet.theme.ink, linestyle="--")
    x, y = (LEFT + 42, _y(LEFT, falling) - 42) if falling else (end - 14, _y(end, falling))
    sheet.text(board, x, y, gettext("true"), ha="right", va="center")
    sheet.text(board, RIGHT + 4, _y(RIGHT - LAG, falling), gettext("reading"), va="center")


def _level_line(sheet: Sheet, board: Axes, inputs: Inputs, falling: bool) -> None:
    y = _y(LEFT + CROSSING, falling)
    sheet.line(board, [LEFT, RIGHT + 16], [y, y], sheet.theme.known, linestyle="-.", linewidth=sheet.thin * 1.3)
    name = _level(inputs)
    label = gettext("set point") if name == "set_point" else gettext("reading now")
    if name in inputs:
        sheet.text(board, 452, y + 11, label, sheet.theme.known, ha="right", va="center")
        sheet.text(board, 452, y - 11, inputs.quantity(name), sheet.theme.known, ha="right", va="center", weight="bold")


def _times(sheet: Sheet, board: Axes, inputs: Inputs, ramp: Ramp, solved: bool, falling: bool) -> None:
    """Lag and delay as arrows, and how far the true line has gone past by then."""
    x, y = LEFT + CROSSING, _y(LEFT + CROSSING, falling)
    stops = [x, x + LAG] + ([x + LAG + WAIT] if "delay" in inputs else [])
    heads: dict[str, Any] = {"arrowstyle": "<|-|>,head_width=0.25,head_length=0.5"}
    base = LOW + 16
    for start, end in pairwise(stops):
        sheet.arrow(board, (start, base), (end, base), sheet.theme.known, **heads)
    for stop in stops:
        sheet.line(board, [stop, stop], [LOW, y], sheet.theme.quiet, linestyle=":", linewidth=sheet.thin)
    lag = " + ".join(inputs.quantity(name, "s") for name in LAGS if name in inputs) or (
        "" if solved else gettext("lag ?")
    )
    style: dict[str, Any] = {"ha": "center", "va": "center"}
    sheet.text(board, (stops[0] + stops[1]) / 2, LOW - 14, lag, sheet.theme.known, **style)
    if "delay" in inputs:
        middle = (stops[1] + stops[2]) / 2 + 22
        delay = gettext("delay {x}").format(x=inputs.quantity("delay", "s"))
        sheet.text(board, middle, base + 16, delay, sheet.theme.known, **style)
    top = _y(stops[-1], falling)
    color = sheet.theme.answer if solved else sheet.theme.quiet
    sheet.arrow(board, (stops[-1], y), (stops[-1], top), color, **heads)
    past = _past(inputs, ramp)
    told = f"? {ramp.unit}" if not solved else gettext("past {x}").format(x=past) if past else ""
    right: dict[str, Any] = {"ha": "right", "va": "center", "weight": "bold"}
    sheet.text(board, 452, y - 42 if falling else y + 40, told, color if solved else "", **right)
    if solved:
        _results(sheet, board, inputs, ramp, falling)


def _results(sheet: Sheet, board: Axes, inputs: Inputs, ramp: Ramp, falling: bool) -> None:
    """How late, and the true value by then, where the lines leave room."""
    late, true = _late(inputs, ramp), _true(inputs, ramp)
    rows = [gettext("late {x}").format(x=late)] if late else []
    rows += [gettext("true {x}").format(x=true)] if true else []
    for number, text in enumerate(rows):
        x, side = (452, "right") if falling else (LEFT + 12, "left")
        y = HIGH - 2 - 22 * number
        sheet.text(board, x, y, text, sheet.theme.answer, ha=side, va="center", weight="bold")
