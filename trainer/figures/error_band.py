"""Permitted error of a sensor against temperature: the funnel that is narrowest at 0 °C, and a point in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext
from trainer.units import convert

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

REACHES = (50.0, 100.0, 200.0, 400.0, 600.0, 1000.0, 1800.0)  # far ends of what is shown [°C]
LOWEST = -200.0
COLD_END = -40.0  # where most classes of thermocouples begin [°C]
LATE = 0.6  # from here on a label does not fit to the right of its line
DIFFERENCE = "°C (difference)"


@dataclass(frozen=True)
class Band:
    """Permitted error ±(fixed + slope |t|), or the greater of the two, with a temperature and an error [°C]."""

    fixed: float
    slope: float
    adds: bool
    temperature: float | None
    error: float | None

    def width(self, temperature: float) -> float:
        """Half-width of the band at a temperature [°C]."""
        share = self.slope * abs(temperature)
        return self.fixed + share if self.adds else max(self.fixed, share)

    @property
    def window(self) -> tuple[float, float]:
        """Temperatures that are shown [°C]."""
        there = 0.0 if self.temperature is None else self.temperature
        wanted = 1.15 * abs(there) if there else REACHES[2]
        reach = next((each for each in REACHES if each >= wanted), REACHES[-1])
        if there < 0.0:
            return max(-reach, LOWEST), reach / 2
        return max(-reach / 2, LOWEST if self.adds else COLD_END), reach


def read(inputs: Inputs) -> Band:
    """Read the inputs."""
    temperature, error = inputs.known("temperature", "°C"), inputs.known("error", DIFFERENCE)
    if "base" in inputs and "per_degree" in inputs:
        return Band(inputs.number("base", DIFFERENCE), inputs.number("per_degree"), True, temperature, error)
    if "fixed" in inputs and "percent" in inputs:
        slope = inputs.number("percent") / 100.0
        return Band(inputs.number("fixed", DIFFERENCE), slope, False, temperature, error)
    raise TrainerError("figure 'error band' needs base and per_degree, or fixed and percent")


def _rule(inputs: Inputs, band: Band) -> str:
    """The rule of the class as a formula."""
    if band.adds:
        base = inputs.show(band.fixed, inputs["base"].decimals)
        slope = inputs.show(band.slope, inputs["per_degree"].decimals)
        return f"±({base} + {slope} |t|) °C"
    fixed = inputs.show(band.fixed, inputs["fixed"].decimals, "°C")
    share = inputs.show(band.slope * 100.0, inputs["percent"].decimals, "%")
    return gettext("±{fixed} or ±{share} of t, the greater").format(fixed=fixed, share=share)


def _permitted(inputs: Inputs, band: Band, temperature: float) -> str:
    """The half-width as it was kept, or as it is worked out."""
    if "permitted" in inputs:
        return inputs.show(inputs.number("permitted", DIFFERENCE), inputs["permitted"].decimals, "°C")
    return inputs.show(band.width(temperature), 2, "°C")


def words(inputs: Inputs, solved: bool) -> str:
    """The rule, the part shown, and the point."""
    band = read(inputs)
    low, high = (inputs.show(end, 0, "°C") for end in band.window)
    told = [
        gettext("Permitted error of a sensor from {low} to {high}: a band on both sides of zero, {rule}.").format(
            low=low, high=high, rule=_rule(inputs, band)
        )
    ]
    if band.temperature is None:
        return " ".join(told)
    at = inputs.quantity("temperature", "°C")
    if not solved:
        return " ".join([*told, gettext("A line stands at {at}; the error permitted there is asked.").format(at=at)])
    permitted = _permitted(inputs, band, band.temperature)
    told.append(gettext("At {at} an error of ±{permitted} is permitted.").format(at=at, permitted=permitted))
    if band.error is not None:
        inside = abs(band.error) <= band.width(band.temperature)
        sentence = gettext("The error found, {error}, lies inside the band.")
        if not inside:
            sentence = gettext("The error found, {error}, lies outside the band.")
        told.append(sentence.format(error=_error(inputs, band.error)))
    return " ".join(told)


def _error(inputs: Inputs, error: float) -> str:
    return inputs.show(error, inputs["error"].decimals, "°C")


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the funnel and what stands in it."""
    band, unit = read(inputs), inputs.unit("temperature", "°C")
    plot, board = sheet.plot(66, 52, 368, 146), sheet.board()
    low, high = band.window
    temperatures = [low + (high - low) * i / 60 for i in range(61)] + [0.0]
    temperatures.sort()
    xs = [convert(each, "°C", unit) for each in temperatures]
    ys = [band.width(each) for each in temperatures]
    most = max(*ys, abs(band.error or 0.0)) * 1.15
    plot.set(xlim=(xs[0], xs[-1]), ylim=(-most, most))
    plot.fill([*xs, *reversed(xs)], [*ys, *(-y for y in reversed(ys))], facecolor=sheet.theme.fill, zorder=0)
    sheet.line(plot, xs, ys, sheet.theme.ink)
    sheet.line(plot, xs, [-y for y in ys], sheet.theme.ink)
    sheet.line(plot, [xs[0], xs[-1]], [0, 0], sheet.theme.quiet, linewidth=sheet.thin)
    sheet.ticks(plot.xaxis, inputs.decimal)
    sheet.ticks(plot.yaxis, inputs.decimal, few=band.temperature is not None and not solved)
    sheet.text(board, 12, 240, _rule(inputs, band), va="center")
    sheet.text(board, 12, 216, gettext("Error, {unit}").format(unit="°C"), sheet.theme.quiet, va="center")
    label = gettext("Temperature, {unit}").format(unit=unit)
    sheet.text(board, 442, 14, label, sheet.theme.quiet, ha="right", va="center")
    if band.temperature is not None:
        _mark(sheet, plot, inputs, band, band.temperature, solved)
    if band.error is not None:
        found = gettext("found {error}").format(error=_error(inputs, band.error))
        sheet.text(board, 442, 216, found, sheet.theme.known, ha="right", va="center")


def _mark(sheet: Sheet, plot: Axes, inputs: Inputs, band: Band, temperature: float, solved: bool) -> None:
    """The temperature, and the band there or a question mark."""
    x, (left, right), (bottom, top) = inputs.number("temperature"), plot.get_xlim(), plot.get_ylim()
    late = (x - left) / (right - left) > LATE
    beside: dict[str, Any] = {"ha": "right" if late else "left"}
    shift, width = (-8 if late else 8), band.width(temperature)
    color = sheet.theme.answer if solved else sheet.theme.known
    at = inputs.quantity("temperature", "°C")
    sheet.text(plot, x, bottom, at, color, (shift, 3), weight="bold", **beside)
    if not solved:
        sheet.line(plot, [x, x], [bottom, top], color, linestyle="--")
        sheet.text(plot, x, 0, "? °C", "", (shift, 4), fontsize=sheet.large, weight="bold", **beside)
        return
    sheet.line(plot, [x, x], [bottom, -width], color, linestyle=":", linewidth=sheet.thin)
    heads = "<|-|>,head_width=0.3,head_length=0.6"
    sheet.arrow(plot, (x, -width), (x, width), color, arrowstyle=heads)
    text = f"±{_permitted(inputs, band, temperature)}"
    sheet.text(plot, x, 0, text, color, (shift, 4), weight="bold", **beside)
    if band.error is not None:
        sheet.line(plot, [x], [band.error], sheet.theme.known, marker="X", markersize=11, zorder=5)
