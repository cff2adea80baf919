"""Worksheets of strand S5: what a current says, its band, its likely cause and what to do first."""

from __future__ import annotations

from collections.abc import Callable

from trainer.calculations.burdens import burden_voltage
from trainer.calculations.counts import Scaling, scaling
from trainer.calculations.fault_levels import BANDS, band
from trainer.calculations.signals import MA_4_20
from trainer.worksheets.worksheet import FigureUse, Worksheet

SOURCES = (
    "NAMUR NE 43, edition of 2003: measuring from 3.8 to 20.5 mA, fault at 3.6 mA and below or 21.0 mA and above",
    "What a loop can carry tells a dead one from a fault signal: common practice",
)
CAUTIONS = (
    "Opening a current loop takes the signal from all that is in series with it: tell the operator and have the bypass "
    "in place first, under the site's own procedure.",
)
BETWEEN_LOW, BETWEEN_HIGH = "between fault and measuring, low", "between measuring and fault, high"
FAULT_LOW, UNDER, MEASURING, OVER, FAULT_HIGH = (BANDS[index] for index in (0, 2, 3, 4, 6))
OPTIONS = (FAULT_LOW, BETWEEN_LOW, UNDER, MEASURING, OVER, BETWEEN_HIGH, FAULT_HIGH)
LIVE_AT_LEAST = 3.0  # mA: a loop-powered transmitter draws more than this as long as it lives

DEAD = "the loop is dead: no supply, blown fuse, broken wire"
SENSOR = "the transmitter reports a fault: broken sensor or wire to it"
PROCESS_LOW, PROCESS_HIGH = "the process is just below the range", "the process is just above the range"
PROCESS = "the process is within the range"
CURRENT_ITSELF = "the current is not what the transmitter means: leak, lack of supply, adjustment"
CAUSES = (DEAD, SENSOR, PROCESS_LOW, PROCESS, PROCESS_HIGH, CURRENT_ITSELF)

USE = "use the value"
BELIEVE = "believe the process first: check it another way"
SUPPLY = "do not use the value; measure supply and fuse, then follow the wire"
INPUT = "do not use the value; look at the transmitter and its sensor"
BOTH_ENDS = "do not trust it; measure the current at both ends of the pair"
ACTIONS = (USE, BELIEVE, SUPPLY, INPUT, BOTH_ENDS)


def classify(current: float) -> str:
    """Band of a current, the two gaps told apart."""
    found = band(current)
    if found in OPTIONS:
        return found
    return BETWEEN_LOW if current < MA_4_20.low else BETWEEN_HIGH


def likely_cause(current: float, band: str) -> str:
    """What is most likely behind a current of a band."""
    if current < LIVE_AT_LEAST:
        return DEAD
    causes = {UNDER: PROCESS_LOW, MEASURING: PROCESS, OVER: PROCESS_HIGH, FAULT_LOW: SENSOR, FAULT_HIGH: SENSOR}
    return causes.get(band, CURRENT_ITSELF)


def first_action(cause: str) -> str:
    """What to do first about a cause."""
    actions = {DEAD: SUPPLY, SENSOR: INPUT, PROCESS: USE, CURRENT_ITSELF: BOTH_ENDS}
    return actions.get(cause, BELIEVE)


def _taken(found: str, wrong: str) -> Callable[[float], str | None]:
    """One band taken for another."""
    return lambda current: wrong if classify(current) == found else None


