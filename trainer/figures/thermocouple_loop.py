"""A thermocouple from its junction by the head to the terminals, with the emf that each length adds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.calculations.thermocouples import COPPER, KINDS, Section, emf, indicated
from trainer.figures.inputs import Inputs
from trainer.figures.symbols import box, node, wire
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

JUNCTION, HEAD, END = 48.0, 232.0, 396.0  # places along the sheet, in points
PLUS, MINUS = 152.0, 118.0  # heights of the two conductors


@dataclass(frozen=True)
class Loop:
    """The circuit: temperatures where they are known [°C], the kind of each length."""

    kind: str
    cable: str
    crossed: bool
    hot: float | None
    head: float | None
    terminal: float
    split: bool

    @property
    def sections(self) -> tuple[Section, ...]:
        """The lengths from the junction on."""
        if not self.split:
            return (Section(self.kind, self.terminal),)
        head = self.terminal if self.head is None else self.head
        return Section(self.kind, head), Section(self.cable, self.terminal, self.crossed)

    @property
    def emfs(self) -> tuple[float, ...]:
        """What each length adds, none of them where a temperature is not known [mV]."""
        if self.hot is None or (self.split and self.head is None):
            return ()
        starts = (self.hot, *(section.end for section in self.sections[:-1]))
        return tuple(section.emf_from(start) for section, start in zip(self.sections, starts, strict=True))


def read(inputs: Inputs, solved: bool) -> Loop:
    """Read the inputs; in the solved form the junction may be worked out from the emf."""
    kind, split = inputs.choice("kind", KINDS), "head" in inputs or "cable" in inputs
    cable = inputs.choice("cable", (*KINDS, COPPER)) if "cable" in inputs else kind
    hot, terminal = inputs.known("hot", "°C"), inputs.number("terminal", "°C")
    if solved and hot is None and "emf" in inputs and not split:
        hot = indicated(inputs.number("emf", "mV"), terminal, kind)
    return Loop(kind, cable, "crossed" in inputs, hot, inputs.known("head", "°C"), terminal, split)


def _hot(inputs: Inputs, loop: Loop, solved: bool) -> str:
    if "hot" in inputs or loop.hot is None:
        return inputs.told("hot", solved, "°C")
    return inputs.show(loop.hot, 1, "°C")


def _emf(inputs: Inputs, millivolts: float) -> str:
    return inputs.show(millivolts, 3, "mV")


def _emfs_of(inputs: Inputs, loop: Loop) -> list[str]:
    """What each length adds; of a single one also how it comes about."""
    if loop.split or loop.hot is None:
        return [_emf(inputs, millivolts) for millivolts in loop.emfs]
    ends = (inputs.show(emf(loop.hot, loop.kind), 3), _emf(inputs, emf(loop.terminal, loop.kind)))
    return [" − ".join(ends)]


def _sum(inputs: Inputs, loop: Loop, solved: bool) -> str:
    """Emf at the terminals."""
    if "emf" in inputs:
        return _emf(inputs, inputs.number("emf", "mV"))
    if not solved:
        return "? mV"
    return _emf(inputs, sum(loop.emfs)) if loop.emfs else ""


def _name(kind: str, crossed: bool) -> str:
    if kind == COPPER:
        return gettext("copper")
    return (gettext("type {kind}, crossed") if crossed else gettext("type {kind}")).format(kind=kind)


def words(inputs: Inputs, solved: bool) -> str:
    """Kinds and temperatures along the circuit, and in the solved form the emf of each length."""
    loop = read(inputs, solved)
    hot, terminal = _hot(inputs, loop, True) or gettext("asked"), inputs.quantity("terminal", "°C")
    circuit = gettext("Thermocouple type {kind}: junction {hot}, terminals {terminal}.")
    told = [circuit.format(kind=loop.kind, hot=hot, terminal=terminal)]
    if loop.split:
        head = inputs.told("head", True, "°C") or gettext("asked")
        way = gettext("At the head, {head}, the cable to the terminals begins: {cable}.")
        told.append(way.format(head=head, cable=_name(loop.cable, loop.crossed)))
    if not solved:
        if "emf" in inputs:
            measured = gettext("At the terminals {emf} are measured.")
            told.append(measured.format(emf=inputs.quantity("emf", "mV")))
        told.append(gettext("The emf of each length is asked."))
    elif loop.emfs:
        told.append(gettext("Emf of each length from the junction on: {emfs}; at the terminals {sum}.").format(
            emfs=", ".join(_emfs_of(inputs, loop)), sum=_sum(inputs, loop, True)
        ))  # fmt: skip
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the circuit with its temperatures and its emfs."""
    loop, board = read(inputs, solved), sheet.board()
    places: list[tuple[float, str, str, str]] = [
        (12, gettext("Junction"), _hot(inputs, loop, solved), "left"),
        (448, gettext("Terminals"), inputs.quantity("terminal", "°C"), "right"),
    ]
    if loop.split:
        places.append((HEAD, gettext("Head"), inputs.told("head", solved, "°C"), "center"))
    for x, name, temperature, side in places:
        sheet.text(board, x, 232, name, sheet.theme.quiet, ha=side, va="center")
        weight: dict[str, Any] = {"ha": side, "va": "center", "weight": "bold"}
        asked = temperature.startswith("?") or ("hot" not in inputs and side == "left")
        color = (sheet.theme.answer if solved else sheet.theme.ink) if asked else sheet.theme.known
        sheet.text(board, x, 208, temperature, color, **weight)
    _conductors(sheet, board, loop)
    _emfs(sheet, board, inputs, loop, solved)


