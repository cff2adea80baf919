"""Worksheets of strand S1: what the measuring current does, and position as a resistance."""

from __future__ import annotations

from trainer.calculations import potentiometer, rtd
from trainer.worksheets.tolerance import of_span, relative
from trainer.worksheets.worksheet import Worksheet

HEATING_SOURCES = ("IEC 60751: self-heating of resistance thermometers; power I²R over the dissipation constant",)
TRACK_SOURCES = ("Voltage division along a resistance track, Ohm's law",)


# Self-heating of a resistance thermometer

self_heating = Worksheet("self-heating", "Self-heating of an RTD", "S1.8", sources=HEATING_SOURCES)
self_heating.given("r0", "Resistance at 0 °C", symbol="R_0", unit="Ω", decimals=0)
self_heating.given("temperature", "Temperature", symbol="t", unit="°C")
self_heating.given("current", "Measuring current", symbol="I", unit="mA")
self_heating.given("dissipation", "Dissipation constant", symbol="D", unit="mW/K")


@self_heating.step(
    "Resistance at the temperature",
    symbol="R",
    formula=(r"<r0> (1 + 3.9083 \times 10^{-3} \times <temperature> - 5.775 \times 10^{-7} \times <temperature>^2)"),
    rule="Take the resistance that the sensor has at its temperature, from the curve or the table.",
    unit="Ω",
    tolerance=relative(0.2, 0.02),
)
def resistance(temperature: float, r0: float) -> float:
    return rtd.resistance(temperature, r0)


@resistance.slip("That is the resistance in ice: at its temperature the sensor has more.")
def ice_resistance(r0: float) -> float:
    return r0


@self_heating.step(
    "Power in the sensor",
    symbol="P",
    formula=r"\frac{<current>^2 \times <resistance>}{1000}",
    rule="Square the current in mA, multiply by the ohms, and divide by 1000 to get mW.",
    unit="mW",
    tolerance=relative(1.0, 0.0001),
)
def power(current: float, resistance: float) -> float:
    return rtd.self_heating(current, resistance, 1.0)


@power.slip("The current counts squared: twice the current heats four times as much.")
def not_squared(current: float, resistance: float) -> float:
    return current * resistance / 1000.0


@self_heating.step(
    "Rise of the sensor",
    symbol=r"\Delta t",
    formula=r"\frac{<power>}{<dissipation>}",
    rule="Divide the power by what one kelvin carries off; the sensor reads that much high.",
    unit="K (difference)",
    tolerance=relative(2.0, 0.0001),
)
def rise(power: float, dissipation: float) -> float:
    return power / dissipation


@rise.slip("The better heat is carried off, the smaller the rise: divide by the dissipation constant.")
def multiplied(power: float, dissipation: float) -> float:
    return power * dissipation


@rise.slip("That is upside down: power stands above the dissipation constant.")
def inverted(power: float, dissipation: float) -> float:
    return dissipation / power


# Potentiometer: position from the voltage at the wiper

potentiometer_position = Worksheet(
    "potentiometer-position", "Position from the wiper of a potentiometer", "S1.10", sources=TRACK_SOURCES
)
potentiometer_position.given("supply", "Supply of the track", symbol="U", unit="V")
potentiometer_position.given("wiper", "Voltage at the wiper", symbol="U_w", unit="V")
potentiometer_position.given("lower", "Position at the low end", symbol="x_0")
potentiometer_position.given("upper", "Position at the high end", symbol="x_{100}")


@potentiometer_position.step(
    "Voltage ratio",
    symbol="q",
    formula=r"\frac{<wiper>}{<supply>}",
    rule="Divide the voltage at the wiper by the voltage across the track.",
    tolerance=0.001,
    possible=(0.0, 1.0),
)
def ratio(wiper: float, supply: float) -> float:
    return wiper / supply


@ratio.slip("That is the part above the wiper: the position is counted from the low end.")
def counted_from_top(wiper: float, supply: float) -> float:
    return 1.0 - wiper / supply


@ratio.slip("Divide by the supply measured at the track, not by the round figure on the plate.")
def nominal_supply(wiper: float, supply: float) -> float | None:
    nominal = 10.0 if supply > 7.5 else 5.0
    return None if abs(nominal - supply) < 0.02 * nominal else wiper / nominal


@potentiometer_position.step(
    "Position",
    symbol="x",
    formula="<lower> + <ratio> (<upper> - <lower>)",
    rule="Go that part of the travel up from the position at the low end.",
    unit="as lower",
    tolerance=of_span(0.3),
)
def position(ratio: float, lower: float, upper: float) -> float:
    return lower + potentiometer.wiper_position(ratio, 1.0) * (upper - lower)


@position.slip("That is the distance from the low end: add the position at the low end.")
def low_end_forgotten(ratio: float, lower: float, upper: float) -> float | None:
    return ratio * (upper - lower) if lower else None


@position.slip("Travel is the position at the high end less that at the low end.")
def high_end_for_travel(ratio: float, lower: float, upper: float) -> float | None:
    return lower + ratio * upper if lower else None


# Two-wire resistance sender with leads

