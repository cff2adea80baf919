"""Worksheets of strand S1: choosing the build of a sensor by its response."""

from __future__ import annotations

from trainer.calculations.response import ramp_lag
from trainer.worksheets.catalog.choosing import DEGREES, Row, first
from trainer.worksheets.worksheet import Worksheet

BUILDS = ("thick pocket", "sheath of 6 mm", "sheath of 3 mm", "bare element")

sensor_by_response = Worksheet(
    "sensor-by-response",
    "Choosing a build by its response",
    "S1.12",
    sources=(
        "First-order lag on a ramp: rate × time constant",
        "Time constants are those of the problem; real ones hang on medium and flow (IEC 60751, response time)",
    ),
)
sensor_by_response.given("rate", "Rate of the process", symbol="r", unit="°C/min")
sensor_by_response.given(
    "time_constants", "Time constants, sturdiest build first", symbol=r"\tau", unit="s", kind="row"
)
sensor_by_response.given("allowed", "Lag allowed", symbol=r"\Delta t_{max}", unit=DEGREES)


@sensor_by_response.step(
    "Rate in °C a second",
    symbol="r_s",
    formula=r"\frac{<rate>}{60}",
    rule="Time constants are in seconds: turn the rate into degrees a second.",
    unit="°C/s",
    tolerance=0.0005,
    decimals=4,
)
def per_second(rate: float) -> float:
    return rate / 60.0


@per_second.slip("The rate is in minutes and the time constants in seconds: divide by 60.")
def minutes_kept(rate: float) -> float:
    return rate


@per_second.slip("A second is the shorter time: divide by 60.")
def times_sixty(rate: float) -> float:
    return 60.0 * rate


@sensor_by_response.step(
    "Lag of each build",
    symbol=r"\Delta t",
    formula=r"<per_second> \times <time_constants>",
    kind="row",
    over="time_constants",
    rule="On a steady ramp the reading trails by the rate times the time constant.",
    unit=DEGREES,
    tolerance=0.02,
    decimals=2,
)
def lags(per_second: float, time_constants: Row) -> Row:
    return tuple(ramp_lag(per_second, constant) for constant in time_constants)


@lags.slip("Five time constants are for a step; on a ramp the lag is one of them times the rate.")
def five_time_constants(per_second: float, time_constants: Row) -> Row:
    return tuple(5.0 * ramp_lag(per_second, constant) for constant in time_constants)


@lags.slip("63 % belongs to a step; on a ramp the lag is the whole time constant times the rate.")
def share_of_step(per_second: float, time_constants: Row) -> Row:
    return tuple(0.632 * ramp_lag(per_second, constant) for constant in time_constants)


@sensor_by_response.step(
    "Sturdiest build that serves",
    kind="choice",
    options=BUILDS,
    rule="Go down the list from the sturdiest and stop at the first whose lag is within what is allowed.",
)
def build(lags: Row, allowed: float) -> str:
    return first(lags, allowed, BUILDS)


@build.slip("Its lag, the first of step 2, is more than is allowed.")
def pocket_too_slow(lags: Row, allowed: float) -> str | None:
    return BUILDS[0] if lags[0] > allowed else None


@build.slip("Its lag, the second of step 2, is more than is allowed.")
def thick_sheath_too_slow(lags: Row, allowed: float) -> str | None:
    return BUILDS[1] if lags[1] > allowed else None


@build.slip("It is fast enough, but so is the pocket, which can be left in place: compare its lag.")
def thick_sheath_not_needed(lags: Row, allowed: float) -> str | None:
    return BUILDS[1] if lags[0] <= allowed else None


@build.slip("Its lag, the third of step 2, is more than is allowed.")
def thin_sheath_too_slow(lags: Row, allowed: float) -> str | None:
    return BUILDS[2] if lags[2] > allowed else None


@build.slip("It is fast enough, but a sturdier build is too: compare the lags above it with what is allowed.")
def thin_sheath_not_needed(lags: Row, allowed: float) -> str | None:
    return BUILDS[2] if lags[1] <= allowed else None


@build.slip("The fastest is also the frailest: a sturdier build is within what is allowed.")
def fastest_taken(lags: Row, allowed: float) -> str | None:
    return BUILDS[3] if lags[2] <= allowed else None


@sensor_by_response.refuse
def lag_too_close(lags: Row, allowed: float) -> bool:
    """A lag that meets what is allowed to a hair, or builds that all are too slow."""
    return lags[3] > 0.9 * allowed or any(abs(lag / allowed - 1.0) < 0.06 for lag in lags)
