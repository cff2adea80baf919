"""Worksheets of strand S4: what an on-delay lets pass, and the two ways in which devices time it."""

from __future__ import annotations

from itertools import accumulate

import numpy as np

from trainer.calculations.alarms import Alarm, Timer
from trainer.calculations.relays import run
from trainer.worksheets.catalog.alarms import CAUTION, SOURCES
from trainer.worksheets.worksheet import Worksheet

Row = tuple[float, ...]
EXCURSIONS = ("first", "second", "third")
Chosen = tuple[str, ...]

# Which of three excursions alarm

excursions = Worksheet(
    "excursions-that-alarm", "Which excursions alarm", "S4.3", sources=SOURCES[1:], cautions=(CAUTION,)
)
excursions.given("on_delay", "On-delay", symbol=r"T_\mathrm{on}", unit="s")
excursions.given("over", "Length of each excursion less the on-delay", unit="s", kind="row", hidden=True)
excursions.given("quiet", "Time before each excursion", unit="s", kind="row", hidden=True)


@excursions.prepared("Reaches the set point at", symbol="t_1", unit="s", kind="row", decimals=0)
def starts(on_delay: float, over: Row, quiet: Row) -> Row:
    return _moments(on_delay, over, quiet)[::2]


@excursions.prepared("Leaves the set point at", symbol="t_2", unit="s", kind="row", decimals=0)
def ends(on_delay: float, over: Row, quiet: Row) -> Row:
    return _moments(on_delay, over, quiet)[1::2]


def _moments(on_delay: float, over: Row, quiet: Row) -> Row:
    """Times at which the value reaches and leaves the set point, in turn."""
    return tuple(accumulate(time for gap, more in zip(quiet, over, strict=True) for time in (gap, on_delay + more)))


@excursions.step(
    "Length of each excursion",
    symbol=r"\Delta t",
    formula="<ends> - <starts>",
    unit="s",
    kind="row",
    over="starts",
    rule="From each end take off its own start.",
    tolerance=0.5,
)
def lengths(starts: Row, ends: Row) -> Row:
    return tuple(end - start for start, end in zip(starts, ends, strict=True))


@excursions.step(
    "Excursions that alarm",
    kind="several",
    options=EXCURSIONS,
    rule="An excursion alarms when it alone lasts for the whole on-delay, or longer.",
)
def alarming(lengths: Row, on_delay: float) -> Chosen:
    return _lasting(lengths, on_delay)


def _lasting(times: Row, on_delay: float) -> Chosen:
    return tuple(name for name, time in zip(EXCURSIONS, times, strict=True) if time >= on_delay)


@alarming.slip("Between them the value went back and the timer with it: they do not add up.")
def added_up(lengths: Row, on_delay: float) -> Chosen | None:
    found = _lasting(tuple(accumulate(lengths)), on_delay)
    return None if found in (EXCURSIONS, _lasting(lengths, on_delay)) else found


@alarming.slip("The on-delay is left out: an excursion shorter than it gives no alarm.")
def on_delay_left_out() -> Chosen:
    return EXCURSIONS


@alarming.slip("An excursion that lasts just as long as the on-delay alarms too.")
def longer_only(lengths: Row, on_delay: float) -> Chosen | None:
    return _lasting(lengths, on_delay + 0.5) if on_delay in lengths else None


@alarming.slip("Those are the ones that are over too soon: the others alarm.")
def other_way_round(lengths: Row, on_delay: float) -> Chosen:
    return tuple(name for name in EXCURSIONS if name not in _lasting(lengths, on_delay))


# Two conventions of the on-delay on one trace

timer_conventions = Worksheet(
    "timer-conventions",
    "Two devices, two on-delay timers",
    "S4.3",
    sources=(SOURCES[1], "A timer that runs on until the reset value is passed: common practice in some devices"),
    cautions=(CAUTION,),
)
timer_conventions.given("on_delay", "On-delay", symbol=r"T_\mathrm{on}", unit="s")
timer_conventions.given("reached", "Reaches the set point at", symbol="t_1", unit="s")
timer_conventions.given("first_stay", "Length of the first stay", unit="s", hidden=True)
timer_conventions.given("dip", "Length of the dip", unit="s", hidden=True)


@timer_conventions.prepared("Dips into the deadband at", symbol="t_2", unit="s", decimals=0)
def left(reached: float, first_stay: float) -> float:
    return reached + first_stay


@timer_conventions.prepared("Reaches the set point again at", symbol="t_3", unit="s", decimals=0)
def back(left: float, dip: float) -> float:
    return left + dip


def _alarm_time(timer: Timer, reached: float, left: float, back: float, on_delay: float) -> float:
    """When the relay acts: past the set point by one deadband, in the dip short of it by half of one."""
    times = [0.0, reached, (reached + left) / 2, left, (left + back) / 2, back, back + on_delay + 60.0]
    values = [-2.0, 0.0, 1.0, 0.0, -0.5, 0.0, 1.0]
    alarm = Alarm(direction="rising", set_point=0.0, deadband=1.0, on_delay=on_delay, timer=timer)
    return run(alarm, np.array(times), np.array(values)).times_of("alarm")[0]


@timer_conventions.step(
    "Device A: timer runs while the value is at or past the set point",
    name="first_device",
    symbol="t_A",
    formula="<back> + <on_delay>",
    rule="The dip breaks the timer off: it starts anew when the value reaches the set point again.",
    unit="s",
    tolerance=0.5,
    decimals=0,
)
def first_device(reached: float, left: float, back: float, on_delay: float) -> float:
    return _alarm_time("alarm condition", reached, left, back, on_delay)


@first_device.slip("In the dip the value is not at the set point: this timer goes back to nothing.", coincides=True)
def dip_overlooked(reached: float, on_delay: float) -> float:
    return reached + on_delay


@first_device.slip("Two stays do not add up: after a break the timer starts from nothing.")
def stays_added_up(reached: float, left: float, back: float, on_delay: float) -> float:
    return back + on_delay - (left - reached)


@first_device.slip("The on-delay is left out: the value must stay for all of it.")
def on_delay_not_waited(back: float) -> float:
    return back


@timer_conventions.step(
    "Device B: timer runs until the value is at or past the reset value",
    name="second_device",
    symbol="t_B",
    formula="<reached> + <on_delay>",
    rule="The dip does not reach the reset value, so this timer runs on from the first crossing.",
    unit="s",
    tolerance=0.5,
    decimals=0,
)
def second_device(reached: float, left: float, back: float, on_delay: float) -> float:
    return _alarm_time("until reset", reached, left, back, on_delay)


@second_device.slip("The dip stays short of the reset value: this timer is not broken off.")
def broken_off_in_the_dip(back: float, on_delay: float) -> float:
    return back + on_delay


@second_device.slip("This timer does not stand still in the dip: it runs from the first crossing.")
def stands_still_in_the_dip(reached: float, left: float, back: float, on_delay: float) -> float | None:
    return None if reached + on_delay <= left else reached + on_delay + (back - left)


@timer_conventions.step(
    "How much earlier device B alarms",
    name="earlier",
    symbol=r"\Delta t",
    formula="<first_device> - <second_device>",
    rule="Take the time of device B off the time of device A.",
    unit="s",
    tolerance=0.5,
    decimals=0,
)
def earlier(first_device: float, second_device: float) -> float:
    return first_device - second_device


@timer_conventions.refuse
def first_stay_alarms(first_stay: float, on_delay: float) -> bool:
    """Where the first stay is long enough, both devices alarm in it."""
    return first_stay > on_delay - 3.0