def _declare_band(sheet: Worksheet) -> None:
    """Steps from a current to its band, the likely cause and the first action."""
    step = sheet.step(
        "Band",
        name="band",
        kind="choice",
        options=OPTIONS,
        rule="To 3.6 mA and from 21.0 mA: fault. From 4 to 20 mA: measuring. From 3.8 to 20.5 mA it is the process.",
    )(classify)
    for found, wrong, name, told in (
        (FAULT_LOW, UNDER, "fault_taken_for_cold", "At 3.6 mA and below the reading says fault, not a very low value."),
        (FAULT_LOW, BETWEEN_LOW, "fault_taken_for_gap", "A fault signal begins at 3.6 mA and goes all the way down."),
        (UNDER, FAULT_LOW, "under_range_taken_for_fault", "Down to 3.8 mA a healthy transmitter follows the process."),
        (
            BETWEEN_LOW,
            FAULT_LOW,
            "low_gap_taken_for_fault",
            "A low fault signal is at 3.6 mA or below: look once more.",
        ),
        (BETWEEN_LOW, UNDER, "low_gap_taken_for_process", "A healthy transmitter stops at 3.8 mA: look once more."),
        (OVER, FAULT_HIGH, "over_range_taken_for_fault", "Up to 20.5 mA a healthy transmitter follows the process."),
        (
            BETWEEN_HIGH,
            FAULT_HIGH,
            "high_gap_taken_for_fault",
            "A high fault signal begins at 21.0 mA: look once more.",
        ),
        (BETWEEN_HIGH, OVER, "high_gap_taken_for_process", "A healthy transmitter stops at 20.5 mA: look once more."),
        (
            FAULT_HIGH,
            OVER,
            "fault_taken_for_hot",
            "At 21.0 mA and above the reading says fault, not a very high value.",
        ),
        (MEASURING, UNDER, "measuring_taken_for_under", "From 4 to 20 mA the transmitter measures."),
    ):
        step.slip(told, name=name)(_taken(found, wrong))
    _declare_cause(sheet)
    _declare_action(sheet)


def _declare_cause(sheet: Worksheet) -> None:
    step = sheet.step(
        "Likely cause",
        name="cause",
        kind="choice",
        options=CAUSES,
        rule=(
            "A live loop-powered transmitter draws some 3.2 to 3.5 mA itself: nearly nothing is a dead loop. A fault "
            "signal is sent on purpose. Just outside the range it is the process."
        ),
    )(likely_cause)
    step.slip("No transmitter sends nearly 0 mA on purpose: with a live loop it draws some 3.2 to 3.5 mA itself.")(
        dead_loop_taken_for_signal
    )
    step.slip("A dead loop carries next to nothing: this current is sent on purpose.")(signal_taken_for_dead_loop)
    step.slip("A little outside the range is what a healthy transmitter shows when the process is there.")(
        process_taken_for_sensor
    )


def dead_loop_taken_for_signal(current: float) -> str | None:
    return SENSOR if current < LIVE_AT_LEAST else None


def signal_taken_for_dead_loop(current: float, band: str) -> str | None:
    return DEAD if likely_cause(current, band) == SENSOR else None


def process_taken_for_sensor(current: float, band: str) -> str | None:
    return SENSOR if current >= LIVE_AT_LEAST and band in (UNDER, OVER) else None


def _declare_action(sheet: Worksheet) -> None:
    step = sheet.step(
        "First action",
        name="action",
        kind="choice",
        options=ACTIONS,
        rule="A fault is not a value: keep it out of control, and begin where the likely cause sits.",
    )(first_action)
    step.slip("The current tells of a fault: no value may be made of it.")(fault_used)
    step.slip("The transmitter is not heard at all: begin with what feeds it.")(transmitter_before_supply)
    step.slip("The transmitter speaks, so it has supply: begin with what it complains of.")(supply_before_transmitter)
    step.slip("A process just outside its range may be quite real: check that before looking for a fault.")(
        process_not_believed
    )


def fault_used(cause: str) -> str | None:
    return USE if cause in (DEAD, SENSOR, CURRENT_ITSELF) else None


def transmitter_before_supply(cause: str) -> str | None:
    return INPUT if cause == DEAD else None


def supply_before_transmitter(cause: str) -> str | None:
    return SUPPLY if cause == SENSOR else None


def process_not_believed(cause: str) -> str | None:
    return INPUT if cause in (PROCESS_LOW, PROCESS_HIGH) else None


# From a current

band_of_current = Worksheet(
    "band-of-current",
    "What a measured loop current says",
    "S5.1",
    figure=FigureUse("fault levels", {"current": "current"}),
    sources=SOURCES,
    cautions=CAUTIONS,
)
band_of_current.given("current", "Measured current", symbol="I", unit="mA", decimals=2)
band_of_current.given("burden", "Burden resistor of the receiver", symbol="R", unit="Ω", decimals=0)


@band_of_current.step(
    "Voltage that a meter across the burden must show",
    name="voltage",
    symbol="U",
    formula=r"\frac{<current>}{1000} \times <burden>",
    rule="Milliamperes over 1000 are amperes; amperes times ohms are volts.",
    unit="V",
    tolerance=0.005,
    decimals=3,
)
def voltage_of_current(current: float, burden: float) -> float:
    return burden_voltage(current, burden)