def _conductors(sheet: Sheet, board: Axes, loop: Loop) -> None:
    middle, first = (PLUS + MINUS) / 2, HEAD if loop.split else END
    wire(sheet, board, (first, PLUS), (JUNCTION + 24, PLUS), (JUNCTION, middle), linewidth=sheet.thick)
    wire(sheet, board, (JUNCTION, middle), (JUNCTION + 24, MINUS), (first, MINUS))
    node(sheet, board, JUNCTION, middle)
    if loop.split:
        color, look = (sheet.theme.quiet, "--") if loop.cable == COPPER else (sheet.theme.ink, "-")
        ends = (MINUS, PLUS) if loop.crossed else (PLUS, MINUS)
        for start, end in zip((PLUS, MINUS), ends, strict=True):
            points = ((HEAD, start), (HEAD + 34, end), (END, end))
            thick = sheet.thick if end == PLUS else 2.0
            wire(sheet, board, *points, color=color, linestyle=look, linewidth=thick)
            node(sheet, board, HEAD, start)
    box(sheet, board, END + 24, middle, 48, PLUS - MINUS + 24)
    sheet.text(board, END + 24, middle, "mV", ha="center", va="center", zorder=5)
    for y, sign in ((PLUS, "+"), (MINUS, "−")):
        sheet.text(
            board, JUNCTION + 40, y, sign, shift=(0, 3 if y == PLUS else -4), va="bottom" if y == PLUS else "top"
        )


def _emfs(sheet: Sheet, board: Axes, inputs: Inputs, loop: Loop, solved: bool) -> None:
    """The name of each length and under it what it adds; below all the sum."""
    ends, color = (JUNCTION, HEAD, END) if loop.split else (JUNCTION, END), sheet.theme.answer
    style: dict[str, Any] = {"ha": "center", "va": "center"}
    added = _emfs_of(inputs, loop)
    for number, section in enumerate(loop.sections):
        x = (ends[number] + ends[number + 1]) / 2
        sheet.text(board, x, 86, _name(section.kind, section.crossed), **style)
        text = "? mV" if not solved else added[number] if added else ""
        sheet.text(board, x, 62, text, color if solved else "", weight="bold", **style)
    together = gettext("at the terminals: {emf}").format(emf=_sum(inputs, loop, solved))
    known = "emf" in inputs and not solved
    sheet.text(
        board, 448, 24, together, sheet.theme.known if known else color if solved else "", ha="right", va="center"
    )
