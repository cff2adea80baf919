"""Worksheets of strand S1: thermistors of falling resistance (NTC)."""

from __future__ import annotations

import math

from trainer.calculations.elementary import exp, log
from trainer.calculations.ranges import within
from trainer.calculations.temperatures import convert
from trainer.calculations.thermistor import KELVIN, Beta, SteinhartHart
from trainer.worksheets.tolerance import relative
from trainer.worksheets.worksheet import Worksheet

REFERENCE = 25.0  # °C: the temperature of the nominal resistance, common practice
BETA_SOURCES = ("Beta equation of NTC thermistors: R = R25 exp(B (1/T - 1/T25)), T in kelvin, T25 = 298.15 K",)
CUBIC_SOURCES = ("J. S. Steinhart and S. R. Hart, Deep-Sea Research 15 (1968), pages 497-503",)
INVERSE_REFERENCE = 1.0 / (REFERENCE + KELVIN)
UNIT_OF_INVERSE = "1/K"


def _beta_givens(sheet: Worksheet) -> None:
    sheet.given("nominal", "Resistance at 25 °C", symbol="R_{25}", unit="Ω", decimals=0)
    sheet.given("beta", "Beta", symbol="B", unit="K", decimals=0)


# Temperature to resistance

thermistor_resistance = Worksheet(
    "thermistor-resistance", "Resistance of a thermistor at a temperature", "S1.9", sources=BETA_SOURCES
)
_beta_givens(thermistor_resistance)
thermistor_resistance.given("temperature", "Temperature", symbol="t", unit="°C")


@thermistor_resistance.step(
    "Temperature in kelvin",
    symbol="T",
    formula="<temperature> + 273.15",
    rule="The equation takes kelvin only: add 273.15.",
    unit="K",
    tolerance=0.05,
    decimals=2,
)
def kelvin(temperature: float) -> float:
    return convert(temperature, "°C", to="K")


@kelvin.slip("The equation takes kelvin only: add 273.15 first.")
def celsius_kept(temperature: float) -> float:
    return temperature


@kelvin.slip("That is degrees Fahrenheit; the equation takes kelvin.")
def fahrenheit_taken(temperature: float) -> float:
    return convert(temperature, "°C", to="°F")


@thermistor_resistance.step(
    "Exponent",
    symbol="x",
    formula=r"<beta> (\frac{1}{<kelvin>} - \frac{1}{298.15})",
    rule="Take 1/298.15 off 1/T and multiply by beta; above 25 °C this is negative.",
    tolerance=0.003,
    decimals=4,
)
def exponent(beta: float, kelvin: float) -> float:
    return beta * (1.0 / kelvin - INVERSE_REFERENCE)


@exponent.slip("The sign is turned round: an NTC falls as it warms, so the exponent is negative above 25 °C.")
def sign_turned(beta: float, kelvin: float) -> float:
    return beta * (INVERSE_REFERENCE - 1.0 / kelvin)


@thermistor_resistance.step(
    "Resistance",
    symbol="R",
    formula="<nominal> e^{<exponent>}",
    rule="Raise e to the exponent and multiply by the resistance at 25 °C.",
    unit="Ω",
    tolerance=relative(0.5, 1.0),
)
def resistance(nominal: float, exponent: float) -> float:
    ohms = nominal * exp(exponent)
    within("resistance", ohms, 0.1, 1e9, "Ω")  # beyond it kelvin were forgotten
    return ohms


@resistance.slip("The base is e, 2.718, not ten.")
def ten_for_e(nominal: float, exponent: float) -> float:
    return float(nominal * 10.0**exponent)


@resistance.slip("A straight line through 25 °C: the thermistor curve is anything but straight.")
def straight_line(nominal: float, exponent: float) -> float:
    return nominal * (1.0 + exponent)


# Resistance to temperature

thermistor_temperature = Worksheet(
    "thermistor-temperature", "Temperature from the resistance of a thermistor", "S1.9", sources=BETA_SOURCES
)
_beta_givens(thermistor_temperature)
thermistor_temperature.given("true_temperature", "Temperature of the thermistor", unit="°C", hidden=True)


@thermistor_temperature.prepared("Measured resistance", symbol="R", unit="Ω", decimals=0)
def measured(nominal: float, beta: float, true_temperature: float) -> float:
    return round(Beta(nominal, beta, REFERENCE).resistance(true_temperature))


@thermistor_temperature.step(
    "Logarithm of the ratio",
    symbol="x",
    formula=r"\ln \frac{<measured>}{<nominal>}",
    rule="Divide the reading by the resistance at 25 °C and take the natural logarithm.",
    tolerance=0.002,
    decimals=4,
)
def log_ratio(measured: float, nominal: float) -> float:
    return log(measured / nominal)


@log_ratio.slip("That is the logarithm to base ten: the equation wants the natural one, the ln key.")
def base_ten(measured: float, nominal: float) -> float:
    return math.log10(measured / nominal)


