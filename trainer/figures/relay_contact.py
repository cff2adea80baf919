"""Coil and contact of an alarm relay as a line of a ladder, and what the contact does in each state."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from trainer.calculations.contacts import COILS, CONTACTS, Coil, Contact, Wiring, closed, energized, input_on
from trainer.figures.inputs import Inputs
from trainer.figures.symbols import node, wire
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

# State: alarm stands, supply is there, wiring of the contact.
STATES: dict[str, tuple[bool, bool, Wiring]] = {
    "normal": (False, True, "sound"),
    "alarm": (True, True, "sound"),
    "supply lost": (False, False, "sound"),
    "wire cut": (False, True, "wire cut"),
}
STATE, CONTACT, INPUT, TOP, ROW = 190.0, 330.0, 418.0, 160.0, 36.0  # of the table, in points


def _settings(inputs: Inputs) -> tuple[Coil, Contact]:
    return cast(Coil, inputs.choice("coil", COILS)), cast(Contact, inputs.choice("contact", CONTACTS))


def row(coil: Coil, contact: Contact, state: str) -> tuple[bool, bool, bool]:
    """Whether in a state the coil is energized, the contact closed, the input on."""
    alarm, powered, wiring = STATES[state]
    on = energized(alarm, coil, powered)
    shut = closed(on, contact)
    return on, shut, input_on(shut, wiring)


def _state_name(state: str) -> str:
    return {
        "normal": gettext("normal"),
        "alarm": gettext("alarm"),
        "supply lost": gettext("supply lost"),
        "wire cut": gettext("wire cut"),
    }[state]


def words(inputs: Inputs, solved: bool) -> str:
    """The settings, and in the solved form coil, contact and input in each state."""
    coil, contact = _settings(inputs)
    told = [gettext("An alarm relay, {coil}, and its {contact} contact in the line to an input.").format(
        coil=gettext(coil), contact=gettext(contact)
    )]  # fmt: skip
    if not solved:
        states = ", ".join(_state_name(state) for state in STATES)
        told.append(gettext("The contact is asked in these states: {states}.").format(states=states))
        return " ".join(told)
    for state in STATES:
        on, shut, lit = row(coil, contact, state)
        told.append(gettext("{state}: coil {coil}, contact {contact}, input {input}.").format(
            state=_state_name(state).capitalize(), coil=gettext("energized") if on else gettext("de-energized"),
            contact=_contact(shut), input=_input(lit),
        ))  # fmt: skip
    return " ".join(told)


def _contact(shut: bool) -> str:
    return gettext("closed") if shut else gettext("open")


def _input(lit: bool) -> str:
    return gettext("on") if lit else gettext("off")


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw coil and contact without supply, and the table of the states."""
    board, (coil, contact) = sheet.board(), _settings(inputs)
    state = inputs.choice("state", STATES) if "state" in inputs else ""
    shut = row(coil, contact, state)[1] if solved and state else contact == "normally closed"
    _coil(sheet, board, coil)
    _line(sheet, board, contact, shut)
    quiet: dict[str, Any] = {"color": sheet.theme.quiet, "va": "center"}
    sheet.text(board, STATE, TOP + 40, gettext("State"), **quiet)
    sheet.text(board, CONTACT, TOP + 40, gettext("contact"), ha="center", **quiet)
    sheet.text(board, INPUT, TOP + 40, gettext("input"), ha="center", **quiet)
    sheet.line(board, [STATE, 452], [TOP + 24] * 2, sheet.theme.quiet, linewidth=sheet.thin)
    for number, name in enumerate(STATES):
        y = TOP - ROW * number
        color = sheet.theme.known if name == state else sheet.theme.ink
        style: dict[str, Any] = {"va": "center", "weight": "bold" if name == state else "normal"}
        sheet.text(board, STATE, y, _state_name(name), color, **style)
        _, shut, lit = row(coil, contact, name)
        answers = (_contact(shut), _input(lit)) if solved else ("?", "?")
        for x, text in zip((CONTACT, INPUT), answers, strict=True):
            sheet.text(board, x, y, text, sheet.theme.answer if solved else "", ha="center", va="center", weight="bold")


def _coil(sheet: Sheet, board: Axes, coil: Coil) -> None:
    """The coil between its two lines, with its setting under it."""
    wire(sheet, board, (16, 206), (166, 206))
    sheet.line(board, [91], [206], sheet.theme.ink, marker="o", markersize=34, markerfacecolor=sheet.theme.sheet)
    for x in (16, 166):
        wire(sheet, board, (x, 184), (x, 228))
    told = gettext("energized") if coil == "energized in alarm" else gettext("de-energized")
    sheet.text(board, 91, 182, told + "\n" + gettext("in alarm"), sheet.theme.known, ha="center", va="top")


def _line(sheet: Sheet, board: Axes, contact: Contact, shut: bool) -> None:
    """The contact as it lies without supply, or as it is in the state shown."""
    y = 84
    wire(sheet, board, (16, y), (70, y))
    wire(sheet, board, (112, y), (166, y))
    for x in (70, 112):
        node(sheet, board, x, y)
    for x in (16, 166):
        wire(sheet, board, (x, y - 22), (x, y + 22))
    told = gettext("normally") + "\n" + _contact(contact == "normally closed")
    wire(sheet, board, (70, y), (114, y + (3 if shut else 26)), linewidth=sheet.thick)
    sheet.text(board, 91, y - 20, told, sheet.theme.known, ha="center", va="top")
