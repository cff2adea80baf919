"""Worksheets of strand S4: what a contact has to carry, what it needs at least, and what leaks past it."""

from __future__ import annotations

from trainer.calculations.contacts import inrush_current, load_current
from trainer.worksheets.tolerance import relative
from trainer.worksheets.worksheet import Step, Worksheet

SOURCES = (
    "Load categories AC-15 and DC-13 for coils: IEC 60947-5-1 (from memory)",
    "Real power is voltage times current times power factor: definition",
)
CAUTIONS = (
    "Alarm contacts may carry the supply of another circuit after this panel is isolated: prove dead on both.",
    "Work on line voltage is for licensed people under local codes; ratings are those of the maker's instructions.",
)
GOOD, STEADY, INRUSH = "it will do", "interpose a relay: steady current too high", "interpose a relay: inrush too high"
DIODE, NETWORK = "a diode across the coil", "a resistor and capacitor, or a varistor, across the coil"
NOTHING = "nothing"


def _add_on(sheet: Worksheet, right: str) -> Step:
    step = sheet.step(
        "What belongs across the coil",
        name="add_on",
        kind="choice",
        options=(DIODE, NETWORK, NOTHING),
        rule="A coil strikes back when it is switched off: a diode on DC, a network or a varistor on AC.",
    )(lambda: right)
    step.slip("Switching a coil off makes a voltage that wears the contact and disturbs others: it needs a way out.")(
        nothing_across
    )
    return step


def nothing_across() -> str:
    return NOTHING


# A contactor coil on AC

ac_coil = Worksheet("coil-load-ac", "A coil on AC behind an alarm contact", "S4.6", sources=SOURCES, cautions=CAUTIONS)
ac_coil.given("power", "Real power of the coil", symbol="P", unit="W")
ac_coil.given("voltage", "Supply of the coil, AC", symbol="U", unit="V")
ac_coil.given("power_factor", "Power factor", symbol=r"\cos\varphi")
ac_coil.given("inrush", "Inrush over steady current", symbol="k")
ac_coil.given("breaking", "Contact rating for coils, breaking", symbol=r"I_\mathrm{b}", unit="A")
ac_coil.given("making", "Contact rating for coils, making", symbol=r"I_\mathrm{m}", unit="A")


@ac_coil.step(
    "Steady current",
    name="steady",
    symbol="I",
    formula=r"\frac{<power>}{<voltage> \times <power_factor>}",
    rule="Real power over voltage and power factor: a coil draws more current than its watts tell.",
    unit="A",
    tolerance=relative(2.0, 0.002),
)
def steady(power: float, voltage: float, power_factor: float) -> float:
    return load_current(power, voltage, power_factor)


@steady.slip("Watts over volts is the current of a heater; a coil has a power factor to divide by.")
def no_power_factor(power: float, voltage: float) -> float:
    return load_current(power, voltage)


@steady.slip("Divide by the power factor: the smaller it is, the more current flows.")
def power_factor_multiplied(power: float, voltage: float, power_factor: float) -> float:
    return load_current(power, voltage) * power_factor


@ac_coil.step(
    "Inrush current",
    name="closing",
    symbol=r"I_\mathrm{in}",
    formula=r"<inrush> \times <steady>",
    rule="At the moment of closing a coil draws so many times its steady current.",
    unit="A",
    tolerance=relative(2.0, 0.01),
)
def closing(steady: float, inrush: float) -> float:
    return inrush_current(steady, inrush)


@closing.slip("That is the steady current; while the contactor pulls in it draws many times that.")
def no_inrush(steady: float) -> float:
    return steady


_ac_add_on = _add_on(ac_coil, NETWORK)


@_ac_add_on.slip("On AC a diode conducts in every other half wave and shorts the supply: it belongs on DC coils.")
def diode_on_ac() -> str:
    return DIODE


