"""Worksheets of strand S4: what a contact of an alarm relay does, and what the far end takes it to say."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from trainer.calculations.contacts import COILS, CONTACTS, Coil, Contact, Look, Wiring, closed, energized, looks_like
from trainer.worksheets.worksheet import FigureUse, Worksheet

Cells = tuple[str, ...]
SOURCES = (
    "A contact is named as it lies on the shelf, without supply: IEC 60050-444 (from memory) and common practice",
    "Loss of supply and a cut wire should look like an alarm: common practice",
)
CAUTIONS = (
    "A relay that only warns is not a protective function; what has to act by itself is designed and assessed as one.",
    "Alarm contacts may carry the supply of another circuit after this panel is isolated: prove dead on both.",
)
NORMAL, ALARM, DEAD = "normal", "alarm", "instrument supply lost"
ON, OFF = "energized", "de-energized"
OPEN, CLOSED = "open", "closed"
LOOKS_NORMAL, LOOKS_ALARM = "looks normal", "looks like alarm"
CUT, SHORTED, WELDED, UNWETTED = "wire cut", "wires shorted", "contact welded", "wetting supply lost"
WIRINGS: dict[str, Wiring] = {CUT: "wire cut", SHORTED: "wires shorted", WELDED: "contact welded"}
WIRINGS |= {UNWETTED: "wetting supply lost"}
OTHER_COIL: dict[Coil, Coil] = {COILS[0]: COILS[1], COILS[1]: COILS[0]}
OTHER_CONTACT: dict[Contact, Contact] = {CONTACTS[0]: CONTACTS[1], CONTACTS[1]: CONTACTS[0]}


def _unless(right: Cells, wrong: Cells) -> Cells | None:
    return None if wrong == right else wrong


def _coil_words(states: Iterable[bool]) -> Cells:
    return tuple(ON if state else OFF for state in states)


def _contact_words(states: Iterable[bool]) -> Cells:
    return tuple(CLOSED if state else OPEN for state in states)


def _coil_cells(conditions: Cells, coil: Coil) -> Cells:
    return _coil_words(energized(each == ALARM, coil, each != DEAD) for each in conditions)


# Coil and contact in normal running, in alarm and without supply

contact_table = Worksheet(
    "contact-table",
    "Coil and contact of an alarm relay",
    "S4.5",
    figure=FigureUse("relay contact", {"coil": "coil", "contact": "contact"}),
    sources=SOURCES,
    cautions=CAUTIONS,
)
contact_table.given("coil", "Relay", kind="choice", options=COILS)
contact_table.given("contact", "Contact", kind="choice", options=CONTACTS)
contact_table.given("conditions", "Conditions", kind="states")


@contact_table.step(
    "Coil in each condition",
    name="coil_states",
    kind="states",
    options=(ON, OFF),
    over="conditions",
    rule="The setting says when the coil is energized; without supply it never is.",
)
def coil_states(conditions: Cells, coil: Coil) -> Cells:
    return _coil_cells(conditions, coil)


@coil_states.slip("That is the other setting: in alarm the coil does what the setting says.")
def coil_swapped(conditions: Cells, coil: Coil) -> Cells:
    return _coil_cells(conditions, OTHER_COIL[coil])


@coil_states.slip("Without supply no coil is energized, whatever the process does.")
def supply_overlooked(conditions: Cells, coil: Coil) -> Cells | None:
    return _unless(_coil_cells(conditions, coil), _coil_words(energized(each == ALARM, coil) for each in conditions))


@contact_table.step(
    "Contact in each condition",
    name="contact_states",
    kind="states",
    options=(OPEN, CLOSED),
    over="conditions",
    rule="Normally open or closed is the contact without supply; an energized coil turns it round.",
)
def contact_states(coil_states: Cells, contact: Contact) -> Cells:
    return _contact_words(closed(state == ON, contact) for state in coil_states)


@contact_states.slip("Normal in the name of a contact is the relay on the shelf, not the process in normal running.")
def process_for_shelf(conditions: Cells, coil_states: Cells, contact: Contact) -> Cells | None:
    shelf = contact == CONTACTS[1]
    wrong = _contact_words(shelf ^ (each == ALARM) for each in conditions)
    return _unless(contact_states(coil_states, contact), wrong)


@contact_states.slip("That is the other contact of the pair: normally open closes when its coil is energized.")
def contact_swapped(conditions: Cells, coil_states: Cells, contact: Contact) -> Cells | None:
    wrong = contact_states(coil_states, OTHER_CONTACT[contact])
    return None if wrong == process_for_shelf(conditions, coil_states, contact) else wrong


@contact_table.step(
    "What the far end sees",
    name="looks",
    kind="states",
    options=(LOOKS_NORMAL, LOOKS_ALARM),
    over="conditions",
    rule="The far end sees open or closed only: what is not as in normal running looks like an alarm.",
)
def looks(conditions: Cells, contact_states: Cells) -> Cells:
    healthy = contact_states[conditions.index(NORMAL)]
    return tuple(LOOKS_NORMAL if state == healthy else LOOKS_ALARM for state in contact_states)


@looks.slip("Losing the supply is no alarm by itself: compare the contact with the one in normal running.")
def supply_loss_always_seen(conditions: Cells, contact_states: Cells) -> Cells | None:
    wrong = tuple(LOOKS_NORMAL if each == NORMAL else LOOKS_ALARM for each in conditions)
    return _unless(looks(conditions, contact_states), wrong)


@looks.slip("Without supply the contact is as on the shelf: compare that with normal running.")
def supply_loss_never_seen(conditions: Cells, contact_states: Cells) -> Cells | None:
    wrong = tuple(LOOKS_ALARM if each == ALARM else LOOKS_NORMAL for each in conditions)
    return _unless(looks(conditions, contact_states), wrong)


# Faults between the contact and the far end


def _seen(faults: Cells, coil: Coil, contact: Contact, process: str) -> Cells:
    words: dict[Look, str] = {"normal": LOOKS_NORMAL, "alarm": LOOKS_ALARM}
    return tuple(
        words[looks_like(coil, contact, process == ALARM, each != DEAD, WIRINGS.get(each, "sound"))] for each in faults
    )


def _closed_in_alarm(coil: Coil, contact: Contact) -> bool:
    return closed(energized(True, coil), contact)


contact_faults = Worksheet(
    "contact-faults",
    "What the far end makes of a fault",
    "S4.5",
    figure=FigureUse("relay contact", {"coil": "coil", "contact": "contact"}),
    sources=SOURCES,
    cautions=CAUTIONS,
)
contact_faults.given("coil", "Relay", kind="choice", options=COILS)
contact_faults.given("contact", "Contact", kind="choice", options=CONTACTS)
contact_faults.given("process", "Process", kind="choice", options=(NORMAL, ALARM))
contact_faults.given("faults", "Faults, one at a time", kind="states")


@contact_faults.step(
    "Contact in alarm, all sound",
    name="in_alarm",
    kind="choice",
    options=(OPEN, CLOSED),
    rule="The setting gives the coil in alarm, and the coil gives the contact.",
)
def in_alarm(coil: Coil, contact: Contact) -> str:
    return CLOSED if _closed_in_alarm(coil, contact) else OPEN


@in_alarm.slip("First the coil, then the contact: an energized coil closes the normally open one.")
def turned_round(coil: Coil, contact: Contact) -> str:
    return OPEN if _closed_in_alarm(coil, contact) else CLOSED


@contact_faults.step(
    "What the far end takes each fault for",
    name="seen",
    kind="states",
    options=(LOOKS_NORMAL, LOOKS_ALARM),
    over="faults",
    rule=(
        "A cut wire and a lost wetting supply are an open contact; shorted wires and a welded contact a closed one; "
        "without its supply the instrument's contact is as on the shelf."
    ),
)
def seen(faults: Cells, coil: Coil, contact: Contact, process: str, in_alarm: str) -> Cells:
    """Where the contact in alarm was taken wrongly, the far end reads open and closed the other way round."""
    right = _seen(faults, coil, contact, process)
    if (in_alarm == CLOSED) == _closed_in_alarm(coil, contact):
        return right
    return tuple(LOOKS_ALARM if look == LOOKS_NORMAL else LOOKS_NORMAL for look in right)


def _one_wrong(fault: str) -> Callable[[Cells, Coil, Contact, str], Cells]:
    def wrong(faults: Cells, coil: Coil, contact: Contact, process: str) -> Cells:
        flip = {LOOKS_NORMAL: LOOKS_ALARM, LOOKS_ALARM: LOOKS_NORMAL}
        right = _seen(faults, coil, contact, process)
        return tuple(flip[look] if each == fault else look for each, look in zip(faults, right, strict=True))

    return wrong


for _fault, _name, _told in (
    (CUT, "cut_taken_for_closed", "Nothing comes through a cut wire: the far end sees an open contact."),
    (SHORTED, "short_taken_for_open", "Shorted wires carry the current past the contact: the far end sees it closed."),
    (WELDED, "weld_taken_for_open", "A welded contact stays closed, whatever the coil does."),
    (UNWETTED, "wetting_taken_for_closed", "Without wetting supply no input is on: the far end sees an open contact."),
    (DEAD, "shelf_turned_round", "Without supply the coil is de-energized and the contact as on the shelf."),
):
    contact_faults.slip(_told, _name, "seen", seen=_one_wrong(_fault))


def wire_copied_from_supply(faults: Cells, coil: Coil, contact: Contact, process: str) -> Cells | None:
    right = _seen(faults, coil, contact, process)
    dead = right[faults.index(DEAD)]
    wrong = tuple(dead if each in (CUT, UNWETTED) else look for each, look in zip(faults, right, strict=True))
    return _unless(right, wrong)


contact_faults.slip(
    "A cut wire is open; a lost instrument supply leaves the contact as on the shelf. They are not always the same.",
    "wire_copied_from_supply",
    "seen",
    seen=wire_copied_from_supply,
)


def every_fault_seen(faults: Cells, coil: Coil, contact: Contact, process: str) -> Cells | None:
    wrong = tuple(LOOKS_ALARM for _ in faults)
    copied = wire_copied_from_supply(faults, coil, contact, process)
    return None if wrong in (copied, _seen(faults, coil, contact, process)) else wrong


contact_faults.slip(
    "The far end sees no fault, only open or closed: some faults hide behind normal.",
    "every_fault_seen",
    "seen",
    seen=every_fault_seen,
)


# Which pair for a need

contact_pair = Worksheet(
    "contact-pair", "Choosing relay setting and contact", "S4.5", sources=SOURCES, cautions=CAUTIONS
)
contact_pair.given("receiver", "At the far end", kind="choice")
contact_pair.given("in_alarm", "It must be, in alarm", kind="choice", options=("on", "off"))
contact_pair.given(
    "on_supply_loss", "Lost instrument supply must look", kind="choice", options=(LOOKS_NORMAL, LOOKS_ALARM)
)
contact_pair.given("faults", "Faults, one at a time", kind="states")


@contact_pair.step(
    "Setting of the relay",
    name="coil",
    kind="choice",
    options=COILS,
    rule="Without supply a coil is de-energized: what is to look like that has to be de-energized too.",
)
def coil_for(on_supply_loss: str) -> Coil:
    return COILS[1] if on_supply_loss == LOOKS_ALARM else COILS[0]


@coil_for.slip("Without supply the coil is de-energized: which of normal and alarm is to look the same?")
def other_setting(on_supply_loss: str) -> Coil:
    return OTHER_COIL[coil_for(on_supply_loss)]


@contact_pair.step(
    "Contact",
    name="contact",
    kind="choice",
    options=CONTACTS,
    rule="Take the contact that is closed when the far end must be on, with the coil as the setting makes it.",
)
def contact_for(in_alarm: str, coil: Coil) -> Contact:
    return CONTACTS[0] if closed(energized(True, coil), CONTACTS[0]) == (in_alarm == "on") else CONTACTS[1]


@contact_for.slip("The name of a contact tells how it lies on the shelf, not how it is in normal running.")
def other_contact(in_alarm: str, coil: Coil) -> Contact:
    return OTHER_CONTACT[contact_for(in_alarm, coil)]


@contact_pair.step(
    "What the far end takes each fault for, the process normal",
    name="seen",
    kind="states",
    options=(LOOKS_NORMAL, LOOKS_ALARM),
    over="faults",
    rule=(
        "A cut wire and a lost wetting supply leave the far end off, shorted wires and a welded contact leave it on: "
        "compare with what it must be in alarm."
    ),
)
def seen_by_far_end(faults: Cells, coil: Coil, contact: Contact) -> Cells:
    return _seen(faults, coil, contact, NORMAL)


@seen_by_far_end.slip("A cut wire is open, whatever the relay does: it is not always as without instrument supply.")
def faults_copied_from_supply(faults: Cells, coil: Coil, contact: Contact, on_supply_loss: str) -> Cells | None:
    right = _seen(faults, coil, contact, NORMAL)
    wrong = tuple(on_supply_loss if each in (CUT, UNWETTED) else look for each, look in zip(faults, right, strict=True))
    return _unless(right, wrong)


@seen_by_far_end.slip("The far end sees no fault, only on or off: some faults hide behind normal.")
def all_faults_seen(faults: Cells, coil: Coil, contact: Contact, on_supply_loss: str) -> Cells | None:
    wrong = tuple(LOOKS_ALARM for _ in faults)
    return None if wrong == faults_copied_from_supply(faults, coil, contact, on_supply_loss) else wrong
