"""Process range and signal range as two bars side by side, the same fraction of span at the same height."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.calculations.signals import Signal, fraction, signal_from_value, span_between, value_from_signal
from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

LEFT, RIGHT, BAR = 100.0, 330.0, 30.0  # left edges and width of the bars, in points
HEIGHT, BOTTOM, BOTTOM_REVERSE = 148.0, 56.0, 22.0
BELOW_AT_MOST = 0.25  # the part below a live zero, in spans; 4 to 20 mA has just this much
BEYOND = 0.1  # how far a mark may go past the end of a bar, in spans
ROOM, CROWDED = 35.0, 208.0  # for two labels under each other; from here up a label meets the heading, in points


@dataclass(frozen=True)
class Bars:
    """What the bars show; `value` and `signal` are None where they are not known."""

    lower: float
    upper: float
    signal: Signal
    reverse: bool
    value: float | None
    reading: float | None

    @property
    def ends(self) -> tuple[float, float]:
        """Process values at the lowest and at the highest signal."""
        return (self.upper, self.lower) if self.reverse else (self.lower, self.upper)

    @property
    def height(self) -> float | None:
        """Fraction of the process span at which the mark stands, None where nothing is marked."""
        if self.value is not None:
            return fraction(self.value, self.lower, self.upper)
        if self.reading is None:
            return None
        share = fraction(self.reading, self.signal.low, self.signal.high)
        return 1.0 - share if self.reverse else share

    @property
    def below(self) -> float:
        """Part of the signal below its live zero, in spans."""
        return max(self.signal.low, 0.0) / self.signal.span


def read(inputs: Inputs, solved: bool) -> Bars:
    """Read the inputs; in the solved form what is missing of value and signal is worked out."""
    lower, upper = inputs.number("lower"), inputs.number("upper", inputs.unit("lower"))
    signal_unit = inputs.unit("signal_low")
    signal = Signal(inputs.number("signal_low"), inputs.number("signal_high", signal_unit), signal_unit)
    if signal.span < 0.0:
        raise TrainerError("figure 'range bars': signal_low lies above signal_high; say reverse instead")
    span_between("range", lower, upper)
    value = inputs.number("value", inputs.unit("lower")) if "value" in inputs else None
    reading = inputs.number("signal", signal_unit) if "signal" in inputs else None
    bars = Bars(lower, upper, signal, "reverse" in inputs, value, reading)
    if solved and value is None and reading is not None:
        value = value_from_signal(reading, *bars.ends, signal)
    elif solved and reading is None and value is not None:
        reading = signal_from_value(value, *bars.ends, signal)
    return Bars(lower, upper, signal, bars.reverse, value, reading)


def words(inputs: Inputs, solved: bool) -> str:
    """Both ranges, what stands on them, and in the open form what is asked."""
    bars = read(inputs, solved)
    told = [
        gettext("Process range from {lower} to {upper} beside the signal range from {low} to {high}.").format(
            lower=inputs.quantity("lower"),
            upper=inputs.quantity("upper"),
            low=inputs.quantity("signal_low"),
            high=inputs.quantity("signal_high"),
        )
    ]
    if bars.reverse:
        told.append(gettext("Reverse acting: the lowest signal belongs to the upper range value."))
    if bars.below:
        live = gettext("The signal has a live zero: the part from zero to {low} belongs to no process value.")
        told.append(live.format(low=inputs.quantity("signal_low")))
    value, signal = _value(inputs, bars), _signal(inputs, bars)
    if value and signal:
        both = gettext("The process value {value} and the signal {signal} stand at the same height.")
        told.append(both.format(value=value, signal=signal))
    elif value:
        told.append(gettext("The process value {value} is marked; the signal is asked.").format(value=value))
    elif signal:
        told.append(gettext("The signal {signal} is marked; the process value is asked.").format(signal=signal))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the bars, their ends, and what is marked or asked."""
    bars, board = read(inputs, solved), sheet.board()
    low = BOTTOM_REVERSE if bars.reverse and bars.below else BOTTOM
    high = low + HEIGHT
    for left, title, unit in (
        (LEFT, gettext("Process range"), inputs.unit("lower")),
        (RIGHT, gettext("Signal range"), inputs.unit("signal_low")),
    ):
        sheet.text(board, left + BAR / 2, 240, f"{title}, {unit}" if unit else title, ha="center", va="center")
        _bar(sheet, board, left, low, high)
    starts, ends = (high, low) if bars.reverse else (low, high)
    _number(sheet, board, inputs, "lower", LEFT - 12, low, "right")
    _number(sheet, board, inputs, "upper", LEFT - 12, high, "right")
    _number(sheet, board, inputs, "signal_low", RIGHT + BAR + 12, starts, "left")
    _number(sheet, board, inputs, "signal_high", RIGHT + BAR + 12, ends, "left")
    if bars.below:
        _live_zero(sheet, board, starts, 1.0 if bars.reverse else -1.0, bars.below)
    if bars.height is not None:
        _marks(sheet, board, inputs, bars, low, bars.height)


