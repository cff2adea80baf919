"""Worksheets of strand S1: thermocouple emf at the terminals, and what to inject there."""

from __future__ import annotations

from collections.abc import Callable

from trainer.calculations import thermocouples
from trainer.calculations.thermocouples import COPPER, KINDS, Section
from trainer.worksheets.catalog.thermocouples import CAUTION, OTHER_KIND, RULE_OF_THUMB, SOURCES
from trainer.worksheets.worksheet import FigureUse, Worksheet

BYPASS = (
    "A simulated temperature moves real alarms and trips: agree the bypass with the operator before you inject, "
    "and prove afterward that it is gone."
)


def _kind(sheet: Worksheet) -> None:
    sheet.given("kind", "Thermocouple type", kind="choice", options=KINDS)


def _emf_step(sheet: Worksheet, name: str, title: str, of: str, symbol: str) -> None:
    """A step that looks a temperature up in the table of the type."""
    functions: dict[str, Callable[[str, float], float]] = {
        "wanted": lambda kind, wanted: thermocouples.emf(wanted, kind),
        "input_terminals": lambda kind, input_terminals: thermocouples.emf(input_terminals, kind),
    }
    sheet.step(
        title,
        name=name,
        symbol=symbol,
        formula=rf"\mathrm{{table}}(<{of}>)",
        rule="Look the temperature up in the table of the type.",
        unit="mV",
        tolerance=0.01,
        decimals=3,
    )(functions[of])


def _other_letter(sheet: Worksheet) -> None:
    @sheet.givens["kind"].slip("That is the table of another letter: check the tag and the head of the page.")
    def other_letter(kind: str) -> str:
        return OTHER_KIND[kind]


# Emf at warm terminals: what a meter finds there, and what a plain mV source must be set to


def _terminal_emf(sheet: Worksheet, title: str, rule: str) -> None:
    """Table emf of both ends and their difference, with the slips that belong to it."""
    _emf_step(sheet, "hot_emf", "Emf of the temperature", "wanted", "E(t)")
    _emf_step(sheet, "cold_emf", "Emf of the terminals", "input_terminals", "E(t_r)")

    @sheet.step(title, symbol="V", formula="<hot_emf> - <cold_emf>", rule=rule, unit="mV", tolerance=0.02, decimals=3)
    def difference(hot_emf: float, cold_emf: float) -> float:
        return hot_emf - cold_emf

    @difference.slip("The terminals are a junction too: their emf has to come off.")
    def terminals_forgotten(hot_emf: float) -> float:
        return hot_emf

    @difference.slip("Warm terminals make the emf smaller: take theirs off, do not add it.")
    def terminals_added(hot_emf: float, cold_emf: float) -> float:
        return hot_emf + cold_emf

    @difference.slip("The curve bends: take emf from emf, not degrees from degrees.")
    def degrees_subtracted(kind: str, wanted: float, input_terminals: float) -> float:
        return thermocouples.emf(wanted - input_terminals, kind)

    @difference.slip("One figure for millivolts per degree is a sanity check at best: use the table.")
    def one_slope(kind: str, wanted: float, input_terminals: float) -> float | None:
        return RULE_OF_THUMB[kind] * (wanted - input_terminals) if kind in RULE_OF_THUMB else None


terminal_emf = Worksheet(
    "terminal-emf",
    "Thermocouple emf at warm terminals",
    "S1.5",
    figure=FigureUse(
        "thermocouple loop", {"kind": "kind", "hot": "wanted", "terminal": "input_terminals", "emf": "difference"}
    ),
    sources=SOURCES,
    cautions=(CAUTION,),
)
_kind(terminal_emf)
terminal_emf.given("wanted", "Temperature of the junction", symbol="t", unit="°C")
terminal_emf.given("input_terminals", "Temperature of the terminals", symbol="t_r", unit="°C")
_terminal_emf(
    terminal_emf, "Emf at the terminals", "The meter finds the emf of the hot end less the emf of its own terminals."
)
_other_letter(terminal_emf)


# The settings of three ways to make an input show a wanted temperature