@log_ratio.slip("The ratio is upside down: the reading stands above the resistance at 25 °C.")
def upside_down(measured: float, nominal: float) -> float:
    return log(nominal / measured)


@thermistor_temperature.step(
    "One over the temperature in kelvin",
    symbol="y",
    formula=r"\frac{1}{298.15} + \frac{<log_ratio>}{<beta>}",
    rule="Divide the logarithm by beta and add it to 1/298.15.",
    unit=UNIT_OF_INVERSE,
    tolerance=0.0000005,
    decimals=7,
)
def inverse(log_ratio: float, beta: float) -> float:
    return INVERSE_REFERENCE + log_ratio / beta


@thermistor_temperature.step(
    "Temperature",
    symbol="t",
    formula=r"\frac{1}{<inverse>} - 273.15",
    rule="Turn it over to get kelvin, then take 273.15 off.",
    unit="°C",
    tolerance=0.1,
)
def temperature(inverse: float) -> float:
    return 1.0 / inverse - KELVIN


@temperature.slip("That is the temperature in kelvin: take 273.15 off.")
def left_in_kelvin(inverse: float) -> float:
    return 1.0 / inverse


@temperature.slip("Taking a fixed share per degree holds for a degree or two only: work with the logarithm.")
def same_share_per_degree(measured: float, nominal: float, beta: float) -> float:
    return REFERENCE - (measured / nominal - 1.0) / (beta * INVERSE_REFERENCE**2)


# The three coefficients of Steinhart and Hart

steinhart_hart_temperature = Worksheet(
    "steinhart-hart-temperature",
    "Temperature of a thermistor by the Steinhart-Hart equation",
    "S1.9",
    sources=CUBIC_SOURCES,
)
steinhart_hart_temperature.given("a", "Coefficient A, in thousandths", symbol="A'")
steinhart_hart_temperature.given("b", "Coefficient B, in ten-thousandths", symbol="B'")
steinhart_hart_temperature.given("c", "Coefficient C, in hundred-millionths", symbol="C'")
steinhart_hart_temperature.given("resistance", "Measured resistance", symbol="R", unit="Ω")


@steinhart_hart_temperature.step(
    "Natural logarithm of the resistance",
    name="logarithm",
    symbol="L",
    formula=r"\ln <resistance>",
    rule="Take the natural logarithm of the resistance in ohms.",
    tolerance=0.0005,
)
def logarithm(resistance: float) -> float:
    return log(resistance)


@logarithm.slip("That is the logarithm to base ten: the equation wants the natural one, the ln key.")
def log_ten(resistance: float) -> float:
    return math.log10(resistance)


@logarithm.slip("The coefficients are for ohms: put the resistance in ohms, not in kilohms.")
def kilohms(resistance: float) -> float:
    return log(resistance / 1000.0)


@steinhart_hart_temperature.step(
    "One over the temperature in kelvin",
    name="inverse",
    symbol="y",
    formula=r"<a> \times 10^{-3} + <b> \times 10^{-4} \times <logarithm> + <c> \times 10^{-8} \times <logarithm>^3",
    rule="Add A, B times the logarithm and C times its cube.",
    unit=UNIT_OF_INVERSE,
    tolerance=0.0000005,
    decimals=7,
)
def inverse_of_cubic(a: float, b: float, c: float, logarithm: float) -> float:
    curve = SteinhartHart(a * 1e-3, b * 1e-4, c * 1e-8)
    return 1.0 / convert(curve.temperature(exp(logarithm)), "°C", to="K")


@inverse_of_cubic.slip("C goes with the cube of the logarithm, not with the logarithm itself.")
def cube_forgotten(a: float, b: float, c: float, logarithm: float) -> float:
    return a * 1e-3 + b * 1e-4 * logarithm + c * 1e-8 * logarithm


@inverse_of_cubic.slip("C goes with the third power of the logarithm; that is the square.")
def square_for_cube(a: float, b: float, c: float, logarithm: float) -> float:
    return a * 1e-3 + b * 1e-4 * logarithm + c * 1e-8 * logarithm**2


@inverse_of_cubic.slip("Cube the logarithm; the logarithm of the cube is only three times as large.")
def logarithm_of_cube(a: float, b: float, c: float, logarithm: float) -> float:
    return a * 1e-3 + b * 1e-4 * logarithm + c * 1e-8 * 3.0 * logarithm


@steinhart_hart_temperature.step(
    "Temperature",
    name="temperature",
    symbol="t",
    formula=r"\frac{1}{<inverse>} - 273.15",
    rule="Turn it over to get kelvin, then take 273.15 off.",
    unit="°C",
    tolerance=0.1,
)
def temperature_of_cubic(inverse: float) -> float:
    return 1.0 / inverse - KELVIN


@temperature_of_cubic.slip("That is the temperature in kelvin: take 273.15 off.", name="left_in_kelvin")
def left_in_kelvin_again(inverse: float) -> float:
    return 1.0 / inverse
