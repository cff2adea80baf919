"""Resistance of an NTC thermistor against temperature, steep when cold and flat when hot, with the asked point."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.calculations.thermistor import Beta
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from trainer.figures.style import Sheet

REFERENCE = 25.0  # where no other is told [°C]
LOWEST, HIGHEST = 0.0, 100.0  # of the axis, widened to hold the point [°C]
PIECES = 80


def _sensor(inputs: Inputs) -> Beta:
    reference = inputs.known("reference")
    return Beta(inputs.number("nominal"), inputs.number("beta"), REFERENCE if reference is None else reference)


def _point(inputs: Inputs, solved: bool) -> tuple[float | None, float | None]:
    """Temperature [°C] and resistance [Ω]; in the solved form what is missing is worked out."""
    temperature, resistance = inputs.known("temperature"), inputs.known("resistance")
    if solved and temperature is not None and resistance is None:
        resistance = _sensor(inputs).resistance(temperature)
    elif solved and resistance is not None and temperature is None:
        temperature = _sensor(inputs).temperature(resistance)
    return temperature, resistance


def words(inputs: Inputs, solved: bool) -> str:
    """The curve, and the point or what is asked of it."""
    temperature, resistance = _point(inputs, solved)
    told = [
        gettext(
            "Curve of a thermistor of {nominal} and beta {beta}: the resistance falls, fast when it is cold."
        ).format(nominal=inputs.amount("nominal"), beta=inputs.amount("beta"))
    ]
    ohms = "" if resistance is None else inputs.show(resistance, 0, "Ω")
    degrees = "" if temperature is None else inputs.show(temperature, 1, "°C")
    if ohms and degrees:
        told.append(gettext("{ohms} belong to {degrees}.").format(ohms=ohms, degrees=degrees))
    elif ohms:
        told.append(gettext("{ohms} are marked; the temperature is asked.").format(ohms=ohms))
    elif degrees:
        told.append(gettext("{degrees} are marked; the resistance is asked.").format(degrees=degrees))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the curve and the lines to the point."""
    sensor, (temperature, resistance) = _sensor(inputs), _point(inputs, solved)
    board, plot = sheet.board(), sheet.plot(70, 52, 372, 160)
    low, high = min(LOWEST, temperature or 0.0), max(HIGHEST, temperature or 0.0)
    xs = [low + (high - low) * number / PIECES for number in range(PIECES + 1)]
    top = max(sensor.resistance(low), resistance or 0.0) / 1000.0
    plot.set(xlim=(low, high), ylim=(0, 1.05 * top))
    sheet.line(plot, xs, [sensor.resistance(x) / 1000.0 for x in xs], sheet.theme.ink, linewidth=sheet.thick)
    sheet.text(board, 12, 240, gettext("Resistance, {unit}").format(unit="kΩ"), sheet.theme.quiet, va="center")
    sheet.text(
        board, 442, 14, gettext("Temperature, {unit}").format(unit="°C"), sheet.theme.quiet, ha="right", va="center"
    )
    sheet.ticks(plot.xaxis, inputs.decimal, few=temperature is None)
    sheet.ticks(plot.yaxis, inputs.decimal, few=resistance is None)
    color = sheet.theme.answer if solved else sheet.theme.known
    look: dict[str, Any] = {"linestyle": "-", "linewidth": sheet.thin * 1.4}
    right, height = (
        high if temperature is None else temperature,
        1.05 * top if resistance is None else resistance / 1000,
    )
    if temperature is not None:
        sheet.line(plot, [temperature, temperature], [0, height], color, **look)
    if resistance is not None:
        sheet.line(plot, [low, right], [height, height], color, **look)
    if temperature is not None and resistance is not None:
        sheet.line(plot, [temperature], [height], color, marker="o", markersize=9)
        told = f"{inputs.show(resistance, 0, 'Ω')}, {inputs.show(temperature, 1, '°C')}"
        sheet.text(board, 442, 240, told, color, ha="right", va="center", weight="bold")
    elif temperature is not None or resistance is not None:
        sheet.text(board, 442, 240, "?", fontsize=sheet.large, ha="right", va="center", weight="bold")
