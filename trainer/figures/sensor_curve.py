"""Resistance of a thermometer against temperature, with one point of it known, asked or both."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.calculations import rtd
from trainer.calculations.curves import CURVES, IEC_60751, Curve
from trainer.errors import NotFound
from trainer.figures.shown import Inputs
from trainer.language import gettext
from trainer.units import convert

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

SPAN, STEP = 300.0, 50.0  # of the part of the curve that is shown [°C]: the point lies near its middle
MIDDLE = 100.0  # of the part shown where there is no point [°C]
PIECES = 60
# Where a label on the axis stays clear of the curve even if the point is in its lower corner, in parts of the plot.
CLEAR_OF_CURVE, CLEAR_OF_CORNER = 0.3, 0.17
LATE = 0.7  # from here on a label does not fit to the right of its line
COARSE = 100  # where something is asked, its line is drawn to a whole hundredth of the axis


@dataclass(frozen=True)
class Point:
    """The curve and the point on it; `temperature` [°C] and `resistance` [Ω], and which of them is asked."""

    curve: Curve
    r0: float
    temperature: float | None
    resistance: float | None
    asked: str

    @property
    def window(self) -> tuple[float, float]:
        """Part of the curve that is shown [°C]."""
        middle = MIDDLE if self.temperature is None else self.temperature
        low = STEP * round((middle - SPAN / 2) / STEP)
        low = max(min(low, self.curve.highest - SPAN), self.curve.lowest)
        return low, min(low + SPAN, self.curve.highest)


def read(inputs: Inputs, solved: bool) -> Point:
    """Read the inputs; a coordinate that is not among them is worked out, to be drawn."""
    curve, r0 = _curve(inputs), inputs.number("r0", "Ω")
    temperature = inputs.number("temperature", "°C") if "temperature" in inputs else None
    resistance = inputs.number("resistance", "Ω") if "resistance" in inputs else None
    asked = ""
    if temperature is not None and resistance is None:
        asked, resistance = "resistance", rtd.resistance(temperature, r0, curve)
    elif resistance is not None and temperature is None:
        asked, temperature = "temperature", rtd.temperature(resistance, r0, curve)
    return Point(curve, r0, temperature, resistance, "" if solved else asked)


def _curve(inputs: Inputs) -> Curve:
    if "curve" not in inputs:
        return IEC_60751
    wanted = str(inputs["curve"].value)
    for curve in CURVES:
        if wanted in (curve.name, curve.name.rpartition(" ")[2]):
            return curve
    raise NotFound(f"there is no curve '{wanted}'; there are {', '.join(curve.name for curve in CURVES)}")


def words(inputs: Inputs, solved: bool) -> str:
    """The curve, the part of it that is shown, and its point."""
    point = read(inputs, solved)
    low, high = point.window
    unit = inputs.unit("temperature", "°C")
    told = [
        gettext("Resistance against temperature of {sensor}, from {low} to {high}.").format(
            sensor=_sensor(inputs, point),
            low=_end(inputs, point, low, unit),
            high=_end(inputs, point, high, unit),
        )
    ]
    if point.asked == "resistance":
        known = _temperature(inputs, point)
        told.append(gettext("A line from the temperature {known} meets the curve; the resistance there is asked.").format(
            known=known
        ))  # fmt: skip
    elif point.asked == "temperature":
        known = _resistance(inputs, point)
        told.append(gettext("A line from the resistance {known} meets the curve; the temperature there is asked.").format(
            known=known
        ))  # fmt: skip
    elif point.temperature is not None:
        told.append(gettext("A point is marked: {temperature} and {resistance}.").format(
            temperature=_temperature(inputs, point), resistance=_resistance(inputs, point)
        ))  # fmt: skip
    return " ".join(told)


def _end(inputs: Inputs, point: Point, temperature: float, unit: str) -> str:
    """An end of the part of the curve that is shown, by both its coordinates."""
    resistance = inputs.show(rtd.resistance(temperature, point.r0, point.curve), 0, "Ω")
    return f"{inputs.show(convert(temperature, '°C', unit), 0, unit)} ({resistance})"


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the curve and its point."""
    point = read(inputs, solved)
    unit, (low, high) = inputs.unit("temperature", "°C"), point.window
    temperatures = [low + (high - low) * i / PIECES for i in range(PIECES + 1)]
    xs = [convert(each, "°C", unit) for each in temperatures]
    ys = [rtd.resistance(each, point.r0, point.curve) for each in temperatures]
    plot = sheet.plot(62, 52, 380, 150)
    margin = 0.06 * (ys[-1] - ys[0])
    plot.set(xlim=(xs[0], xs[-1]), ylim=(ys[0] - margin, ys[-1] + margin))
    sheet.line(plot, xs, ys, sheet.theme.ink, linewidth=2.5)
    board = sheet.board()
    sheet.text(board, 12, 240, _sensor(inputs, point), va="center")
    sheet.text(board, 12, 216, gettext("Resistance, {unit}").format(unit="Ω"), sheet.theme.quiet, va="center")
    temperature = gettext("Temperature, {unit}").format(unit=unit)
    sheet.text(board, 442, 14, temperature, sheet.theme.quiet, ha="right", va="center")
    sheet.ticks(plot.xaxis, inputs.decimal, few=point.asked == "temperature")
    sheet.ticks(plot.yaxis, inputs.decimal, few=point.asked == "resistance")
    if point.temperature is not None and point.resistance is not None:
        _mark(sheet, plot, inputs, point, convert(point.temperature, "°C", unit), point.resistance)