def _bar(sheet: Sheet, board: Axes, left: float, low: float, high: float, filled: bool = True) -> None:
    face, line = (sheet.theme.fill, "-") if filled else ("none", "--")
    xs, ys = [left, left + BAR, left + BAR, left], [low, low, high, high]
    board.fill(xs, ys, facecolor=face, edgecolor=sheet.theme.quiet, linewidth=sheet.thin, linestyle=line)


def _number(sheet: Sheet, board: Axes, inputs: Inputs, name: str, x: float, y: float, side: str) -> None:
    sheet.text(board, x, y, inputs.show(inputs.number(name), inputs[name].decimals), ha=side, va="center")


def _live_zero(sheet: Sheet, board: Axes, start: float, way: float, below: float) -> None:
    """The part of the signal that no process value uses, to scale as far as there is room."""
    end = start + way * HEIGHT * min(below, BELOW_AT_MOST)
    _bar(sheet, board, RIGHT, start, end, filled=False)
    beside = RIGHT + BAR + 12
    sheet.text(board, beside, start + way * 19, gettext("live zero"), sheet.theme.quiet, va="center")
    if below <= BELOW_AT_MOST and HEIGHT * below >= ROOM:
        sheet.text(board, beside, end, "0", sheet.theme.quiet, va="center")


def _marks(sheet: Sheet, board: Axes, inputs: Inputs, bars: Bars, low: float, height: float) -> None:
    """Value and signal joined at one height, or the one that is known and a question mark along the other bar."""
    y = low + HEIGHT * min(max(height, -BEYOND), 1.0 + BEYOND)
    value, signal = _value(inputs, bars), _signal(inputs, bars)
    joined = bool(value and signal)
    color = sheet.theme.answer if joined else sheet.theme.known
    if joined:
        sheet.line(board, [LEFT + BAR, RIGHT], [y, y], color, linestyle="--")
    for text, bar, label, side, va in (
        (value, LEFT, LEFT + BAR + 10, "left", "top" if y > CROWDED else "bottom"),
        (signal, RIGHT, RIGHT - 10, "right", "top"),
    ):
        if text:
            sheet.line(board, [bar - 4, bar + BAR + 4], [y, y], color, linewidth=2 * sheet.thick)
            gap = 3 if va == "bottom" else -3
            sheet.text(board, label, y + gap, text, color, ha=side, va=va, weight="bold")
        else:
            _question(sheet, board, inputs, label, low, side)


def _question(sheet: Sheet, board: Axes, inputs: Inputs, x: float, low: float, side: str) -> None:
    """A question mark for the whole length of a bar, so that it says nothing of the height asked for."""
    unit = inputs.unit("lower" if side == "left" else "signal_low")
    heads = "<|-|>,head_width=0.25,head_length=0.5"
    sheet.arrow(board, (x, low), (x, low + HEIGHT), sheet.theme.quiet, arrowstyle=heads)
    beside = x + 8 if side == "left" else x - 8
    text = f"? {unit}".rstrip()
    sheet.text(board, beside, low + HEIGHT / 2, text, ha=side, va="center", fontsize=sheet.large, weight="bold")


def _value(inputs: Inputs, bars: Bars) -> str:
    """The process value with its unit; one that was worked out shows a digit more than the range."""
    if "value" in inputs:
        return inputs.quantity("value", inputs.unit("lower"))
    decimals = max(inputs["lower"].decimals, inputs["upper"].decimals) + 1
    return "" if bars.value is None else inputs.show(bars.value, decimals, inputs.unit("lower"))


def _signal(inputs: Inputs, bars: Bars) -> str:
    """The signal with its unit; one that was worked out shows two decimals."""
    if "signal" in inputs:
        return inputs.quantity("signal", inputs.unit("signal_low"))
    return "" if bars.reading is None else inputs.show(bars.reading, 2, inputs.unit("signal_low"))
