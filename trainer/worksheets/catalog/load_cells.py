"""Worksheets of strand S1: bridges in mV/V, load cells above all."""

from __future__ import annotations

from trainer.calculations import bridge
from trainer.worksheets.tolerance import relative, share_of
from trainer.worksheets.worksheet import Worksheet

SOURCES = (
    "OIML R 60: load cells, rated output in mV/V",
    "Voltage division between leads and bridge, Ohm's law",
)
CAUTION = "Nobody stands under a hanging load; prop a vessel before a load cell is taken out from under it."


def _cell(sheet: Worksheet) -> None:
    sheet.given("capacity", "Rated load of one cell", symbol="F_r")
    sheet.given("cells", "Number of cells", symbol="n", decimals=0)
    sheet.given("rated_output", "Rated output", symbol="c", unit="mV/V")
    sheet.given("excitation", "Excitation at the cells", symbol="U", unit="V")


def _full_scale(sheet: Worksheet) -> None:
    @sheet.step(
        "Signal at rated load",
        symbol="V_r",
        formula=r"<rated_output> \times <excitation>",
        rule="Multiply the rated output by the excitation: so many millivolts for each volt.",
        unit="mV",
        tolerance=0.01,
        decimals=2,
    )
    def full_scale(rated_output: float, excitation: float) -> float:
        return bridge.signal(1.0, 1.0, rated_output, excitation)

    @full_scale.slip("The rated output counts for each volt of excitation: multiply by the excitation.")
    def excitation_forgotten(rated_output: float) -> float:
        return rated_output

    @full_scale.slip("Millivolts per volt times volts gives millivolts: multiply, do not divide.")
    def divided(rated_output: float, excitation: float) -> float:
        return excitation / rated_output

    @full_scale.slip("Use the excitation measured at the cells, not the round figure on the plate.")
    def nominal_excitation(rated_output: float, excitation: float) -> float | None:
        nominal = 10.0 if excitation > 7.5 else 5.0
        return None if abs(nominal - excitation) < 0.02 * nominal else rated_output * nominal


# Load to millivolts

load_cell_signal = Worksheet(
    "load-cell-signal", "Signal of load cells under a load", "S1.11", sources=SOURCES, cautions=(CAUTION,)
)
_cell(load_cell_signal)
load_cell_signal.given("load", "Load on all cells together", symbol="F")
_full_scale(load_cell_signal)


@load_cell_signal.step(
    "Load as a part of the rated load",
    symbol="f",
    formula=r"\frac{<load>}{<cells> \times <capacity>}",
    rule="Cells joined in parallel share the load: divide by the rated load of all of them.",
    tolerance=0.001,
)
def part(load: float, cells: float, capacity: float) -> float:
    return load / (cells * capacity)


@part.slip("The cells share the load: divide by the rated load of all of them together.")
def one_cell(load: float, cells: float, capacity: float) -> float | None:
    return load / capacity if cells > 1 else None


@load_cell_signal.step(
    "Signal",
    symbol="V",
    formula=r"<part> \times <full_scale>",
    rule="Take that part of the signal at rated load.",
    unit="mV",
    tolerance=0.02,
    decimals=2,
)
def signal(part: float, full_scale: float) -> float:
    return part * full_scale


@signal.slip("Cells in parallel average their signals, they do not add them.")
def signals_added(part: float, full_scale: float, cells: float) -> float | None:
    return part * full_scale * cells**2 if cells > 1 else None


# Millivolts to load

load_cell_load = Worksheet(
    "load-cell-load", "Load from the signal of load cells", "S1.11", sources=SOURCES, cautions=(CAUTION,)
)
_cell(load_cell_load)
load_cell_load.given("empty", "Signal when empty", symbol="V_0", unit="mV")
load_cell_load.given("measured", "Measured signal", symbol="V", unit="mV")
_full_scale(load_cell_load)