def _mark(sheet: Sheet, plot: Axes, inputs: Inputs, point: Point, x: float, y: float) -> None:
    """Lines that join the point to both axes; an asked one has an arrow, a question mark and no exact place."""
    (left, right), (bottom, top) = plot.get_xlim(), plot.get_ylim()
    color = sheet.theme.known if point.asked else sheet.theme.answer
    if point.asked == "temperature":
        x = _coarse(x, left, right)
    elif point.asked == "resistance":
        y = _coarse(y, bottom, top)
    sheet.line(plot, [x], [y], color, marker="o", markersize=9)
    for name, end in (("resistance", (left, y)), ("temperature", (x, bottom))):
        if name == point.asked:
            sheet.arrow(plot, (x, y), end, color, linestyle="--")
        else:
            sheet.line(plot, [x, end[0]], [y, end[1]], color)
    asked = {"text": "?", "color": sheet.theme.ink, "fontsize": 18, "weight": "bold"}
    told = {"text": _resistance(inputs, point), "color": color, "weight": "bold"}
    clear = bottom + CLEAR_OF_CURVE * (top - bottom)
    sheet.text(plot, left, max(y, clear), shift=(8, 5), **(asked if point.asked == "resistance" else told))
    told["text"] = _temperature(inputs, point)
    late = (x - left) / (right - left) > LATE
    side = {"shift": (-8, 7), "ha": "right"} if late else {"shift": (8, 7)}
    clear = left + CLEAR_OF_CORNER * (right - left)
    sheet.text(plot, max(x, clear), bottom, **side, **(asked if point.asked == "temperature" else told))


def _coarse(value: float, low: float, high: float) -> float:
    return low + round((value - low) / (high - low) * COARSE) / COARSE * (high - low)


def _sensor(inputs: Inputs, point: Point) -> str:
    return gettext("{curve}, {r0} at {zero}").format(
        curve=gettext(point.curve.name), r0=inputs.quantity("r0", "Ω"), zero=inputs.show(0.0, 0, "°C")
    )


def _temperature(inputs: Inputs, point: Point) -> str:
    if "temperature" in inputs:
        return inputs.quantity("temperature", "°C")
    assert point.temperature is not None
    return inputs.show(point.temperature, 1, "°C")


def _resistance(inputs: Inputs, point: Point) -> str:
    if "resistance" in inputs:
        return inputs.quantity("resistance", "Ω")
    assert point.resistance is not None
    return inputs.show(point.resistance, 2 if point.r0 < 500.0 else 1, "Ω")
