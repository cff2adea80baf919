"""Worksheets of strand S3: choosing a range."""

from __future__ import annotations

import math

from trainer.worksheets.worksheet import Worksheet

LETTERS = ("A", "B", "C", "D")
ENDS = tuple(f"{end}_{letter.lower()}" for letter in LETTERS for end in ("lower", "upper"))
Ranges = tuple[float, ...]

# Choice of a range among four

range_choice = Worksheet(
    "range-choice",
    "Which of four ranges to set",
    "S3.4",
    sources=("Common practice: the narrowest range that holds the alarms, with room beyond, and every normal extreme",),
)
range_choice.given("working_low", "Lowest working value", symbol="w_1", unit="as low_alarm")
range_choice.given("working_high", "Highest working value", symbol="w_2", unit="as low_alarm")
range_choice.given("low_alarm", "Low alarm", symbol="a_1")
range_choice.given("high_alarm", "High alarm", symbol="a_2", unit="as low_alarm")
range_choice.given("room", "Room beyond an alarm", symbol="r", unit="difference as low_alarm")
range_choice.given("extreme", "Extreme that must not over-range", symbol="e", unit="as low_alarm")
for _name in ENDS:
    range_choice.given(_name, f"Range {_name[-1].upper()}, {_name[:-2]} range value", unit="as low_alarm")


@range_choice.prepared("Ranges", kind="row", hidden=True)
def ranges(
    lower_a: float, upper_a: float, lower_b: float, upper_b: float,
    lower_c: float, upper_c: float, lower_d: float, upper_d: float,
) -> Ranges:  # fmt: skip
    return (lower_a, upper_a, lower_b, upper_b, lower_c, upper_c, lower_d, upper_d)


def _ends(ranges: Ranges, letter: str) -> tuple[float, float]:
    first = 2 * LETTERS.index(letter)
    return ranges[first], ranges[first + 1]


def _width(ranges: Ranges, letter: str) -> float:
    low, high = _ends(ranges, letter)
    return high - low


def _other(value: float | None, right: float) -> float | None:
    """A wrong value, or None where the wrong method gives the right one here."""
    return None if value == right else value


@range_choice.step(
    "Lowest value to be shown",
    symbol="x_{lo}",
    formula=r"\min(<low_alarm> - <room>, <extreme>)",
    rule="Take the room off the low alarm; if the extreme lies lower still, it decides.",
    unit="as low_alarm",
    tolerance=0.05,
    decimals=1,
)
def lowest(low_alarm: float, room: float, extreme: float) -> float:
    return min(low_alarm - room, extreme)


@lowest.slip("An alarm at the very end of the range cannot be seen past: take the room off it.")
def no_room_below(low_alarm: float, room: float, extreme: float) -> float | None:
    return _other(min(low_alarm, extreme), lowest(low_alarm, room, extreme))


@lowest.slip("That covers the working values only: the low alarm must be inside the range too, with its room.")
def working_low_only(working_low: float) -> float:
    return working_low


@lowest.slip("The extreme lies below the low alarm and its room, and it must not leave the range.")
def low_extreme_left_out(low_alarm: float, room: float, extreme: float) -> float | None:
    return _other(low_alarm - room, lowest(low_alarm, room, extreme))


@range_choice.step(
    "Highest value to be shown",
    symbol="x_{hi}",
    formula=r"\max(<high_alarm> + <room>, <extreme>)",
    rule="Add the room to the high alarm; if the extreme lies higher still, it decides.",
    unit="as low_alarm",
    tolerance=0.05,
    decimals=1,
)
def highest(high_alarm: float, room: float, extreme: float) -> float:
    return max(high_alarm + room, extreme)


@highest.slip("An alarm at the very end of the range cannot be seen past: add the room to it.")
def no_room_above(high_alarm: float, room: float, extreme: float) -> float | None:
    return _other(max(high_alarm, extreme), highest(high_alarm, room, extreme))


@highest.slip("That covers the working values only: the high alarm and the extreme must be inside the range too.")
def working_high_only(working_high: float) -> float:
    return working_high


@highest.slip("The extreme lies above the high alarm and its room, and it must not leave the range.")
def high_extreme_left_out(high_alarm: float, room: float, extreme: float) -> float | None:
    return _other(high_alarm + room, highest(high_alarm, room, extreme))


@range_choice.step(
    "Ranges that hold both",
    kind="several",
    options=LETTERS,
    rule="A range holds both when it starts at or below the lowest value and ends at or above the highest.",
)
def holding(ranges: Ranges, lowest: float, highest: float) -> tuple[str, ...]:
    ends = ((letter, *_ends(ranges, letter)) for letter in LETTERS)
    return tuple(letter for letter, low, high in ends if low <= lowest and highest <= high)


@holding.slip("Check the lower ends as well: one of these starts above the lowest value to be shown.")
def upper_ends_only(ranges: Ranges, lowest: float, highest: float) -> tuple[str, ...] | None:
    found = holding(ranges, math.inf, highest)
    return None if found == holding(ranges, lowest, highest) else found


@range_choice.step(
    "Range to set",
    kind="choice",
    options=LETTERS,
    rule="Of the ranges that hold both, the narrowest resolves best.",
)
def choice(ranges: Ranges, holding: tuple[str, ...]) -> str:
    return min(holding, key=lambda letter: _width(ranges, letter), default="")


@choice.slip("That one holds everything, and spends much of the signal on values that never come.")
def widest(ranges: Ranges, holding: tuple[str, ...]) -> str | None:
    found = max(holding, key=lambda letter: _width(ranges, letter), default="")
    return None if found == choice(ranges, holding) else found


@choice.slip("That is the narrowest of the four, but it does not hold all that must be shown.")
def narrowest_of_all(ranges: Ranges, holding: tuple[str, ...]) -> str | None:
    found = choice(ranges, LETTERS)
    return None if found == choice(ranges, holding) else found


@range_choice.refuse
def too_few_or_too_many(ranges: Ranges, holding: tuple[str, ...]) -> bool:
    """Two or three must hold, so that there is both something to refuse and something to choose."""
    return len(holding) not in (2, 3)