injection_settings = Worksheet(
    "injection-settings",
    "Settings of a mV source and of a calibrator",
    "S1.5",
    figure=FigureUse(
        "thermocouple loop", {"kind": "kind", "hot": "wanted", "terminal": "input_terminals", "emf": "difference"}
    ),
    sources=SOURCES,
    cautions=(BYPASS, CAUTION),
)
_kind(injection_settings)
injection_settings.given("wanted", "Temperature that the input shall show", symbol="t", unit="°C")
injection_settings.given("input_terminals", "Input terminals", symbol="t_r", unit="°C")
injection_settings.given("calibrator_terminals", "Calibrator terminals", symbol="t_c", unit="°C")
_terminal_emf(
    injection_settings,
    "mV source through copper",
    "Copper leads add nothing and the input adds the emf of its terminals: leave that much out.",
)


@injection_settings.step(
    "Calibrator with its own compensation, wire of the type",
    symbol="t_1",
    formula="<wanted>",
    rule="The calibrator takes its terminals off and the wire of the type makes up the rest: set the temperature.",
    unit="°C",
    tolerance=0.5,
    decimals=1,
)
def on_own_wire(wanted: float) -> float:
    return wanted


@on_own_wire.slip("Calibrator and wire do the compensation: nothing is added by hand.")
def degrees_added(wanted: float, input_terminals: float) -> float:
    return wanted + input_terminals


@on_own_wire.slip("Calibrator and wire do the compensation: nothing is taken off by hand.")
def degrees_taken_off(wanted: float, input_terminals: float) -> float:
    return wanted - input_terminals


@on_own_wire.slip("That is the millivolt setting turned into degrees: it compensates twice.")
def setting_of_source(kind: str, difference: float) -> float:
    return thermocouples.temperature(difference, kind)


@injection_settings.step(
    "The same calibrator through copper",
    symbol="t_2",
    formula=r"\mathrm{table}^{-1}(<difference> + \mathrm{table}(<calibrator_terminals>))",
    rule="The calibrator must send the setting of the mV source, and takes off the emf of its own terminals.",
    unit="°C",
    tolerance=0.5,
    decimals=1,
)
def on_copper(kind: str, difference: float, calibrator_terminals: float) -> float:
    return thermocouples.indicated(difference, calibrator_terminals, kind)


@on_copper.slip("On copper the two terminals do not cancel: the wire of the type is missing between them.")
def wire_of_the_type(wanted: float) -> float:
    return wanted


@on_copper.slip("That is the correction the wrong way round: the warmer the input terminals, the lower the setting.")
def other_way_round(kind: str, hot_emf: float, cold_emf: float, calibrator_terminals: float) -> float:
    return thermocouples.temperature(hot_emf + cold_emf - thermocouples.emf(calibrator_terminals, kind), kind)


@on_copper.slip("The terminals differ in emf, not in degrees: the curve bends between them and the temperature.")
def degrees_for_emf(wanted: float, input_terminals: float, calibrator_terminals: float) -> float:
    return wanted - (input_terminals - calibrator_terminals)


# What the input shows when the way was wrong


def _display(sheet: Worksheet) -> None:
    @sheet.step(
        "Temperature shown",
        symbol="t_{ind}",
        formula=r"\mathrm{table}^{-1}(<looked_up>)",
        rule="The input reads the table of the type backwards at that sum.",
        unit="°C",
        tolerance=0.5,
    )
    def shown(kind: str, looked_up: float) -> float:
        return thermocouples.temperature(looked_up, kind)

    sheet.step(
        "Error made by the check",
        name="error",
        symbol="e",
        formula="<shown> - <wanted>",
        rule="Error is what is shown less what was meant.",
        unit="°C (difference)",
        tolerance=0.5,
    )(_error)


def _error(shown: float, wanted: float) -> float:
    return shown - wanted


