"""Worksheets of strand S4: the least current that a contact needs, and what leaks past an open one."""

from __future__ import annotations

import math
from collections.abc import Callable

from trainer.calculations.contacts import suppressor_leakage
from trainer.worksheets.catalog.contact_loads import CAUTIONS, SOURCES
from trainer.worksheets.tolerance import relative
from trainer.worksheets.worksheet import Worksheet

MILLI = 1000.0

# Least current through a contact

least_current = Worksheet(
    "least-contact-current",
    "Least current through a power contact",
    "S4.6",
    sources=(
        "A film on a contact is broken through by its least load, which its maker gives: common practice",
        SOURCES[1],
    ),
    cautions=CAUTIONS[:1],
)
least_current.given("voltage", "Supply of the input, DC", symbol="U", unit="V")
least_current.given("input_resistance", "Resistance of the input", symbol=r"R_\mathrm{in}", unit="kΩ")
least_current.given("least", "Least current of the contact", symbol=r"I_\mathrm{min}", unit="mA")


@least_current.step(
    "Current of the input alone",
    name="alone",
    symbol=r"I_\mathrm{in}",
    formula=r"\frac{<voltage>}{<input_resistance>}",
    rule="Volts over kilohms give milliamperes.",
    unit="mA",
    tolerance=relative(1.0, 0.02),
)
def alone(voltage: float, input_resistance: float) -> float:
    return voltage / input_resistance


@alone.slip("Volts over kilohms: divide, do not multiply.")
def volts_times_ohms(voltage: float, input_resistance: float) -> float:
    return voltage * input_resistance


@least_current.step(
    "Current that is missing",
    name="missing",
    symbol=r"\Delta I",
    formula="<least> - <alone>",
    rule="The contact needs its least current in all: what the input does not draw is missing.",
    unit="mA",
    tolerance=relative(1.0, 0.05),
)
def missing(least: float, alone: float) -> float:
    return least - alone


@missing.slip("The input draws a part of it already: take its current off.")
def input_overlooked(least: float) -> float:
    return least


@missing.slip("Take the current of the input off the least current: both flow through the contact.")
def added_to_least(least: float, alone: float) -> float:
    return least + alone


@least_current.step(
    "Largest resistor in parallel with the input",
    name="resistor",
    symbol="R",
    formula=r"\frac{<voltage>}{<missing>}",
    rule="It lies at the same voltage and has to draw the missing current: volts over milliamperes give kilohms.",
    unit="kΩ",
    tolerance=relative(2.0, 0.01),
)
def resistor(voltage: float, missing: float) -> float:
    return voltage / missing


@resistor.slip("The resistor lies in parallel: it has the whole voltage and its own current.")
def in_series(voltage: float, least: float, input_resistance: float) -> float | None:
    in_all = voltage / least - input_resistance
    return abs(in_all)


@least_current.step(
    "Power of that resistor",
    name="power",
    symbol="P",
    formula=r"\frac{<voltage>^2}{1000 \times <resistor>}",
    rule="Voltage squared over ohms: it tells how large the resistor has to be built.",
    unit="W",
    tolerance=relative(3.0, 0.002),
)
def power(voltage: float, resistor: float) -> float:
    return voltage**2 / (MILLI * resistor)


@power.slip("Voltage squared over resistance: the square is missing.")
def not_squared(voltage: float, resistor: float) -> float:
    return voltage / (MILLI * resistor)


# Leakage of a suppressor across the contact

leakage_sheet = Worksheet(
    "suppressor-leakage",
    "Leakage through a suppressor across an open contact",
    "S4.6",
    sources=("Reactance of a capacitor is 1 over 2 pi f C; the resistor in series hardly counts", SOURCES[0]),
    cautions=(
        *CAUTIONS,
        "Behind an open contact with a suppressor a circuit is not dead: it is no means of isolation.",
    ),
)
leakage_sheet.given("voltage", "Supply, AC", symbol="U", unit="V")
leakage_sheet.given("frequency", "Frequency", symbol="f", unit="Hz")
leakage_sheet.given("capacitance", "Capacitance of the suppressor", symbol="C", unit="µF")
leakage_sheet.given("hold", "Current at which the input or relay lets go", symbol=r"I_\mathrm{off}", unit="mA")
LETS_GO, HELD = "it lets go", "it may stay on: move the suppressor to the load"


@leakage_sheet.step(
    "Reactance of the capacitor",
    name="reactance",
    symbol=r"X_C",
    formula=r"\frac{1000}{2 \pi \times <frequency> \times <capacitance>}",
    rule="One over 2 pi f C; with microfarads, 1000 over it gives kilohms.",
    unit="kΩ",
    tolerance=relative(1.0, 0.05),
)
def reactance(frequency: float, capacitance: float) -> float:
    return 1.0 / suppressor_leakage(1.0, frequency, capacitance)


@reactance.slip("The frequency of a sine wave counts 2 pi times: leave neither the 2 nor the pi out.")
def two_pi_left_out(frequency: float, capacitance: float) -> float:
    return MILLI / (frequency * capacitance)


@reactance.slip("Half of it is missing: it is 2 pi f C, not pi f C.")
def two_left_out(frequency: float, capacitance: float) -> float:
    return 2.0 / suppressor_leakage(1.0, frequency, capacitance)


@leakage_sheet.step(
    "Leakage current",
    name="leakage",
    symbol=r"I_\mathrm{L}",
    formula=r"\frac{<voltage>}{<reactance>}",
    rule="Nearly all of the supply lies across the capacitor: volts over kilohms give milliamperes.",
    unit="mA",
    tolerance=relative(2.0, 0.05),
)
def leakage(voltage: float, reactance: float) -> float:
    return voltage / reactance


@leakage.slip("The effective value counts, as the meter shows it: the peak is 1.41 times as much.")
def peak_taken(voltage: float, reactance: float) -> float:
    return math.sqrt(2.0) * voltage / reactance


@leakage_sheet.step(
    "With the contact open",
    name="outcome",
    kind="choice",
    options=(LETS_GO, HELD),
    rule="A leakage above the current at which it lets go may hold it on.",
)
def outcome(leakage: float, hold: float) -> str:
    return HELD if leakage > hold else LETS_GO


def _when(condition: Callable[[float, float], bool], answer: str) -> Callable[[float, float], str | None]:
    def wrong(leakage: float, hold: float) -> str | None:
        return answer if condition(leakage, hold) else None

    return wrong


outcome.slip("The leakage is above the current at which it lets go: it may stay on.", name="held_overlooked")(
    _when(lambda leakage, hold: leakage > hold, LETS_GO)
)
outcome.slip("The leakage is below the current at which it lets go: it drops out.", name="lets_go_overlooked")(
    _when(lambda leakage, hold: leakage <= hold, HELD)
)


@leakage_sheet.refuse
def leakage_too_close_to_call(leakage: float, hold: float) -> bool:
    return abs(leakage / hold - 1.0) < 0.08
