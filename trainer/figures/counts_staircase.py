"""Counts of an input against its signal, and beside it a few single counts magnified."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.calculations.counts import counts, top_count
from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

SMALLER = {"V": "mV", "mA": "µA", "mV": "µV"}
AROUND = 2  # single counts that are shown on either side
PLAIN = 0.5  # fraction of the signal about which they lie where none is told


@dataclass(frozen=True)
class Input:
    """An input with its top count, a signal and the counts that it makes of it."""

    top: int
    full_scale: float
    unit: str
    signal: float | None
    count: int | None

    @property
    def step(self) -> float:
        """Signal for one count, in the smaller unit."""
        return self.full_scale / self.top * 1000.0


def read(inputs: Inputs) -> Input:
    """Read the inputs."""
    bits, unit = inputs.number("bits"), inputs.unit("full_scale", "V")
    if bits != int(bits) or unit not in SMALLER:
        raise TrainerError(f"figure 'counts staircase' takes whole bits and a full scale in {', '.join(SMALLER)}")
    full_scale, signal = inputs.number("full_scale"), inputs.known("signal", unit)
    count = int(inputs.number("counts")) if "counts" in inputs else None
    if count is None and signal is not None:
        count = counts(signal, full_scale, int(bits))
    return Input(top_count(int(bits)), full_scale, unit, signal, count)


def _step(inputs: Inputs, card: Input) -> str:
    return inputs.show(card.step, 3, SMALLER[card.unit])


def words(inputs: Inputs, solved: bool) -> str:
    """Bits and full scale, the signal, and in the solved form counts and the size of one."""
    card = read(inputs)
    bits, full = inputs.show(inputs.number("bits"), 0), inputs.quantity("full_scale", "V")
    told = [gettext("Counts of an input of {bits} bits against its signal, a stair from 0 to {full}.").format(
        bits=bits, full=full
    )]  # fmt: skip
    signal = inputs.quantity("signal", card.unit) if "signal" in inputs else ""
    if not solved:
        told += [gettext("The signal {signal} is marked.").format(signal=signal)] if signal else []
        return " ".join([*told, gettext("The number of counts and the size of one are asked.")])
    top, step = inputs.show(card.top, 0), _step(inputs, card)
    told.append(gettext("The top count is {top}; one count stands for {step}.").format(top=top, step=step))
    if signal and card.count is not None:
        made = gettext("The signal {signal} makes {count} counts.")
        told.append(made.format(signal=signal, count=inputs.show(card.count, 0)))
    return " ".join(told)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the whole stair on the left and a few steps of it on the right."""
    card, board = read(inputs), sheet.board()
    _whole(sheet, board, inputs, card, solved)
    _magnified(sheet, board, inputs, card, solved)


def _whole(sheet: Sheet, board: Axes, inputs: Inputs, card: Input, solved: bool) -> None:
    """The stair from a distance: a straight line."""
    plot = sheet.plot(66, 52, 150, 146)
    plot.set(xlim=(0, card.full_scale), ylim=(0, card.top * 1.04))
    sheet.line(plot, [0, card.full_scale], [0, card.top], sheet.theme.ink, linewidth=sheet.thick)
    top = inputs.show(card.top, 0) if solved else "?"
    plot.set_yticks([0, card.top], ["0", top])
    sheet.ticks(plot.xaxis, inputs.decimal, most=3)
    sheet.text(board, 10, 236, gettext("Counts"), sheet.theme.quiet, va="center")
    label = gettext("Signal, {unit}").format(unit=card.unit)
    sheet.text(board, 216, 14, label, sheet.theme.quiet, ha="right", va="center")
    if card.signal is None:
        return
    color = sheet.theme.answer if solved else sheet.theme.known
    end = card.count if solved and card.count is not None else card.top
    sheet.line(plot, [card.signal] * 2, [0, end], color, linestyle="--")
    late = card.signal > 0.45 * card.full_scale
    beside: dict[str, Any] = {"ha": "right" if late else "left", "shift": (-6 if late else 6, 4), "weight": "bold"}
    sheet.text(plot, card.signal, 0, inputs.quantity("signal", card.unit), color, **beside)
    if solved and card.count is not None:
        sheet.line(plot, [card.signal], [card.count], color, marker="o", markersize=9)


def _magnified(sheet: Sheet, board: Axes, inputs: Inputs, card: Input, solved: bool) -> None:
    """Single counts; in the open form always the same ones, without numbers."""
    plot = sheet.plot(306, 92, 140, 106)
    plot.set(xlim=(-AROUND - 0.5, AROUND + 0.5), ylim=(-AROUND - 0.5, AROUND + 0.9), xticks=[])
    levels = range(-AROUND, AROUND + 1)
    xs = [edge for level in levels for edge in (level - 0.5, level + 0.5)]
    ys = [float(level) for level in levels for _ in range(2)]
    sheet.line(plot, xs, ys, sheet.theme.ink, linewidth=sheet.thick)
    color = sheet.theme.answer if solved else sheet.theme.ink
    numbered = solved and card.count is not None and AROUND < card.count < card.top - AROUND
    plot.set_yticks([])
    if numbered and card.count is not None:
        plot.set_yticks([-1, 0, 1], [inputs.show(card.count + level, 0) for level in (-1, 0, 1)])
    if numbered and card.signal is not None and card.count is not None:
        place = card.signal / card.full_scale * card.top - card.count
        sheet.line(plot, [place, place], [plot.get_ylim()[0], 0], color, linestyle="--")
        sheet.line(plot, [place], [0], color, marker="o", markersize=9)
    sheet.text(board, 446, 236, gettext("Magnified"), sheet.theme.quiet, ha="right", va="center")
    heads = "<|-|>,head_width=0.3,head_length=0.6"
    for edge in (0.5, 1.5):
        sheet.line(plot, [edge, edge], [-AROUND - 1.1, 1], sheet.theme.quiet, linestyle=":", linewidth=sheet.thin)
    sheet.arrow(plot, (0.3, -AROUND - 0.9), (0.5, -AROUND - 0.9), color)
    sheet.arrow(plot, (1.7, -AROUND - 0.9), (1.5, -AROUND - 0.9), color, arrowstyle=heads[2:])
    text = _step(inputs, card) if solved else f"? {SMALLER[card.unit]}"
    sheet.text(board, 446, 56, text, color, ha="right", va="center", weight="bold")
    sheet.text(board, 446, 32, gettext("for one count"), sheet.theme.quiet, ha="right", va="center")
