"""Worksheets of strand S11: mistakes to be found among written lines, the gravest of them first.

A bank gives each line twice, as it should be and with a mistake in it, and ranks the mistake. Each draw deals six
lines and puts a mistake into some of them, one of which is graver than the others.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import NamedTuple

from trainer.worksheets.worksheet import Node, Worksheet

LETTERS = ("a", "b", "c", "d", "e", "f")
GRAVE = "grave"  # can hurt a person or hide an alarm
Lines = tuple[tuple[str, str, str], ...]

spot_mistakes = Worksheet(
    "spot-mistakes",
    "Mistakes in a list",
    "S11.4",
    cautions=(
        "The local wiring code and the makers' sheets decide on a real job. Nothing is put right on a live circuit: "
        "isolate, prove dead, then mend.",
    ),
    sources=("Right and wrong practice as given in the lesson: common practice",),
)
spot_mistakes.given("lines", "Rank of the mistake, right line, wrong line", kind="several", hidden=True)
spot_mistakes.given("deal", "Deal", hidden=True)


class Line(NamedTuple):
    """One dealt line: its text, and the rank of the mistake in it, or nothing."""

    text: str
    mistake: str


def dealt(lines: Lines, deal: float) -> tuple[Line, ...]:
    """Six lines, two to four of them with a mistake, one of which is grave."""
    rng = random.Random(int(deal))
    drawn = sorted(lines, key=lambda line: rng.random())
    grave = next(line for line in drawn if line[0] == GRAVE)
    lesser = [line for line in drawn if line[0] != GRAVE][: 1 + int(rng.random() * 3)]
    wrong = (grave, *lesser)
    chosen = [*wrong, *(line for line in drawn if line not in wrong)][: len(LETTERS)]
    shuffled = sorted(chosen, key=lambda line: rng.random())
    return tuple(Line(line[2], line[0]) if line in wrong else Line(line[1], "") for line in shuffled)


def _text_at(place: int) -> Callable[[Lines, float], str]:
    def text(lines: Lines, deal: float) -> str:
        return dealt(lines, deal)[place].text

    return text


for _place, _letter in enumerate(LETTERS):
    spot_mistakes.given(_letter, f"Line {_letter}", kind="choice", prepare=Node.of(_text_at(_place)))


@spot_mistakes.step(
    "Lines with a mistake",
    name="wrong",
    kind="several",
    options=LETTERS,
    rule="Hold each line against the rules of the lesson; a line that only looks unusual is not wrong.",
)
def wrong_lines(lines: Lines, deal: float) -> tuple[str, ...]:
    return tuple(letter for letter, line in zip(LETTERS, dealt(lines, deal), strict=True) if line.mistake)


@wrong_lines.slip("Those are the sound lines: the others have the mistakes.")
def sound_lines(lines: Lines, deal: float) -> tuple[str, ...] | None:
    return tuple(letter for letter in LETTERS if letter not in wrong_lines(lines, deal))


@wrong_lines.slip("You have the gravest one; the lesser mistakes have to be found as well.")
def gravest_alone(lines: Lines, deal: float) -> tuple[str, ...]:
    return (gravest(lines, deal),)


@wrong_lines.slip("Wrong numbers and damage are seen; the one that can hurt or hide an alarm is missing.")
def gravest_missed(lines: Lines, deal: float) -> tuple[str, ...]:
    return tuple(letter for letter in wrong_lines(lines, deal) if letter != gravest(lines, deal))


@spot_mistakes.step(
    "The one to put right first",
    name="gravest",
    kind="choice",
    options=LETTERS,
    rule="What can hurt a person or hide an alarm comes before what damages, and that before what misleads.",
)
def gravest(lines: Lines, deal: float) -> str:
    return LETTERS[next(place for place, line in enumerate(dealt(lines, deal)) if line.mistake == GRAVE)]


@gravest.slip("That one costs a reading or a part; another of them can hurt a person or hide an alarm.")
def first_of_the_lesser(wrong: tuple[str, ...], lines: Lines, deal: float) -> str | None:
    return next((letter for letter in wrong if letter != gravest(lines, deal)), None)
