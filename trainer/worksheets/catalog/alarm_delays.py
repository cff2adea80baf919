"""Worksheets of strand S4: what an on-delay lets pass, and the two ways in which devices time it."""

from __future__ import annotations

from itertools import accumulate

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
