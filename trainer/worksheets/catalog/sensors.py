"""Worksheets of strand S1: sensors."""

from __future__ import annotations

from trainer.calculations import rtd
from trainer.calculations.curves import IEC_60751, PLATINUM_3916
from trainer.worksheets.tolerance import share_of
from trainer.worksheets.worksheet import FigureUse, Worksheet

SOURCES = ("IEC 60751: industrial platinum resistance thermometers, R(t) = R0 (1 + A t + B t^2), alpha 0.003851",)
MEAN_SLOPE = 0.003851
A, B = IEC_60751.a, IEC_60751.b
CURVE = {"r0": "r0", "temperature": "temperature", "resistance": "resistance"}


# Temperature to resistance, at and above the ice point

rtd_resistance = Worksheet(
    "rtd-resistance",
    "Resistance of a platinum RTD at a temperature",
    "S1.1",
    figure=FigureUse("sensor curve", CURVE),
    sources=SOURCES,
)
rtd_resistance.given("r0", "Resistance at 0 °C", symbol="R_0", unit="Ω", decimals=0)
rtd_resistance.given("temperature", "Temperature", symbol="t", unit="°C")


@rtd_resistance.step(
    "Linear part",
    symbol="A t",
    formula=r"3.9083 \times 10^{-3} \times <temperature>",
    rule="A is 3.9083e-3 per °C: multiply it by the temperature in °C.",
    tolerance=0.0001,
    decimals=5,
)
def linear_part(temperature: float) -> float:
    return A * temperature


@rtd_resistance.step(
    "Curved part",
    symbol="B t^2",
    formula=r"-5.775 \times 10^{-7} \times <temperature>^2",
    rule="B is -5.775e-7 per °C squared: it is small and negative.",
    tolerance=0.00005,
    decimals=6,
)
def curved_part(temperature: float) -> float:
    return B * temperature**2


@rtd_resistance.step(
    "Resistance",
    symbol="R",
    formula="<r0> (1 + <linear_part> + <curved_part>)",
    rule="Add both parts to one and multiply by the resistance at 0 °C.",
    unit="Ω",
    tolerance=share_of("r0", 0.0002),
)
def resistance(r0: float, linear_part: float, curved_part: float) -> float:
    return r0 * (1.0 + linear_part + curved_part)


@linear_part.slip("The curve bends: 0.003851 is only the average slope from 0 to 100 °C, A is the slope at 0 °C.")
def average_slope(temperature: float) -> float:
    return MEAN_SLOPE * temperature


@curved_part.slip("B is negative: the slope of the curve falls as the sensor gets hotter.")
def sign_of_b(temperature: float) -> float:
    return -B * temperature**2


@curved_part.slip("The square belongs to the temperature alone; B is not squared.")
def b_without_square(temperature: float) -> float:
    return B * temperature


@resistance.slip("That is the straight line of the average slope: the curve bends below and above it.")
def straight_line(r0: float, temperature: float) -> float:
    return r0 * (1.0 + MEAN_SLOPE * temperature)


@resistance.slip("That is another platinum curve: check which one the sensor tag states before you use a table.")
def other_curve(r0: float, temperature: float) -> float:
    return rtd.resistance(temperature, r0, PLATINUM_3916)


@resistance.slip("That is the rise above the ice point, not the reading: the resistance at 0 °C is missing.")
def change_only(r0: float, linear_part: float, curved_part: float) -> float:
    return r0 * (linear_part + curved_part)


@resistance.slip("The name of the sensor carries its resistance at 0 °C: read the tag again.")
def other_nominal(r0: float, linear_part: float, curved_part: float) -> float:
    return (1000.0 if r0 == 100.0 else 100.0) * (1.0 + linear_part + curved_part)


@resistance.slip("The equation takes degrees Celsius only.")
def fahrenheit_put_in(r0: float, temperature: float) -> float:
    return rtd.resistance(1.8 * temperature + 32.0, r0)


# Temperature to resistance below the ice point: the same equation with its third term

rtd_resistance_cold = Worksheet(
    "rtd-resistance-below-zero",
    "Resistance of a platinum RTD below the ice point",
    "S1.1",
    figure=FigureUse("sensor curve", CURVE),
    sources=SOURCES,
)
rtd_resistance_cold.given("r0", "Resistance at 0 °C", symbol="R_0", unit="Ω", decimals=0)
rtd_resistance_cold.given("temperature", "Temperature", symbol="t", unit="°C")


@rtd_resistance_cold.step(
    "Ratio to the resistance at 0 °C",
    symbol="R/R_0",
    formula=(
        r"1 + 3.9083 \times 10^{-3} <temperature> - 5.775 \times 10^{-7} <temperature>^2"
        r" - 4.183 \times 10^{-12} (<temperature> - 100) <temperature>^3"
    ),
    rule="Below 0 °C a third term, C (t - 100) t^3 with C = -4.183e-12, joins A t and B t^2; mind the signs.",
    tolerance=0.0002,
)
def ratio(temperature: float) -> float:
    return rtd.resistance(temperature, 1.0)


@ratio.slip("The temperature is below zero: its linear part makes the ratio less than one.")
def sign_dropped(temperature: float) -> float:
    return rtd.resistance(-temperature, 1.0)


@ratio.slip("B t^2 stays negative: a negative temperature squared is positive, and B is below zero.")
def square_kept_negative(temperature: float) -> float:
    return 1.0 + A * temperature - B * temperature**2


@ratio.slip("That is the straight line of the average slope from 0 to 100 °C; below zero the slope is larger.")
def straight_line_below_zero(temperature: float) -> float:
    return 1.0 + MEAN_SLOPE * temperature


