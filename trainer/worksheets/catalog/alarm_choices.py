"""Worksheets of strand S4: choosing the delay and the deadband of an alarm.

Both end with the setting to take from a list; the numbers that decide are worked first.
"""

from __future__ import annotations

from trainer.calculations.alarm_settings import longest_delay, smallest_deadband
from trainer.worksheets.catalog.alarms import CAUTION
from trainer.worksheets.tolerance import relative
from trainer.worksheets.worksheet import Worksheet

PER_MINUTE = 60.0
HALF = 0.5
CHANGE = "Delays and deadbands are changed only through the site's change procedure, with the time to harm known."
SOURCES = (
    "Rate of change against response and lag: alarm management practice of ISA-18.2 (from memory)",
    "Half of the time kept in hand, 1.5 to 2 times the noise for a deadband: common practice",
)


def _largest_up_to(limit: float, settings: dict[str, float], otherwise: str) -> str:
    return next((name for name, setting in reversed(settings.items()) if setting <= limit), otherwise)


def _smallest_from(limit: float, settings: dict[str, float], otherwise: str) -> str:
    return next((name for name, setting in settings.items() if setting >= limit), otherwise)


def _unless(right: str, wrong: str) -> str | None:
    return None if wrong == right else wrong


# Longest on-delay

DELAYS = {f"{seconds} s": float(seconds) for seconds in (10, 30, 60, 120, 300)}
NO_DELAY = "none: move the set point"

delay_choice = Worksheet(
    "longest-delay", "Longest on-delay that leaves time to act", "S4.4", sources=SOURCES, cautions=(CAUTION, CHANGE)
)
delay_choice.given("set_point", "Set point", symbol=r"x_\mathrm{SP}")
delay_choice.given("limit", "Value that must not be reached", symbol=r"x_\mathrm{lim}", unit="as set_point")
delay_choice.given("rate", "Fastest rate of change", symbol="r")
delay_choice.given("response", "Time the operator and the plant need", symbol=r"t_\mathrm{act}", unit="s")
delay_choice.given("lag", "Lag of the measurement", symbol=r"t_\mathrm{lag}", unit="s")


@delay_choice.step(
    "Time from the set point to the limit",
    name="available",
    symbol="t",
    formula=r"60 \times \frac{|<limit> - <set_point>|}{<rate>}",
    rule="Distance over rate gives minutes; each has 60 seconds.",
    unit="s",
    tolerance=2.0,
)
def available(set_point: float, limit: float, rate: float) -> float:
    return longest_delay(set_point, limit, abs(rate) / PER_MINUTE, response=0.0)


@available.slip("The rate is per minute, so that is the time in minutes: turn it into seconds.")
def minutes_left(set_point: float, limit: float, rate: float) -> float:
    return abs(limit - set_point) / abs(rate)


@available.slip("Distance over rate is a time; multiplying the two gives none.")
def multiplied_by_rate(set_point: float, limit: float, rate: float) -> float:
    return PER_MINUTE * abs(limit - set_point) * abs(rate)


@delay_choice.step(
    "Left after the response",
    name="after_response",
    symbol=r"t_\mathrm{left}",
    formula="<available> - <response>",
    rule="The operator and the plant need their time before the limit is met: take it off.",
    unit="s",
    tolerance=2.0,
)
def after_response(available: float, response: float) -> float:
    return available - response


@after_response.slip("After the alarm somebody has to act: take the time for that off.")
def response_forgotten(available: float) -> float:
    return available


@after_response.slip("The response uses time up: take it off, do not add it.")
def response_added(available: float, response: float) -> float:
    return available + response


@delay_choice.step(
    "Longest on-delay",
    symbol=r"T_\mathrm{max}",
    formula="<after_response> - <lag>",
    rule="The measurement comes late by its lag: take that off as well.",
    unit="s",
    tolerance=2.0,
)
def longest(after_response: float, lag: float) -> float:
    return after_response - lag


@longest.slip("The alarm sees the value late by the lag of the measurement: take it off.")
def lag_forgotten(after_response: float) -> float:
    return after_response


@longest.slip("Lag uses time up: take it off, do not add it.")
def lag_added(after_response: float, lag: float) -> float:
    return after_response + lag


@longest.slip("That is all the time there is: response and lag come off before a delay may use any.")
def all_time_used(available: float) -> float:
    return available


@delay_choice.step(
    "Longest delay on the list that leaves half of it in hand",
    name="setting",
    kind="choice",
    options=(*DELAYS, NO_DELAY),
    rule="Halve the longest on-delay and take the longest setting that is not above it.",
)
def setting(longest: float) -> str:
    return _largest_up_to(HALF * longest, DELAYS, NO_DELAY)


@setting.slip("That would use all of the longest on-delay: keep half of it in hand.")
def nothing_in_hand(longest: float) -> str | None:
    return _unless(_largest_up_to(HALF * longest, DELAYS, NO_DELAY), _largest_up_to(longest, DELAYS, NO_DELAY))


