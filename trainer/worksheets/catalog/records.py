"""Worksheets of strand S10: two setup records compared, the approved one and the device as it was found."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import NamedTuple

from trainer.worksheets.worksheet import Node, Worksheet

# From the gravest on: what hides a fault, what moves an alarm, what moves the number, what only looks different.
HIDES = ("fault action", "alarm relay")
ALARMS = ("alarm direction", "set point", "on-delay")
NUMBERS = ("sensor and curve", "wire mode", "range", "output")
LOOKS = ("tag plate", "decimals shown")
RANKED = (HIDES, ALARMS, NUMBERS, LOOKS)
SETTINGS = tuple(name for names in RANKED for name in names)

SIGNED, PENCIL, SHIFT, NOTHING = (
    "a signed change, not yet in the record",
    "a pencil remark without a name on the loop sheet",
    "a log entry: changed by the night shift in an emergency, review pending",
    "nothing on file",
)
NOTES = (SIGNED, PENCIL, SHIFT, NOTHING)
SET_BACK = "note as found, set the device back to the record, test, note as left"
REISSUE = "leave the device as it is and have the record reissued from the signed change"
REPORT = "leave both as they are, report it, and let the review decide"
FIT_RECORD = "correct the record so that it matches the device"
ACTIONS = (SET_BACK, REISSUE, REPORT, FIT_RECORD)
Texts = tuple[str, ...]

record_comparison = Worksheet(
    "record-comparison",
    "Approved record against the device as found",
    "S10.2",
    cautions=(
        "A setting is changed under the site's change process and with the operator informed: the difference you find "
        "may be what keeps the plant running at this moment.",
    ),
    sources=(
        "IEC 61511-1, clause on modification: no change without review, for safety functions; the same for process "
        "alarms: common practice",
        "Rank of the settings: common practice",
    ),
)
for _name, _title in (
    ("approved", "Settings of the approved record"),
    ("changed", "The same settings, with another meaning"),
    ("rewritten", "The same settings, written in another way"),
):
    record_comparison.given(_name, _title, kind="several", hidden=True)
record_comparison.given("deal", "Deal", hidden=True)


class Dealt(NamedTuple):
    """Settings that differ, the gravest first, and those that are only written in another way."""

    differing: Texts
    rewritten: Texts


def dealt(rewritten: Texts, deal: float) -> Dealt:
    """Two to four settings that differ, one of them alone in the gravest rank, and one or two rewritten ones."""
    rng = random.Random(int(deal))
    rank = int(rng.random() * 3)
    gravest = RANKED[rank][int(rng.random() * len(RANKED[rank]))]
    lesser = sorted((name for names in RANKED[rank + 1 :] for name in names), key=lambda name: rng.random())
    differing = (gravest, *lesser[: 1 + int(rng.random() * 3)])
    other = [name for name, text in zip(SETTINGS, rewritten, strict=True) if text and name not in differing]
    other.sort(key=lambda name: rng.random())
    return Dealt(differing, tuple(other[: 1 + int(rng.random() * 2)]))


def _approved(place: int) -> Callable[[Texts], str]:
    def text(approved: Texts) -> str:
        return approved[place]

    return text


def _found(place: int) -> Callable[[Texts, Texts, Texts, float], str]:
    def text(approved: Texts, changed: Texts, rewritten: Texts, deal: float) -> str:
        cards = dealt(rewritten, deal)
        if SETTINGS[place] in cards.differing:
            return changed[place]
        return rewritten[place] if SETTINGS[place] in cards.rewritten else approved[place]

    return text


for _place, _name in enumerate(SETTINGS):  # line by line, as one compares
    record_comparison.given(f"approved_{_place}", f"Record: {_name}", kind="choice", prepare=Node.of(_approved(_place)))
    record_comparison.given(f"found_{_place}", f"Device: {_name}", kind="choice", prepare=Node.of(_found(_place)))
record_comparison.given("note", "On file about it", kind="choice", options=NOTES)


def _in_order(names: Texts) -> Texts:
    return tuple(name for name in SETTINGS if name in names)


@record_comparison.step(
    "Settings that differ",
    name="differing",
    kind="several",
    options=SETTINGS,
    rule="Go line by line and compare what is meant: 2 min and 120 s are one delay.",
)
def differing_settings(rewritten: Texts, deal: float) -> Texts:
    return _in_order(dealt(rewritten, deal).differing)


@differing_settings.slip("One of these is the same setting in another unit or in other words: convert, then compare.")
def rewritten_taken_for_different(rewritten: Texts, deal: float) -> Texts:
    cards = dealt(rewritten, deal)
    return _in_order(cards.differing + cards.rewritten)


@differing_settings.slip("What is only looks is a difference too: list it, and rank it last.")
def looks_left_out(rewritten: Texts, deal: float) -> Texts | None:
    found = tuple(name for name in dealt(rewritten, deal).differing if name not in LOOKS)
    return None if found == dealt(rewritten, deal).differing else _in_order(found)


@differing_settings.slip("The gravest of them is missing: read fault action, relay and alarm lines as well.")
def gravest_missed(rewritten: Texts, deal: float) -> Texts:
    return _in_order(dealt(rewritten, deal).differing[1:])


@record_comparison.step(
    "The difference with the gravest consequence",
    name="gravest",
    kind="choice",
    options=SETTINGS,
    rule="First what hides a fault, then what moves an alarm, then what moves the number, last what only looks.",
)
def gravest(differing: Texts) -> str:
    return next((name for name in SETTINGS if name in differing), "")


@gravest.slip("That changes the number or the looks; another difference changes when, or whether, an alarm comes.")
def least_grave(differing: Texts) -> str | None:
    return next((name for name in reversed(SETTINGS) if name in differing), None)


@record_comparison.step(
    "What to do about it",
    name="action",
    kind="choice",
    options=ACTIONS,
    rule="The approved record rules until a signed change says otherwise; it is never made to fit the device.",
)
def what_to_do(note: str) -> str:
    return {SIGNED: REISSUE, SHIFT: REPORT}.get(note, SET_BACK)


@what_to_do.slip("A record that follows whatever is found approves every mistake: it changes by a signed change only.")
def record_fitted() -> str:
    return FIT_RECORD


@what_to_do.slip("The change is signed: setting the device back would undo what was approved.")
def signed_change_undone(note: str) -> str | None:
    return SET_BACK if note == SIGNED else None


@what_to_do.slip("The shift changed it for a reason you do not know: leave it to the review.")
def emergency_change_undone(note: str) -> str | None:
    return SET_BACK if note == SHIFT else None


@what_to_do.slip("A remark without a name and a review authorizes nothing.")
def remark_taken_for_approval(note: str) -> str | None:
    return REISSUE if note in (PENCIL, NOTHING) else None