resistance_sender = Worksheet(
    "resistance-sender", "Level or position from a two-wire resistance sender", "S1.10", sources=TRACK_SOURCES
)
resistance_sender.given("measured", "Resistance at the input", symbol="R", unit="Ω")
resistance_sender.given("lead", "Resistance of one lead", symbol="R_L", unit="Ω")
resistance_sender.given("at_zero", "Sender at the lower end", symbol="R_0", unit="Ω", decimals=0)
resistance_sender.given("at_full", "Sender at the upper end", symbol="R_{100}", unit="Ω", decimals=0)
resistance_sender.given("lower", "Value at the lower end", symbol="x_0")
resistance_sender.given("upper", "Value at the upper end", symbol="x_{100}")


@resistance_sender.step(
    "Resistance of the sender",
    symbol="R_s",
    formula=r"<measured> - 2 \times <lead>",
    rule="The current runs out and back: take both leads off.",
    unit="Ω",
    tolerance=0.05,
)
def sender(measured: float, lead: float) -> float:
    return measured - 2.0 * lead


@sender.slip("The leads are in series with the sender: take them off first.")
def leads_left_in(measured: float) -> float:
    return measured


@sender.slip("That is one lead: the current runs out and back through two.")
def one_lead(measured: float, lead: float) -> float:
    return measured - lead


@resistance_sender.step(
    "Part of the travel",
    symbol="f",
    formula=r"\frac{<sender> - <at_zero>}{<at_full> - <at_zero>}",
    rule="Measure from the resistance at the lower end and divide by the whole change, signs kept.",
    tolerance=0.001,
    possible=(0.0, 1.0),
)
def travel(sender: float, at_zero: float, at_full: float) -> float:
    return potentiometer.resistance_fraction(sender, at_zero, at_full)


@travel.slip("That is the part counted from the other end: which resistance belongs to the lower end?")
def from_other_end(sender: float, at_zero: float, at_full: float) -> float:
    return potentiometer.resistance_fraction(sender, at_full, at_zero)


@travel.slip("The sender has some resistance left at its low-ohm end: take that off the reading and off the whole.")
def residual_ignored(sender: float, at_zero: float, at_full: float) -> float:
    part = sender / max(at_zero, at_full)
    return part if at_full > at_zero else 1.0 - part


@resistance_sender.step(
    "Value",
    symbol="x",
    formula="<lower> + <travel> (<upper> - <lower>)",
    rule="Go that part of the range up from its lower end.",
    unit="as lower",
    tolerance=of_span(0.3),
)
def value(travel: float, lower: float, upper: float) -> float:
    return lower + travel * (upper - lower)


@value.slip("That is the distance from the lower end: add the value there.")
def lower_forgotten(travel: float, lower: float, upper: float) -> float | None:
    return travel * (upper - lower) if lower else None


# An input that loads the wiper

wiper_loading = Worksheet(
    "wiper-loading", "Error of a potentiometer loaded by its input", "S1.10", sources=TRACK_SOURCES
)
wiper_loading.given("track", "Resistance of the track", symbol="R_t", unit="kΩ")
wiper_loading.given("load", "Resistance of the input", symbol="R_i", unit="kΩ")
wiper_loading.given("position", "True position", symbol="p", unit="%")


@wiper_loading.step(
    "Lower part of the track with the input beside it",
    symbol="R_p",
    formula=(
        r"\frac{\frac{<position>}{100} \times <track> \times <load>}{\frac{<position>}{100} \times <track> + <load>}"
    ),
    rule="The input lies in parallel with the part of the track below the wiper.",
    unit="kΩ",
    tolerance=relative(0.2, 0.0001),
)
def parallel(position: float, track: float, load: float) -> float:
    below = position / 100.0 * track
    return below * load / (below + load)


@parallel.slip("The input draws current from the wiper: it lies in parallel with the lower part of the track.")
def load_ignored(position: float, track: float) -> float:
    return position / 100.0 * track


@parallel.slip("The input lies across the part below the wiper, not across the whole track.")
def across_whole_track(track: float, load: float) -> float:
    return track * load / (track + load)


@wiper_loading.step(
    "Position that the input sees",
    symbol="p'",
    formula=r"100 \times \frac{<parallel>}{<parallel> + (1 - \frac{<position>}{100}) \times <track>}",
    rule="Divide that by itself and the upper part of the track together.",
    unit="%",
    tolerance=0.05,
)
def seen(parallel: float, position: float, track: float) -> float:
    return 100.0 * parallel / (parallel + (1.0 - position / 100.0) * track)


@seen.slip("The input changes the lower part, so the sum is no longer the resistance of the track.")
def whole_track_below(parallel: float, track: float) -> float:
    return 100.0 * parallel / track


@wiper_loading.step(
    "Error",
    symbol="e",
    formula="<seen> - <position>",
    rule="Error is what the input sees less the true position.",
    unit="% of span",
    tolerance=0.06,
    decimals=2,
)
def loading_error(seen: float, position: float) -> float:
    return seen - position


@loading_error.slip("That is the error as a part of the position: percent of travel was asked.")
def part_of_position(seen: float, position: float) -> float:
    return 100.0 * (seen - position) / position
