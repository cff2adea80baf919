"""A resistance thermometer on two, three or four wires, with the resistance of each lead."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Any

from trainer.calculations.leads import Wires, lead_error
from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.figures.symbols import box, node, resistor, wire
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

ELEMENT, LEAD, INPUT = 60.0, 200.0, 310.0  # places along the sheet, in points
CONNECTIONS: dict[str, Wires] = {
    "two-wire": "two-wire",
    "three-wire": "three-wire",
    "three-wire, matched currents": "three-wire, matched currents",
    "four-wire": "four-wire",
    "one current, out by a and back by c": "three-wire",
    "two matched currents, in by a and by b": "three-wire, matched currents",
}
# Heights of the leads by letter, those of the upper end of the element first.
PLACES: dict[Wires, dict[str, float]] = {
    "two-wire": {"a": 190.0, "c": 76.0},
    "three-wire": {"a": 204.0, "b": 108.0, "c": 54.0},
    "three-wire, matched currents": {"a": 204.0, "b": 108.0, "c": 54.0},
    "four-wire": {"a": 214.0, "d": 164.0, "b": 96.0, "c": 46.0},
}
UPPER = ("a", "d")


@dataclass(frozen=True)
class Wiring:
    """The connection, the leads that are known [Ω], and what the input adds to the element for them [Ω]."""

    wires: Wires
    leads: dict[str, float]
    added: float | None

    @property
    def letters(self) -> tuple[str, ...]:
        """Letters of the leads from the top down."""
        return tuple(PLACES[self.wires])


def read(inputs: Inputs) -> Wiring:
    """Read the inputs; what the leads add is worked out where all of them are known."""
    wires = CONNECTIONS[inputs.choice("wires", CONNECTIONS)]
    leads = {letter: inputs.number(letter, "Ω") for letter in PLACES[wires] if letter in inputs}
    added = inputs.known("added", "Ω")
    if added is None and len(leads) == len(PLACES[wires]):
        added = lead_error(wires, *(leads.get(letter, 0.0) for letter in "abc"))
    return Wiring(wires, leads, added)


def _count(wiring: Wiring) -> str:
    names = {"two-wire": gettext("two wires"), "four-wire": gettext("four wires")}
    return names.get(wiring.wires, gettext("three wires"))


def _readings(inputs: Inputs, wiring: Wiring) -> list[str]:
    """Resistances between every two leads, in the order of their letters."""
    if "readings" not in inputs:
        return []
    row, pairs = inputs.row("readings", "Ω"), list(combinations(sorted(wiring.letters), 2))
    if len(row) != len(pairs):
        raise TrainerError(f"figure 'sensor wiring': {len(wiring.letters)} leads have {len(pairs)} readings")
    decimals = inputs["readings"].decimals
    return [
        f"{one}–{other}  {inputs.show(value, decimals, 'Ω')}" for (one, other), value in zip(pairs, row, strict=True)
    ]


def _seen(inputs: Inputs, wiring: Wiring, solved: bool) -> str:
    """What the input shows: its reading, or what it adds where the element is not told."""
    if "readings" in inputs:
        return ""
    if not solved:
        return "? Ω"
    if wiring.added is None:
        return ""
    decimals = max((inputs[name].decimals for name in (*wiring.letters, "element") if name in inputs), default=2)
    if "element" in inputs:
        return inputs.show(inputs.number("element", "Ω") + wiring.added, decimals, "Ω")
    return f"{'+' if wiring.added >= 0.0 else ''}{inputs.show(wiring.added, decimals, 'Ω')}"


def words(inputs: Inputs, solved: bool) -> str:
    """The connection and its leads, and in the solved form what the input sees."""
    wiring = read(inputs)
    upper = [letter for letter in wiring.letters if letter in UPPER]
    lower = [letter for letter in wiring.letters if letter not in UPPER]
    told = [
        gettext("Resistance thermometer on {count}: one end of the element on {upper}, the other on {lower}.").format(
            count=_count(wiring), upper=" + ".join(upper), lower=" + ".join(lower)
        )
    ]
    if wiring.leads:
        leads = ", ".join(f"{letter} {inputs.quantity(letter, 'Ω')}" for letter in wiring.leads)
        told.append(gettext("Resistance of the leads: {leads}.").format(leads=leads))
    if "element" in inputs:
        told.append(gettext("The element has {element}.").format(element=inputs.quantity("element", "Ω")))
    if readings := _readings(inputs, wiring):
        told.append(gettext("Measured between the leads: {readings}.").format(readings="; ".join(readings)))
    seen = _seen(inputs, wiring, solved)
    if not solved:
        told.append(gettext("What the element has is asked.") if readings else gettext("What the input sees is asked."))
    elif seen and "element" in inputs:
        told.append(gettext("The input sees {seen}.").format(seen=seen))
    elif seen:
        told.append(gettext("On top of the element the input sees {seen}.").format(seen=seen))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the element, its leads, and the input or what was measured."""
    wiring, board = read(inputs), sheet.board()
    places = PLACES[wiring.wires]
    middles = []
    for upper in (True, False):
        ys = [y for letter, y in places.items() if (letter in UPPER) is upper]
        wire(sheet, board, (ELEMENT, max(ys)), (ELEMENT, min(ys)))
        middles.append(sum(ys) / len(ys))
        if len(ys) > 1:
            node(sheet, board, ELEMENT, middles[-1])
    wire(sheet, board, (ELEMENT - 26, middles[0]), (ELEMENT - 26, middles[1]))
    for y in middles:
        wire(sheet, board, (ELEMENT - 26, y), (ELEMENT, y))
    middle = sum(middles) / 2
    resistor(sheet, board, ELEMENT - 26, middle, upright=True)
    for letter, y in places.items():
        _lead(sheet, board, inputs, letter, y)
    name = (gettext("element") + "\n" + inputs.told("element", solved, "Ω")).strip()
    color = sheet.theme.answer if solved and "readings" in inputs else sheet.theme.known
    sheet.text(board, ELEMENT - 12, middle, name, color if "element" in inputs else "", va="center")
    _far_end(sheet, board, inputs, wiring, solved)


