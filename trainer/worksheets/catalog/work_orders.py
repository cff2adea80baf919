"""Worksheets of strands S10 and S11: the steps of a job put in order, some of them dealt out under letters.

A bank gives all steps of a job in one right order, each with its role, and the chains of roles that must be kept.
Each draw deals seven of them, shuffled, so that the order has to be understood: letters cannot be remembered.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable

from trainer.worksheets.worksheet import Node, Worksheet

LETTERS = ("a", "b", "c", "d", "e", "f", "g")
DEAD, LIVE = "made dead and proved dead", "worked live, under the site's rules for it"
Work = tuple[tuple[str, str], ...]
Chains = tuple[tuple[str, ...], ...]
Pair = tuple[str, str, str, str]
SOURCES = (
    "Lock, tag, try, prove the tester, prove dead, prove the tester again: common practice of electrical isolation",
    "IEC 62382: loop checks; IEC 61511-1, clause on operation: bypasses are authorized, timed and removed",
    "The order of the rest: common practice",
)
CAUTION = (
    "The local codes, the site's permit system and the maker's instructions come before this page. Isolation and live "
    "work are for people authorized to do them; where you are in doubt, stop, make safe and ask."
)


def dealt(work: Work, deal: float) -> tuple[str, ...]:
    """The roles of the seven steps of a deal, in the order of the letters."""
    rng = random.Random(int(deal))
    return tuple(role for role, _ in sorted(work, key=lambda step: rng.random())[: len(LETTERS)])


def lettered(work: Work, chains: Chains, deal: float) -> Chains:
    """The chains among the steps of a deal, as letters, the longest first."""
    letters = dict(zip(dealt(work, deal), LETTERS, strict=True))
    found = {tuple(letters[role] for role in chain if role in letters) for chain in chains}
    return tuple(sorted((chain for chain in found if len(chain) > 1), key=lambda chain: (-len(chain), chain)))


def declare_deal(sheet: Worksheet) -> None:
    """Givens: the job, and the seven steps of it that are dealt."""
    sheet.given("work", "Steps of the job with their roles", kind="several", hidden=True)
    sheet.given("chains", "Roles that must keep their order", kind="several", hidden=True)
    sheet.given("deal", "Deal", hidden=True)
    for place, letter in enumerate(LETTERS):
        sheet.given(letter, f"Step {letter}", kind="choice", prepare=Node.of(_text_at(place)))


def _text_at(place: int) -> Callable[[Work, float], str]:
    def text(work: Work, deal: float) -> str:
        return dict(work)[dealt(work, deal)[place]]

    return text


def declare_order(sheet: Worksheet, title: str, rule: str, pairs: Iterable[Pair]) -> None:
    """The step that asks for the order; each slip does a step before one that it depends on."""
    order = sheet.step(title, name="order", kind="order", options=LETTERS, rule=rule)(lettered)
    for name, early, late, message in pairs:
        order.slip(message, name=name)(_exchanged(early, late))


def _exchanged(early: str, late: str) -> Callable[[Work, Chains, float], Chains | None]:
    """The step of the role ``late`` done before that of the role ``early``."""

    def exchanged(work: Work, chains: Chains, deal: float) -> Chains | None:
        roles = dealt(work, deal)
        kept = any({early, late} <= set(chain) and chain.index(early) < chain.index(late) for chain in chains)
        if not kept or early not in roles or late not in roles:
            return None
        return ((LETTERS[roles.index(late)], LETTERS[roles.index(early)]),)

    return exchanged


# Isolation, bypass and permit

work_order = Worksheet(
    "work-order", "Isolation, bypass and permit in order", "S10.3", cautions=(CAUTION,), sources=SOURCES
)
work_order.given("needs_signal", "The job needs the loop alive", kind="choice", options=("yes", "no"), hidden=True)
declare_deal(work_order)


@work_order.step(
    "How the circuit is worked on",
    name="state",
    kind="choice",
    options=(DEAD, LIVE),
    rule="Where the job needs the signal it is live work with its own rules; everything else is made dead first.",
)
def worked_on(needs_signal: str) -> str:
    return LIVE if needs_signal == "yes" else DEAD


@worked_on.slip("Nothing in this job needs the loop alive: 24 V or not, make it dead.")
def live_without_need(needs_signal: str) -> str | None:
    return LIVE if needs_signal == "no" else None


@worked_on.slip("A dead loop shows no signal: this job is live work, and is prepared as such.")
def dead_with_signal(needs_signal: str) -> str | None:
    return DEAD if needs_signal == "yes" else None


declare_order(
    work_order,
    "A right order",
    "Know what the loop does, be allowed, make the plant safe, make the circuit safe, work, prove, then hand back.",
    (
        ("permit_after_bypass", "permit", "bypass", "A bypass is set under a permit, not before it."),
        ("manual_after_work", "manual", "work", "The controller is in manual before its signal goes away."),
        ("work_before_bypass", "bypass", "work", "Without the bypass in place, the work itself trips the plant."),
        ("bypass_before_operator", "operator", "bypass", "Whoever runs the plant knows of a bypass before it is set."),
        ("prove_before_lock", "lock", "prove", "What is proved dead and not locked can come alive again."),
        ("tester_unproved", "tester", "prove", "A dead tester finds every circuit dead: prove it first."),
        ("work_before_proof", "prove", "work", "Locked off is not yet dead: prove it before you touch it."),
        ("work_before_lock", "lock", "work", "Nobody works on a circuit that somebody else can switch on."),
        ("test_before_restore", "restore", "test", "A test proves the loop as it will run: restore it first."),
        ("bypass_out_too_soon", "clear", "unbypass", "Taken out while the demand still stands, the bypass trips it."),
        ("bypass_left_in", "unbypass", "close", "With the permit closed nobody looks for the bypass any more."),
        ("as_found_lost", "found", "adjust", "Once adjusted, what it was like before cannot be measured again."),
    ),
)

# First power

power_up_order = Worksheet(
    "power-up-order", "First power in order", "S11.6", cautions=(CAUTION,), sources=("Order: common practice",)
)
declare_deal(power_up_order)


@power_up_order.step(
    "The one that comes first",
    name="first",
    kind="choice",
    options=LETTERS,
    rule="What can destroy the unit is checked before what can only mislead you.",
)
def first_of_all(work: Work, deal: float) -> str:
    roles = dealt(work, deal)
    return LETTERS[roles.index(next(role for role, _ in work if role in roles))]


@first_of_all.slip("That is the last of these: it rests on all the others.")
def last_of_all(work: Work, deal: float) -> str:
    roles = dealt(work, deal)
    return LETTERS[roles.index(next(role for role, _ in reversed(work) if role in roles))]


declare_order(
    power_up_order,
    "A right order",
    "Supply, load, plausible reading, break, two points, alarms, record: each rests on the one before.",
    (
        ("plugged_before_volts", "volts", "plug", "Wrong volts do no harm to a meter; to the unit they do."),
        ("plugged_before_polarity", "polarity", "plug", "Polarity is looked at before the unit is on it."),
        ("no_load_yet", "load", "ambient", "Without a load the output proves nothing: give it one first."),
        ("break_before_ambient", "ambient", "pull", "Know the healthy reading before you pull the sensor."),
        ("points_before_refit", "refit", "points", "After the break test, the sensor side is put back first."),
        ("alarms_before_points", "points", "alarms", "An alarm is tested with a value that is known to be right."),
        ("recorded_too_soon", "alarms", "record", "The record says what was found: it is written when all is found."),
        ("locked_too_soon", "record", "lock", "The lock closes a setup that is recorded as left."),
    ),
)