@ratio.slip("That is another platinum curve: check which one the sensor tag states.")
def other_curve_below_zero(temperature: float) -> float:
    return rtd.resistance(temperature, 1.0, PLATINUM_3916)


@rtd_resistance_cold.step(
    "Resistance",
    name="resistance",
    symbol="R",
    formula="<r0> <ratio>",
    rule="Multiply the ratio by the resistance at 0 °C.",
    unit="Ω",
    tolerance=share_of("r0", 0.0003),
)
def resistance_below_zero(r0: float, ratio: float) -> float:
    return r0 * ratio


@resistance_below_zero.slip("That is the drop from the ice point, not the reading.")
def drop_only(r0: float, ratio: float) -> float:
    return r0 * (1.0 - ratio)


@resistance_below_zero.slip("The name of the sensor carries its resistance at 0 °C: read the tag again.")
def other_nominal_below_zero(r0: float, ratio: float) -> float:
    return (1000.0 if r0 == 100.0 else 100.0) * ratio


# Resistance to temperature

rtd_temperature = Worksheet(
    "rtd-temperature",
    "Temperature from the resistance of a platinum RTD",
    "S1.2",
    figure=FigureUse("sensor curve", CURVE | {"resistance": "measured"}),
    sources=SOURCES,
)
rtd_temperature.given("r0", "Resistance at 0 °C", symbol="R_0", unit="Ω", decimals=0)
rtd_temperature.given("true_temperature", "Temperature at the sensor", unit="°C", hidden=True)


@rtd_temperature.prepared("Measured resistance", symbol="R", unit="Ω", decimals=2)
def measured(true_temperature: float, r0: float) -> float:
    return round(rtd.resistance(true_temperature, r0), 2)


@rtd_temperature.step(
    "Ratio to the resistance at 0 °C",
    name="ratio",
    symbol="r",
    formula=r"\frac{<measured>}{<r0>}",
    rule="Divide the reading by the resistance at 0 °C.",
    tolerance=0.0001,
)
def measured_ratio(measured: float, r0: float) -> float:
    return measured / r0


@measured_ratio.slip("The name of the sensor carries its resistance at 0 °C: read the tag again.", name="other_nominal")
def ratio_to_other_nominal(measured: float, r0: float) -> float | None:
    return measured / (1000.0 if r0 == 100.0 else 100.0)


@measured_ratio.slip("That is the change against 0 °C as a share; the ratio is one more than it.")
def change_as_ratio(measured: float, r0: float) -> float:
    return (measured - r0) / r0


@rtd_temperature.step(
    "Temperature",
    name="temperature",
    symbol="t",
    formula=r"\frac{-A + \sqrt{A^2 - 4 B (1 - <ratio>)}}{2 B}",
    rule="Solve 1 + A t + B t^2 = r for t with A = 3.9083e-3 and B = -5.775e-7, or read the table (below 0 °C too).",
    unit="°C",
    tolerance=0.1,
    skill="S1.2",
)
def temperature(ratio: float) -> float:
    return rtd.temperature(ratio, 1.0, IEC_60751)


@temperature.slip("The straight line of the average slope is right at 0 and 100 °C only.", name="straight_line")
def straight_line_back(ratio: float) -> float:
    return (ratio - 1.0) / MEAN_SLOPE


@temperature.slip("That is another platinum curve: check which one the sensor tag states.", name="other_curve")
def other_curve_back(ratio: float) -> float:
    return rtd.temperature(ratio, 1.0, PLATINUM_3916)


@temperature.slip("That is the reading in °F; °C was asked.")
def in_fahrenheit(ratio: float) -> float:
    return 1.8 * rtd.temperature(ratio, 1.0) + 32.0


# Temperature differences

difference_in_fahrenheit = Worksheet(
    "difference-in-fahrenheit",
    "A temperature difference in °F",
    "S1.7",
    figure=FigureUse("temperature scales", {"difference": "difference", "converted": "converted"}),
    sources=("Definition of the scales: t(°F) = 1.8 t(°C) + 32, so a difference of 1 K is one of 1.8 °F",),
)
difference_in_fahrenheit.given("difference", "Difference", symbol=r"\Delta t_C", unit="°C (difference)")


@difference_in_fahrenheit.step(
    "What is converted",
    kind="choice",
    options=("a reading", "a difference"),
    rule="A deadband, a span, an error or a tolerance is a distance between two points on the scale.",
)
def nature() -> str:
    return "a difference"


@nature.slip("A deadband, a span, an error or a tolerance is a distance on the scale: it has no place of its own.")
def taken_as_reading() -> str:
    return "a reading"


@difference_in_fahrenheit.step(
    "Difference in °F",
    symbol=r"\Delta t_F",
    formula=r"1.8 \times <difference>",
    rule="A difference is multiplied by 1.8 and nothing is added.",
    unit="°F (difference)",
    tolerance=0.05,
    decimals=2,
)
def converted(difference: float) -> float:
    return 1.8 * difference


@converted.slip("The 32 moves a point on the scale; a difference has no point, so nothing is added.")
def thirty_two_added(difference: float) -> float:
    return 1.8 * difference + 32.0


@converted.slip("A degree Fahrenheit is the smaller step: there are 1.8 of them in one degree Celsius.")
def divided(difference: float) -> float:
    return difference / 1.8


@converted.slip("The number is still in °C: 1 °C of difference is 1.8 °F.")
def unchanged(difference: float) -> float:
    return difference
