"""Worksheets of strand S11: a setup copied to a like unit, and the spare that may take it."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping

from trainer.worksheets.worksheet import Node, Worksheet

SOURCES = ("What a copy carries and what has to be proved after it: common practice",)
Texts = tuple[str, ...]

# What must be changed after the copy

SETTINGS = ("tag", "range", "set point", "deadband", "fault action", "lead allowance", "unit calibration")
PER_UNIT = SETTINGS[-1]

copied_setup = Worksheet(
    "copied-setup",
    "After the setup of a sister is loaded",
    "S11.9",
    cautions=("A copied setup is unproved: keep the loop's trips bypassed under permit until the tests are done.",),
    sources=SOURCES,
)
copied_setup.given("loops", "Setting, the sister's value, this loop's value", kind="several", hidden=True)
copied_setup.given("deal", "Deal", hidden=True)
copied_setup.given("sister_lead", "Sister: lead allowance", symbol="R_1", unit="Ω")
copied_setup.given("own_lead", "This loop: lead resistance, both conductors", symbol="R_2", unit="Ω")
copied_setup.given("slope", "Sensor", symbol="s", unit="Ω/°C")
Loops = tuple[tuple[str, str, str], ...]


def differing(loops: Loops, deal: float) -> Texts:
    """One to three of the settings that can differ."""
    rng = random.Random(int(deal))
    names = sorted((loop[0] for loop in loops), key=lambda name: rng.random())
    return tuple(names[: 1 + int(rng.random() * 3)])


def _pair_at(name: str) -> Callable[[Loops, float], str]:
    def text(loops: Loops, deal: float) -> str:
        sister, own = next((loop[1], loop[2]) for loop in loops if loop[0] == name)
        return f"sister {sister}, this loop {own if name in differing(loops, deal) else sister}"

    return text


for _name in SETTINGS[1:5]:
    copied_setup.given(_name.replace(" ", "_"), _name.capitalize(), kind="choice", prepare=Node.of(_pair_at(_name)))


@copied_setup.step(
    "Lead resistance that the copied allowance misses",
    symbol=r"\Delta R",
    formula="<own_lead> - <sister_lead>",
    rule="The unit takes off what it was told for the sister; this loop's own leads have another resistance.",
    unit="Ω",
    tolerance=0.005,
    decimals=2,
)
def missed(own_lead: float, sister_lead: float) -> float:
    return own_lead - sister_lead


@missed.slip("More lead than is taken off makes the reading high: this loop's resistance less the allowance.")
def wrong_way(own_lead: float, sister_lead: float) -> float:
    return sister_lead - own_lead


@missed.slip("The copied allowance takes off a part already: only the difference is left.")
def whole_lead(own_lead: float) -> float:
    return own_lead


@copied_setup.step(
    "Error if it is left as copied",
    symbol="e",
    formula=r"\frac{<missed>}{<slope>}",
    rule="Ohms over ohms for each degree are degrees.",
    unit="°C (difference)",
    tolerance=0.02,
    decimals=2,
)
def error(missed: float, slope: float) -> float:
    return missed / slope


@error.slip("Divide by the ohms for each degree, do not multiply.")
def multiplied(missed: float, slope: float) -> float:
    return missed * slope


@copied_setup.step(
    "Settings to be changed after loading",
    kind="several",
    options=SETTINGS,
    rule="The tag always, and every line in which the two loops differ. The calibration stays that of the unit.",
)
def changes(loops: Loops, deal: float) -> Texts:
    wanted = {"tag", "lead allowance", *differing(loops, deal)}
    return tuple(name for name in SETTINGS if name in wanted)


@changes.slip("The tag is the sister's: two units with one name send the next person to the wrong loop.")
def old_tag_kept(loops: Loops, deal: float) -> Texts:
    return tuple(name for name in changes(loops, deal) if name != "tag")


@changes.slip("The leads of this loop are not those of the sister: its allowance is changed too.")
def allowance_kept(loops: Loops, deal: float) -> Texts:
    return tuple(name for name in changes(loops, deal) if name != "lead allowance")


@changes.slip("The calibration belongs to the unit and not to the setup: leave it alone.")
def calibration_changed(loops: Loops, deal: float) -> Texts:
    return (*changes(loops, deal), PER_UNIT)


# Which spare may take the record

LETTERS = ("A", "B", "C", "D")
ALIKE = "alike"

spare_unit = Worksheet(
    "spare-unit",
    "The spare that may take the record",
    "S11.9",
    cautions=("Isolate, lock and prove dead before a unit is changed; relay contacts may carry voltage of their own.",),
    sources=SOURCES,
)
for _name, _title in (("input", "Input"), ("supply", "Supply"), ("other_input", ""), ("other_supply", "")):
    spare_unit.given(_name, _title or _name.replace("_", " ").capitalize(), kind="choice", hidden=not _title)
spare_unit.given("relays", "Relays on the record", symbol="k", decimals=0)
spare_unit.given("revision", "Revision that the record is for", symbol="v", decimals=0)
spare_unit.given("deal", "Deal", hidden=True)


def shelf(
    input: str, supply: str, other_input: str, other_supply: str, relays: float, revision: float, deal: float
) -> tuple[tuple[str, str], ...]:
    """Four spares in the order of the letters: what each differs in, and its label."""
    rng = random.Random(int(deal))

    def label(kind: str = input, feed: str = supply, count: float = relays, issue: float = revision) -> str:
        return f"{kind}; {feed}; relays: {count:g}; revision {issue:g}"

    unlike: Mapping[str, str] = {
        "input": label(kind=other_input),
        "supply": label(feed=other_supply),
        "more relays": label(count=relays + 2.0),
        "fewer relays": label(count=relays - 2.0),
        "revision": label(issue=revision - 1.0),
    }
    three = sorted(unlike.items(), key=lambda item: rng.random())[:3]
    return tuple(sorted([(ALIKE, label()), *three], key=lambda item: rng.random()))


def _label_at(place: int) -> Callable[[str, str, str, str, float, float, float], str]:
    def text(
        input: str, supply: str, other_input: str, other_supply: str, relays: float, revision: float, deal: float
    ) -> str:
        return shelf(input, supply, other_input, other_supply, relays, revision, deal)[place][1]

    return text


for _place, _letter in enumerate(LETTERS):
    spare_unit.given(f"spare_{_letter.lower()}", f"Spare {_letter}", kind="choice", prepare=Node.of(_label_at(_place)))


def _spare(difference: str) -> Callable[[str, str, str, str, float, float, float], str | None]:
    def letter(
        input: str, supply: str, other_input: str, other_supply: str, relays: float, revision: float, deal: float
    ) -> str | None:
        spares = shelf(input, supply, other_input, other_supply, relays, revision, deal)
        return next((one for one, spare in zip(LETTERS, spares, strict=True) if spare[0] == difference), None)

    return letter


spare = spare_unit.step(
    "Spare that may take the record",
    name="spare",
    kind="choice",
    options=LETTERS,
    rule="Like for like: input, supply, relay count and revision, all four.",
)(_spare(ALIKE))
for _name, _difference, _message in (
    ("other_input_taken", "input", "Its input is another: the record's sensor settings mean nothing to it."),
    ("other_supply_taken", "supply", "It is made for another supply: it does not live, or not for long."),
    ("more_relays_taken", "more relays", "It has more than {relays} relays: what the record leaves open is not safe."),
    ("fewer_relays_taken", "fewer relays", "It has fewer than {relays} relays: an alarm would have no contact."),
    ("old_revision_taken", "revision", "It is older than revision {revision}: settings of the record may be missing."),
):
    spare.slip(_message, name=_name)(_spare(_difference))


@spare_unit.step(
    "Tests before it is trusted",
    name="tests",
    symbol="n",
    formula="3 + <relays> + 1",
    rule="Three points, each alarm once, one sensor break: a copy is proved like a new unit.",
    tolerance=0.1,
    decimals=0,
)
def tests_after_copy(relays: float) -> float:
    return 3.0 + relays + 1.0


@tests_after_copy.slip("A copy may be right and the unit, its wiring or its sensor not: prove it like a new one.")
def trusted_untested() -> float:
    return 0.0


@tests_after_copy.slip("The points prove the number; each alarm relay and the fault action are proved on their own.")
def points_alone() -> float:
    return 3.0


@tests_after_copy.slip("Pull the sensor once as well: the fault action is part of the setup.")
def break_left_out(relays: float) -> float:
    return 3.0 + relays
