"""Figures and their text alternatives, drawn from the values of a problem or of a lesson.

Only :func:`draw` loads the drawing library: names and words cost nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib import import_module
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal, Protocol, cast

from trainer.errors import NotFound
from trainer.figures.inputs import Inputs, Plain, Shown, shown

if TYPE_CHECKING:
    from trainer.figures.style import Sheet

__all__ = [
    "FIGURES",
    "FORMS",
    "PLOTS",
    "THEMES",
    "Figure",
    "Form",
    "Plain",
    "Shown",
    "Theme",
    "draw",
    "shown",
    "words",
]

Form = Literal["open", "solved"]
Theme = Literal["light", "dark", "print"]
FORMS: tuple[Form, ...] = ("open", "solved")
THEMES: tuple[Theme, ...] = ("light", "dark", "print")


@dataclass(frozen=True)
class Figure:
    """A kind of figure: the module that draws it, values it needs, those that it can take, and those it always has."""

    module: str
    needs: tuple[str, ...]
    takes: tuple[str, ...]
    always: Mapping[str, Plain] = field(default_factory=dict)


class _Module(Protocol):
    def words(self, inputs: Inputs, solved: bool) -> str: ...

    def draw(self, sheet: Sheet, inputs: Inputs, solved: bool) -> None: ...


_THERMOCOUPLE = ("hot", "head", "cable", "emf")
_LEADS = ("a", "c", "element", "added")
_LOOP = ("supply", "current", "burden", "wire", "resistance", "lift_off")
_SINGLE = ("first", "second", "third", "fourth", "fifth")
FIGURES: Mapping[str, Figure] = MappingProxyType(
    {
        "sensor curve": Figure("sensor_curve", ("r0",), ("temperature", "resistance", "curve")),
        "range bars": Figure(
            "range_bars", ("lower", "upper", "signal_low", "signal_high"), ("value", "signal", "reverse")
        ),
        "alarm trace": Figure(
            "alarm_trace",
            ("trace", "set_point", "direction"),
            ("times", "asked", "deadband", "on_delay", "off_delay", "reset", "states"),
        ),
        "temperature scales": Figure("temperature_scales", ("difference",), ("converted",)),
        "error band": Figure(
            "error_band", (), ("base", "per_degree", "fixed", "percent", "temperature", "permitted", "error")
        ),
        "thermocouple loop": Figure("thermocouple_loop", ("kind", "terminal"), (*_THERMOCOUPLE, "crossed")),
        "crossed thermocouple loop": Figure(
            "thermocouple_loop", ("kind", "terminal"), _THERMOCOUPLE, {"crossed": Plain("crossed")}
        ),
        "thermocouple loop on copper": Figure(
            "thermocouple_loop", ("kind", "terminal"), ("hot", "head", "emf"), {"cable": Plain("copper")}
        ),
        "sensor wiring": Figure("sensor_wiring", ("wires",), (*_LEADS, "b", "d", "readings")),
        "two-wire sensor": Figure("sensor_wiring", (), _LEADS, {"wires": Plain("two-wire")}),
        "square root": Figure(
            "square_root", (), ("signal", "flow", "full_flow", "signal_low", "signal_high", "cut_off", "roots")
        ),
        "counts staircase": Figure("counts_staircase", ("bits", "full_scale"), ("signal", "counts")),
        "fault levels": Figure("fault_levels", (), ("current",)),
        "loop drawing": Figure(
            "loop_drawing",
            (),
            (*_LOOP, "burden_voltage", "across", "leak_burden", "leak_transmitter", "open", "a", "b", "c", "d"),
        ),
        "step response": Figure("step_response", ("start", "end"), ("constant", "time", "target", "allowed")),
        "ramp lag": Figure(
            "ramp_lag",
            ("rate",),
            ("constant", "sensor", "filter", "delay", "set_point", "reading", "start", "true"),
        ),
        "calibration errors": Figure(
            "calibration_errors",
            ("points",),
            ("up", "down", "found", "left", "limit", "signal_low", "signal_high"),
        ),
        "uncertainty budget": Figure("uncertainty_budget", (), ("contributions", "names", "combined", *_SINGLE)),
        "candidates": Figure("candidates", ("allowed",), ("numbers", "names", *_SINGLE)),
        "thermistor curve": Figure("thermistor_curve", ("nominal", "beta"), ("reference", "temperature", "resistance")),
        "relay contact": Figure("relay_contact", ("coil", "contact"), ("state",)),
        "records": Figure("comparison", ("names", "first", "second"), ("differs",)),
        "channel points": Figure("comparison", ("names", "first", "second"), ("differs",), {"joined": Plain("joined")}),
        "ordered steps": Figure("ordered_steps", ("steps",), ("values", "before", "after")),
        "stacked parts": Figure("stacked_parts", ("parts", "amounts"), ("names", "limit")),
        "range levels": Figure(
            "range_levels", ("lower", "upper", "signal_low", "signal_high", "names", "levels"), ("fault",)
        ),
        "two grounds": Figure(
            "two_grounds",
            ("at_sensor", "at_card", "isolated", "difference", "signal_low", "signal_high"),
            ("lower", "upper"),
        ),
        "cable route": Figure("cable_route", ("alongside", "least", "per_meter"), ("separation",)),
    }
)
PLOTS: Mapping[str, Figure] = MappingProxyType(  # of results, not of problems: nothing in them is asked
    {
        "problem statistics": Figure(
            "problem_statistics", ("p", "p_low", "p_high"), ("r", "r_low", "r_high", "r_of", "flagged")
        ),
        "spread": Figure("spread", ("counts", "low", "high"), ()),
        "totals": Figure("totals", ("totals", "full"), ()),
        "channel trace": Figure(
            "channel_trace",
            ("process_times", "process", "relays", "starts", "ends", "met"),
            (
                *("reading_times", "reading", "reading_parts", "set_points", "resets", "operations"),
                *("alarm_relays", "alarm_starts", "alarm_ends", "look_at"),
            ),
        ),
        "evidence over time": Figure("evidence_over_time", ("days", "values"), ("at", "mean", "low", "high")),
    }
)


def draw(
    name: str, values: Mapping[str, Shown], form: Form = "open", theme: Theme = "light", decimal: str = "."
) -> bytes:
    """Draw a figure.

    Parameters
    ----------
    name : str
        One of `FIGURES` or `PLOTS`.
    values : mapping
        What it shows; those that a learner is asked for are given to the solved form only.
    form : str
        "open", with a question mark where something is asked, or "solved".
    theme : str
        "light", "dark" or "print".
    decimal : str
        Decimal mark.

    Returns
    -------
    bytes
        SVG in UTF-8, the same bytes each time.

    Raises
    ------
    NotFound
        For a name, form or theme that there is not.
    TrainerError
        For values that make no figure.
    """
    inputs, module = _open(name, values, form, decimal)
    _among("theme of a figure", theme, THEMES)
    from trainer.figures.style import render  # heavy: only where a figure is drawn

    return render(lambda sheet: module.draw(sheet, inputs, form == "solved"), theme)


def words(name: str, values: Mapping[str, Shown], form: Form = "open", decimal: str = ".") -> str:
    """Say what a figure shows, its readings and limits, for those who do not see it.

    Parameters and errors are those of :func:`draw`.

    Examples
    --------
    >>> bars = {"lower": shown(0), "upper": shown(60), "signal_low": shown(0), "signal_high": shown(10)}
    >>> words("range bars", bars)
    'Process range from 0 to 60 beside the signal range from 0 to 10.'
    """
    inputs, module = _open(name, values, form, decimal)
    return module.words(inputs, form == "solved")


def _open(name: str, values: Mapping[str, Shown], form: str, decimal: str) -> tuple[Inputs, _Module]:
    known = {**FIGURES, **PLOTS}
    _among("figure", name, known)
    _among("form of a figure", form, FORMS)
    figure = known[name]
    for given in values:
        _among(f"value of figure '{name}'", given, figure.needs + figure.takes)
    inputs = Inputs(name, {**figure.always, **values}, decimal)
    for needed in figure.needs:
        inputs[needed]
    return inputs, cast(_Module, import_module(f"trainer.figures.{figure.module}"))


def _among(kind: str, name: str, known: Any) -> None:
    if name not in known:
        raise NotFound(f"there is no {kind} '{name}'; there are {', '.join(known)}")