table_value_dialed = Worksheet(
    "table-value-dialed",
    "What the input shows when the table value is dialed",
    "S1.5",
    sources=SOURCES,
    cautions=(BYPASS,),
)
_kind(table_value_dialed)
table_value_dialed.given("wanted", "Temperature meant", symbol="t", unit="°C")
table_value_dialed.given("input_terminals", "Input terminals", symbol="t_r", unit="°C")
_emf_step(table_value_dialed, "dialed", "Emf dialed", "wanted", "E(t)")


@table_value_dialed.step(
    "Emf that the input looks up",
    symbol="E",
    formula=r"<dialed> + \mathrm{table}(<input_terminals>)",
    rule="The input adds the emf of its own terminals to what arrives.",
    unit="mV",
    tolerance=0.01,
    decimals=3,
)
def looked_up(kind: str, dialed: float, input_terminals: float) -> float:
    return dialed + thermocouples.emf(input_terminals, kind)


@looked_up.slip("The input adds the emf of its terminals whatever the source is: the table value does not stay alone.")
def nothing_added(dialed: float) -> float:
    return dialed


@looked_up.slip("The input adds the emf of its terminals; it is the hand that takes it off.")
def taken_off(kind: str, dialed: float, input_terminals: float) -> float:
    return dialed - thermocouples.emf(input_terminals, kind)


_display(table_value_dialed)


@table_value_dialed.steps["error"].slip("The input adds emf, not degrees: the curve is steeper up there.")
def terminal_degrees(input_terminals: float) -> float:
    return input_terminals


calibrator_on_copper = Worksheet(
    "calibrator-on-copper",
    "What the input shows when a calibrator is joined by copper",
    "S1.5",
    sources=SOURCES,
    cautions=(BYPASS,),
)
_kind(calibrator_on_copper)
calibrator_on_copper.given("wanted", "Temperature set at the calibrator", symbol="t", unit="°C")
calibrator_on_copper.given("calibrator_terminals", "Calibrator terminals", symbol="t_c", unit="°C")
calibrator_on_copper.given("input_terminals", "Input terminals", symbol="t_r", unit="°C")


@calibrator_on_copper.step(
    "Emf that arrives",
    symbol="V",
    formula=r"\mathrm{table}(<wanted>) - \mathrm{table}(<calibrator_terminals>)",
    rule="The calibrator sends the emf of the setting less that of its own terminals; copper adds nothing.",
    unit="mV",
    tolerance=0.01,
    decimals=3,
)
def arriving(kind: str, wanted: float, calibrator_terminals: float, input_terminals: float) -> float:
    leads = Section(COPPER, input_terminals)
    return thermocouples.loop_emf(wanted, [Section(kind, calibrator_terminals), leads])


@arriving.slip("With its compensation on, the calibrator takes off the emf of its terminals before it sends.")
def full_table_value(kind: str, wanted: float) -> float:
    return thermocouples.emf(wanted, kind)


@arriving.slip("That would arrive through wire of the type; copper adds nothing between the two terminals.")
def wire_of_the_type_fitted(kind: str, wanted: float, input_terminals: float) -> float:
    return thermocouples.terminal_emf(wanted, input_terminals, kind)


@calibrator_on_copper.step(
    "Emf that the input looks up",
    name="looked_up",
    symbol="E",
    formula=r"<arriving> + \mathrm{table}(<input_terminals>)",
    rule="The input adds the emf of its own terminals to what arrives.",
    unit="mV",
    tolerance=0.01,
    decimals=3,
)
def sum_at_input(kind: str, arriving: float, input_terminals: float) -> float:
    return arriving + thermocouples.emf(input_terminals, kind)


@sum_at_input.slip("The input has compensation of its own: it adds the emf of its terminals.")
def input_adds_nothing(arriving: float) -> float:
    return arriving


_display(calibrator_on_copper)


@calibrator_on_copper.steps["error"].slip("The terminals differ in emf, not in degrees: the curve is steeper up there.")
def terminal_difference(input_terminals: float, calibrator_terminals: float) -> float:
    return input_terminals - calibrator_terminals


@calibrator_on_copper.steps["error"].slip("The size is right. Error is what is shown less what was meant.")
def meant_less_shown(shown: float, wanted: float) -> float:
    return wanted - shown
