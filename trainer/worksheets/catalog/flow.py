"""Worksheets of strand S3: flow from differential pressure, the square root."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from trainer.calculations import flow
from trainer.calculations.signals import fraction, value_at
from trainer.worksheets.tolerance import of_span, share_of
from trainer.worksheets.worksheet import FigureUse, Worksheet

SOURCES = (
    "ISO 5167: the flow through a throttling device goes with the square root of its differential pressure",
    "Common practice: the root is taken once, in the transmitter or in the receiver",
)
LINEAR, ROOT = "linear", "square root"
COUNT = ("none", "one", "two")


def _givens(sheet: Worksheet) -> None:
    sheet.given("full_flow", "Flow at full differential pressure", symbol="Q_{100}")
    sheet.given("signal_low", "Signal at no differential pressure", symbol="S_0")
    sheet.given("signal_high", "Signal at full differential pressure", symbol="S_{100}", unit="as signal_low")


# Flow from a linear differential pressure signal

flow_from_signal = Worksheet(
    "flow-from-signal",
    "Flow from a differential pressure signal",
    "S3.5",
    figure=FigureUse(
        "square root",
        {
            "full_flow": "full_flow",
            "signal_low": "signal_low",
            "signal_high": "signal_high",
            "signal": "signal",
            "flow": "flow",
        },
    ),
    sources=SOURCES,
)
_givens(flow_from_signal)
flow_from_signal.given("signal", "Measured signal", symbol="S", unit="as signal_low")


@flow_from_signal.step(
    "Fraction of full differential pressure",
    symbol="f",
    formula=r"\frac{<signal> - <signal_low>}{<signal_high> - <signal_low>}",
    rule="Take the live zero off the signal, then divide by the moving part of the signal.",
    tolerance=0.001,
    possible=(0.0, 1.0),
)
def pressure(signal: float, signal_low: float, signal_high: float) -> float:
    return fraction(signal, signal_low, signal_high)


@pressure.slip("The signal starts at its live zero: take that off first, then divide by the moving part of the signal.")
def no_live_zero(signal: float, signal_low: float, signal_high: float) -> float | None:
    return signal / signal_high if signal_low else None


@pressure.slip("The span of the signal is right, but its live zero is still in: take it off before dividing.")
def live_zero_left_in(signal: float, signal_low: float, signal_high: float) -> float | None:
    return signal / (signal_high - signal_low) if signal_low else None


@flow_from_signal.step(
    "Fraction of full flow",
    symbol="q",
    formula=r"\sqrt{<pressure>}",
    rule="Take the square root of the fraction, once: a quarter of the pressure is half of the flow.",
    tolerance=0.002,
    possible=(0.0, 1.0),
)
def root(pressure: float) -> float:
    return flow.flow_fraction(pressure)


@root.slip("That is the differential pressure: the flow goes with its square root.")
def no_root(pressure: float) -> float:
    return pressure


@root.slip("The root is taken twice: once is enough, a quarter of the pressure is half of the flow.")
def two_roots(pressure: float) -> float:
    return flow.flow_fraction(flow.flow_fraction(pressure))


@root.slip("Squaring leads from flow to pressure: from pressure to flow it is the square root.")
def squared(pressure: float) -> float:
    return flow.pressure_fraction(pressure)


@flow_from_signal.step(
    "Flow",
    name="flow",
    symbol="Q",
    formula=r"<root> \times <full_flow>",
    rule="Multiply the fraction by the flow at full differential pressure.",
    unit="as full_flow",
    tolerance=share_of("full_flow", 0.005),
)
def flow_at_root(root: float, full_flow: float) -> float:
    return root * full_flow


# Signal for a flow

signal_for_flow = Worksheet(
    "signal-for-flow",
    "Differential pressure signal for a flow",
    "S3.5",
    figure=FigureUse(
        "square root",
        {
            "full_flow": "full_flow",
            "signal_low": "signal_low",
            "signal_high": "signal_high",
            "signal": "signal",
            "flow": "flow",
        },
    ),
    sources=SOURCES,
)
_givens(signal_for_flow)
signal_for_flow.given("flow", "Flow", symbol="Q", unit="as full_flow")


@signal_for_flow.step(
    "Fraction of full flow",
    name="share",
    symbol="q",
    formula=r"\frac{<flow>}{<full_flow>}",
    rule="Divide the flow by the flow at full differential pressure.",
    tolerance=0.001,
    possible=(0.0, 1.0),
)
def share_of_flow(flow: float, full_flow: float) -> float:
    return flow / full_flow


@signal_for_flow.step(
    "Fraction of full differential pressure",
    name="pressure",
    symbol="f",
    formula=r"<share>^2",
    rule="Square the fraction of flow: half of the flow makes a quarter of the pressure.",
    tolerance=0.001,
    decimals=4,
)
def pressure_for_flow(share: float) -> float:
    return flow.pressure_fraction(share)


@pressure_for_flow.slip("That is the flow: the differential pressure goes with its square.")
def not_squared(share: float) -> float:
    return share


@pressure_for_flow.slip("The root leads from pressure to flow: from flow to pressure it is the square.")
def root_for_square(share: float) -> float:
    return flow.flow_fraction(share)


@signal_for_flow.step(
    "Signal",
    name="signal",
    symbol="S",
    formula="<signal_low> + <pressure> (<signal_high> - <signal_low>)",
    rule="Go that fraction of the moving part of the signal up from its live zero.",
    unit="as signal_low",
    tolerance=of_span(0.25, "signal_low", "signal_high"),
)
def signal_at_pressure(pressure: float, signal_low: float, signal_high: float) -> float:
    return value_at(pressure, signal_low, signal_high)


@signal_at_pressure.slip("No flow sits at the live zero: add it.")
def live_zero_not_added(pressure: float, signal_low: float, signal_high: float) -> float | None:
    return pressure * (signal_high - signal_low) if signal_low else None


@signal_at_pressure.slip("The moving part of the signal is its top less its live zero.")
def top_for_moving_part(pressure: float, signal_low: float, signal_high: float) -> float | None:
    return signal_low + pressure * signal_high if signal_low else None


# Who takes the root: transmitter, receiver, both or neither

extraction = Worksheet(
    "who-takes-the-root",
    "Flow shown with two settings for the root",
    "S3.5",
    figure=FigureUse("square root", {"signal_low": "signal_low", "signal_high": "signal_high", "roots": "roots"}),
    sources=SOURCES,
)
extraction.given("transmitter", "Output of the transmitter", kind="choice", options=(LINEAR, ROOT))
extraction.given("receiver", "Input of the receiver", kind="choice", options=(LINEAR, ROOT))
_givens(extraction)
extraction.given("flow", "True flow", symbol="Q", unit="as full_flow")
extraction.step(
    "Fraction of full flow",
    name="share",
    symbol="q",
    formula=r"\frac{<flow>}{<full_flow>}",
    rule="Divide the flow by the flow at full differential pressure.",
    tolerance=0.001,
    possible=(0.0, 1.0),
)(share_of_flow.node.function)


def _other(setting: str) -> str:
    return LINEAR if setting == ROOT else ROOT


def _sent(values: Mapping[str, Any]) -> str:
    share = "<share>" if values["transmitter"] == ROOT else "<share>^2"
    return f"<signal_low> + {share} (<signal_high> - <signal_low>)"


def _signal(share: float, transmitter: str, low: float, high: float) -> float:
    return value_at(share if transmitter == ROOT else flow.pressure_fraction(share), low, high)


def _flow(signal: float, receiver: str, full_flow: float, low: float, high: float) -> float:
    seen = fraction(signal, low, high)
    return full_flow * (flow.flow_fraction(seen) if receiver == ROOT else seen)


@extraction.step(
    "Signal",
    name="signal",
    symbol="S",
    formula=_sent,
    rule="A linear output follows the pressure, the square of the flow; one with the root follows the flow.",
    unit="as signal_low",
    tolerance=of_span(0.25, "signal_low", "signal_high"),
)
def signal_sent(share: float, transmitter: str, signal_low: float, signal_high: float) -> float:
    return _signal(share, transmitter, signal_low, signal_high)


# Two roots or none with either setting read wrong come to one root, and so to the true flow.
@signal_sent.slip(
    "Read the setting of the output again: with the root the signal follows the flow, without it its square.",
    coincides=True,
)
def other_output(share: float, transmitter: str, signal_low: float, signal_high: float) -> float:
    return _signal(share, _other(transmitter), signal_low, signal_high)


@extraction.step(
    "Roots taken on the way",
    kind="choice",
    options=COUNT,
    rule="Count the settings that say square root; one is right.",
)
def roots(transmitter: str, receiver: str) -> str:
    return COUNT[(transmitter, receiver).count(ROOT)]


def _shown(values: Mapping[str, Any]) -> str:
    fraction_seen = r"\frac{<signal> - <signal_low>}{<signal_high> - <signal_low>}"
    return rf"<full_flow> \sqrt{{{fraction_seen}}}" if values["receiver"] == ROOT else f"<full_flow> {fraction_seen}"


@extraction.step(
    "Flow shown",
    name="shown",
    symbol="Q_s",
    formula=_shown,
    rule="Work the fraction of the signal, take the root only if the receiver does, then multiply by the full flow.",
    unit="as full_flow",
    tolerance=share_of("full_flow", 0.005),
)
def flow_shown(signal: float, receiver: str, full_flow: float, signal_low: float, signal_high: float) -> float:
    return _flow(signal, receiver, full_flow, signal_low, signal_high)


@flow_shown.slip("The receiver does as it is set: read whether it takes the root.")
def other_input(signal: float, receiver: str, full_flow: float, signal_low: float, signal_high: float) -> float:
    return _flow(signal, _other(receiver), full_flow, signal_low, signal_high)


@flow_shown.slip("The signal starts at its live zero: take that off before anything else.")
def zero_left_in(signal: float, receiver: str, full_flow: float, signal_low: float, signal_high: float) -> float | None:
    return _flow(signal, receiver, full_flow, 0.0, signal_high) if signal_low else None