@voltage_of_current.slip("The whole current flows through the burden, the live zero too: take nothing off.")
def live_zero_taken_off(current: float, burden: float) -> float | None:
    return (current - MA_4_20.low) / 1000.0 * burden if current else None


@voltage_of_current.slip("Ohms times amperes are volts: multiply, do not divide.")
def divided_by_burden(current: float, burden: float) -> float | None:
    return current / burden if current > LIVE_AT_LEAST else None


_declare_band(band_of_current)


# From a voltage across a burden

band_of_voltage = Worksheet(
    "band-of-voltage",
    "What a voltage across a burden says",
    "S5.1",
    figure=FigureUse("fault levels", {"current": "current"}),
    sources=SOURCES,
    cautions=CAUTIONS,
)
band_of_voltage.given("true_current", "Current in the loop", unit="mA", hidden=True)
band_of_voltage.given("burden", "Burden resistor", symbol="R", unit="Ω", decimals=0)


@band_of_voltage.prepared("Voltage across the burden", symbol="U", unit="V", decimals=3)
def voltage(true_current: float, burden: float) -> float:
    return round(burden_voltage(true_current, burden), 3)


@band_of_voltage.step(
    "Current",
    name="current",
    symbol="I",
    formula=r"1000 \times \frac{<voltage>}{<burden>}",
    rule="Volts over ohms give amperes; times 1000, milliamperes.",
    unit="mA",
    tolerance=0.01,
)
def current_of_voltage(voltage: float, burden: float) -> float:
    return 1000.0 * voltage / burden


@current_of_voltage.slip("That is the voltage: a band is told from the current, so divide by the burden.")
def volts_as_milliamperes(voltage: float) -> float | None:
    return voltage if voltage else None


@current_of_voltage.slip("4 mA make 1 V and 20 mA make 5 V across 250 Ω only: divide by the burden that is there.")
def another_burden(voltage: float, burden: float) -> float | None:
    return 1000.0 * voltage / 250.0 if voltage and burden != 250.0 else None


_declare_band(band_of_voltage)


# From the counts of an input card

band_of_counts = Worksheet(
    "band-of-counts",
    "What the counts of an input card say",
    "S5.1",
    figure=FigureUse("fault levels", {"current": "current"}),
    sources=SOURCES,
    cautions=CAUTIONS,
)
band_of_counts.given("true_current", "Current in the loop", unit="mA", hidden=True)
band_of_counts.given("raw_low", "Counts at 4 mA", symbol="N_0", unit="counts", decimals=0)
band_of_counts.given("raw_high", "Counts at 20 mA", symbol="N_{100}", unit="counts", decimals=0)


def _card(raw_low: float, raw_high: float) -> Scaling:
    return scaling(raw_low, raw_high, MA_4_20.low, MA_4_20.high)


@band_of_counts.prepared("Counts", symbol="N", unit="counts", decimals=0)
def count(true_current: float, raw_low: float, raw_high: float) -> float:
    return float(round(_card(raw_low, raw_high).count(true_current)))


@band_of_counts.step(
    "Current",
    name="current",
    symbol="I",
    formula=r"4 + 16 \times \frac{<count> - <raw_low>}{<raw_high> - <raw_low>}",
    rule="Counts above those of 4 mA over the counts of the span, times 16 mA, on top of 4 mA.",
    unit="mA",
    tolerance=0.01,
)
def current_of_counts(count: float, raw_low: float, raw_high: float) -> float:
    return _card(raw_low, raw_high).value(count)


@current_of_counts.slip("The counts are of the span, from 4 mA up: add the live zero.")
def live_zero_not_added(count: float, raw_low: float, raw_high: float) -> float:
    return _card(raw_low, raw_high).value(count) - MA_4_20.low


@current_of_counts.slip("The counts at 4 mA come off first.")
def counts_of_zero_left_in(count: float, raw_low: float, raw_high: float) -> float | None:
    return _card(raw_low, raw_high).value(count + raw_low) if raw_low else None


@current_of_counts.slip("The counts of the span are those at 20 mA less those at 4 mA.")
def top_as_span(count: float, raw_low: float, raw_high: float) -> float | None:
    return MA_4_20.low + MA_4_20.span * (count - raw_low) / raw_high if raw_low else None


_declare_band(band_of_counts)