@setting.slip("No time is left for any delay: an alarm further from the limit has to come first.")
def a_delay_all_the_same(longest: float) -> str | None:
    return "10 s" if longest < DELAYS["10 s"] else None


@delay_choice.refuse
def delay_too_close_to_call(longest: float) -> bool:
    """Half of the longest delay that meets a setting to a hair says more about rounding than about the choice."""
    return any(abs(HALF * longest - each) < 1.5 or abs(longest - each) < 2.5 for each in DELAYS.values())


@delay_choice.refuse
def hardly_any_time(after_response: float, longest: float) -> bool:
    """A few seconds to either side of nothing are nothing."""
    return min(abs(after_response), abs(longest)) < 10.0


# Smallest deadband

DEADBANDS = {text: float(text) for text in ("0.1", "0.2", "0.5", "1", "2", "5", "10", "20")}
NO_DEADBAND = "none: quiet the signal first"

deadband_choice = Worksheet(
    "smallest-deadband",
    "Smallest deadband that noise does not cross",
    "S4.4",
    sources=SOURCES,
    cautions=(CAUTION, CHANGE),
)
deadband_choice.given("normal", "Value in normal running", symbol="x_n")
deadband_choice.given("set_point", "Set point", symbol=r"x_\mathrm{SP}", unit="as normal")
deadband_choice.given("noise", "Noise to either side", symbol="n", unit="difference as normal")
deadband_choice.given("margin", "Times the noise that the deadband is to be", symbol="k")
deadband_choice.given("resolution", "Smallest step of the display", symbol="s", unit="difference as normal")


@deadband_choice.step(
    "Noise from peak to peak",
    symbol=r"n_\mathrm{pp}",
    formula=r"2 \times <noise>",
    rule="Plus and minus: from the lowest to the highest is twice that.",
    unit="difference as normal",
    tolerance=relative(0.5, 0.002),
)
def peak_to_peak(noise: float) -> float:
    return 2.0 * noise


@peak_to_peak.slip("Plus and minus so much is twice as much from peak to peak.")
def one_side_only(noise: float) -> float:
    return noise


@deadband_choice.step(
    "Smallest deadband",
    symbol="d",
    formula=r"<margin> \times <peak_to_peak> + <resolution>",
    rule="So many times the noise from peak to peak, and one step of the display on top.",
    unit="difference as normal",
    tolerance=relative(0.5, 0.002),
)
def smallest(peak_to_peak: float, resolution: float, margin: float) -> float:
    return smallest_deadband(peak_to_peak, resolution, margin)


@smallest.slip("That is the noise itself: a deadband has to be so many times wider.")
def no_margin(peak_to_peak: float, resolution: float) -> float:
    return peak_to_peak + resolution


@smallest.slip("The display moves in steps: one of them comes on top.")
def no_resolution(peak_to_peak: float, margin: float) -> float:
    return margin * peak_to_peak


@smallest.slip("The step of the display is no noise: it comes on top once, after multiplying.")
def resolution_multiplied(peak_to_peak: float, resolution: float, margin: float) -> float:
    return margin * (peak_to_peak + resolution)


@deadband_choice.step(
    "Room between set point and normal running",
    name="room",
    symbol="w",
    formula="|<set_point> - <normal>|",
    rule="The reset value has to lie short of normal running: the room is the distance between the two.",
    unit="difference as normal",
    tolerance=relative(0.5, 0.002),
)
def room(normal: float, set_point: float) -> float:
    return abs(set_point - normal)


@deadband_choice.step(
    "Deadband to take from the list",
    name="setting",
    kind="choice",
    options=(*DEADBANDS, NO_DEADBAND),
    rule="Take the first setting that is not below the smallest deadband; it has to be less than the room.",
)
def deadband_setting(smallest: float, room: float) -> str:
    found = _smallest_from(smallest, DEADBANDS, NO_DEADBAND)
    return found if DEADBANDS.get(found, room) < room else NO_DEADBAND


@deadband_setting.slip("That one is below the smallest deadband: noise would cross it.")
def one_too_small(smallest: float) -> str | None:
    return _largest_up_to(smallest, DEADBANDS, "") or None


@deadband_setting.slip("With that one the reset lies beyond normal running: the alarm would never go.")
def past_normal_running(smallest: float, room: float) -> str | None:
    found = _smallest_from(smallest, DEADBANDS, NO_DEADBAND)
    return found if DEADBANDS.get(found, 0.0) >= room else None


@deadband_setting.slip("It would do, but a smaller one on the list does too, and the alarm goes sooner with it.")
def larger_than_needed(smallest: float, room: float) -> str | None:
    fitting = [name for name, each in DEADBANDS.items() if smallest <= each < room]
    return fitting[1] if len(fitting) > 1 else None


@deadband_choice.refuse
def deadband_too_close_to_call(smallest: float, room: float) -> bool:
    """A deadband that meets a setting, or a setting that meets the room, to a hair is no choice."""
    settings = DEADBANDS.values()
    return any(abs(smallest / each - 1.0) < 0.02 or abs(room / each - 1.0) < 0.05 for each in settings)