def _lead(sheet: Sheet, board: Axes, inputs: Inputs, letter: str, y: float) -> None:
    """A lead with its letter and its resistance."""
    wire(sheet, board, (ELEMENT, y), (INPUT, y))
    resistor(sheet, board, LEAD, y)
    style: dict[str, Any] = {"ha": "center", "va": "center"}
    known = letter in inputs
    text = f"{letter}  {inputs.quantity(letter, 'Ω')}" if known else letter
    sheet.text(board, LEAD, y + 19, text, sheet.theme.known if known else "", **style)
    node(sheet, board, INPUT, y)


def _far_end(sheet: Sheet, board: Axes, inputs: Inputs, wiring: Wiring, solved: bool) -> None:
    """The input with what it sees, or a list of what an ohmmeter found."""
    style: dict[str, Any] = {"va": "center"}
    if readings := _readings(inputs, wiring):
        for number, text in enumerate(readings):
            sheet.text(board, INPUT + 16, 214 - 30 * number, text, sheet.theme.known, **style)
        return
    high, low = max(PLACES[wiring.wires].values()) + 22, min(PLACES[wiring.wires].values()) - 22
    box(sheet, board, INPUT + 70, (high + low) / 2, 140, high - low)
    style |= {"ha": "center", "zorder": 5}
    seen, color = _seen(inputs, wiring, solved), sheet.theme.answer if solved else ""
    adds = gettext("Input adds") if seen else gettext("Input")
    head = adds if solved and "element" not in inputs else gettext("Input sees")
    sheet.text(board, INPUT + 70, (high + low) / 2 + 16, head, sheet.theme.quiet, **style)
    sheet.text(board, INPUT + 70, (high + low) / 2 - 12, seen, color, weight="bold", **style)