@load_cell_load.step(
    "Signal of the load alone",
    symbol=r"\Delta V",
    formula="<measured> - <empty>",
    rule="Take off what the empty vessel gives.",
    unit="mV",
    tolerance=0.005,
)
def net(measured: float, empty: float) -> float:
    return measured - empty


@net.slip("The empty vessel weighs too: take its signal off first.")
def empty_left_in(measured: float) -> float:
    return measured


@net.slip("The signal of the empty vessel is in the reading already: take it off, do not add it.")
def empty_added(measured: float, empty: float) -> float:
    return measured + empty


@load_cell_load.step(
    "Load",
    symbol="F",
    formula=r"\frac{<net>}{<full_scale>} \times <cells> \times <capacity>",
    rule="Divide by the signal at rated load and multiply by the rated load of all cells together.",
    unit="as capacity",
    tolerance=share_of("capacity", 0.003),
)
def load(net: float, full_scale: float, cells: float, capacity: float) -> float:
    return net / full_scale * cells * capacity


@load.slip("The cells share the load: multiply by the rated load of all of them together.", name="one_cell")
def one_cell_only(net: float, full_scale: float, cells: float, capacity: float) -> float | None:
    return net / full_scale * capacity if cells > 1 else None


# What a long four-wire cable takes

bridge_lead_loss = Worksheet(
    "bridge-lead-loss", "Span error of a bridge on a long four-wire cable", "S1.11", sources=SOURCES
)
bridge_lead_loss.given("supply", "Excitation at the input", symbol="U", unit="V")
bridge_lead_loss.given("bridge_resistance", "Input resistance of the bridge", symbol="R_b", unit="Ω", decimals=0)
bridge_lead_loss.given("lead", "Resistance of one lead", symbol="R_L", unit="Ω")
bridge_lead_loss.given("load", "True load", symbol="F")


@bridge_lead_loss.step(
    "Excitation at the bridge",
    symbol="U_b",
    formula=r"<supply> \times \frac{<bridge_resistance>}{<bridge_resistance> + 2 \times <lead>}",
    rule="The two excitation leads and the bridge share the supply.",
    unit="V",
    tolerance=0.005,
    decimals=3,
)
def at_bridge(supply: float, bridge_resistance: float, lead: float) -> float:
    return supply * bridge_resistance / (bridge_resistance + 2.0 * lead)


@at_bridge.slip("The excitation runs out and back: two leads take their share.")
def one_lead(supply: float, bridge_resistance: float, lead: float) -> float:
    return supply * bridge_resistance / (bridge_resistance + lead)


@at_bridge.slip("That is what the leads take; the bridge gets the rest.")
def share_of_leads(supply: float, bridge_resistance: float, lead: float) -> float:
    return supply * 2.0 * lead / (bridge_resistance + 2.0 * lead)


@at_bridge.slip("Without sense leads the drop along the cable is not made up: the bridge gets less.")
def no_drop(supply: float) -> float:
    return supply


@bridge_lead_loss.step(
    "Span error",
    symbol="e",
    formula=r"100 \times (\frac{<at_bridge>}{<supply>} - 1)",
    rule="The signal shrinks with the excitation: compare what arrives with what was meant.",
    unit="%",
    tolerance=0.06,
    decimals=2,
)
def span_error(at_bridge: float, supply: float) -> float:
    return 100.0 * (at_bridge / supply - 1.0)


@bridge_lead_loss.step(
    "Load shown",
    symbol="F_{ind}",
    formula=r"<load> (1 + \frac{<span_error>}{100})",
    rule="Apply the span error to the true load.",
    unit="as load",
    tolerance=relative(0.1, 0.01),
)
def shown(load: float, span_error: float) -> float:
    return load * (1.0 + span_error / 100.0)


@shown.slip("Less excitation makes less signal: the display shows too little, not too much.")
def shown_too_high(load: float, span_error: float) -> float:
    return load * (1.0 - span_error / 100.0)