@ac_coil.step(
    "The contact",
    name="verdict",
    kind="choice",
    options=(GOOD, STEADY, INRUSH),
    rule="Compare the steady current with the breaking rating and the inrush with the making rating, both for coils.",
)
def verdict(steady: float, closing: float, breaking: float, making: float) -> str:
    if steady > breaking:
        return STEADY
    return INRUSH if closing > making else GOOD


@verdict.slip("The steady current, step 1, is above the breaking rating.")
def steady_overlooked(steady: float, breaking: float) -> str | None:
    return GOOD if steady > breaking else None


@verdict.slip("The inrush, step 2, is above the making rating.")
def inrush_overlooked(steady: float, closing: float, breaking: float, making: float) -> str | None:
    return GOOD if steady <= breaking and closing > making else None


@verdict.slip("The inrush belongs beside the making rating: the contact breaks the steady current only.")
def inrush_beside_breaking(steady: float, closing: float, breaking: float, making: float) -> str | None:
    return INRUSH if steady <= breaking < closing <= making else None


@ac_coil.refuse
def ac_too_close_to_call(steady: float, closing: float, breaking: float, making: float) -> bool:
    return abs(steady / breaking - 1.0) < 0.06 or abs(closing / making - 1.0) < 0.06


# A solenoid on DC

dc_coil = Worksheet("coil-load-dc", "A coil on DC behind an alarm contact", "S4.6", sources=SOURCES, cautions=CAUTIONS)
dc_coil.given("power", "Power of the coil", symbol="P", unit="W")
dc_coil.given("voltage", "Supply of the coil, DC", symbol="U", unit="V")
dc_coil.given("rating_ac", "Contact rating for coils on AC", symbol=r"I_\mathrm{AC}", unit="A")
dc_coil.given("rating_dc", "Contact rating for coils on DC, at this voltage", symbol=r"I_\mathrm{DC}", unit="A")


@dc_coil.step(
    "Steady current",
    name="current",
    symbol="I",
    formula=r"\frac{<power>}{<voltage>}",
    rule="On DC watts over volts is the current; there is no power factor.",
    unit="A",
    tolerance=relative(2.0, 0.002),
)
def current(power: float, voltage: float) -> float:
    return load_current(power, voltage)


@current.slip("Watts over volts, not volts over watts.")
def upside_down(power: float, voltage: float) -> float:
    return voltage / power


@dc_coil.step(
    "Share of the rating",
    name="share",
    symbol="s",
    formula=r"\frac{<current>}{<rating_dc>} \times 100",
    rule="Take the rating for this voltage, for DC, and for coils: DC has no zero crossing to put the arc out.",
    unit="%",
    tolerance=relative(2.0, 0.5),
)
def share(current: float, rating_dc: float) -> float:
    return current / rating_dc * 100.0


@share.slip("That is the share of the AC rating: DC has no zero crossing, the arc holds, and the rating is smaller.")
def ac_rating_taken(current: float, rating_ac: float) -> float:
    return current / rating_ac * 100.0


@share.slip("Current over rating, times 100: a share above 100 % is too much.")
def rating_over_current(current: float, rating_dc: float) -> float:
    return rating_dc / current * 100.0


_dc_add_on = _add_on(dc_coil, DIODE)


@_dc_add_on.slip("That works on AC; on DC a diode across the coil, blocking in service, is the usual way.")
def network_on_dc() -> str:
    return NETWORK


@dc_coil.step(
    "The contact",
    name="verdict",
    kind="choice",
    options=(GOOD, STEADY),
    rule="A share of more than 100 % of the rating for DC coils wants a relay in between.",
)
def dc_verdict(share: float) -> str:
    return STEADY if share > 100.0 else GOOD


@dc_verdict.slip("The share, step 2, is above 100 %: the contact cannot break that on DC.")
def dc_rating_exceeded(share: float) -> str | None:
    return GOOD if share > 100.0 else None


@dc_verdict.slip("The share, step 2, is below 100 %: the contact will do.")
def dc_rating_kept(share: float) -> str | None:
    return STEADY if share <= 100.0 else None


@dc_coil.refuse
def dc_too_close_to_call(share: float) -> bool:
    return abs(share - 100.0) < 6.0
