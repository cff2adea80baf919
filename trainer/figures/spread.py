"""How values spread: bars side by side from the lowest to the highest, each as high as the values in it are many."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from trainer.figures.style import Sheet

MOST_BARS = 40
EMPTY_FROM = 3  # bars in a row without any value are told


@dataclass(frozen=True)
class Spread:
    """How many values lie in each of the equal stretches between two ends."""

    counts: tuple[int, ...]
    low: float
    high: float

    def end(self, bar: int) -> float:
        """Where a bar begins, counted from 0."""
        return self.low + (self.high - self.low) * bar / len(self.counts)


def read(inputs: Inputs) -> Spread:
    """The bars and the ends, refused where they make no picture."""
    counts, low, high = inputs.row("counts"), inputs.number("low"), inputs.number("high")
    whole = all(count >= 0 and count == int(count) for count in counts)
    if not (whole and sum(counts) > 0 and len(counts) <= MOST_BARS and low < high):
        raise TrainerError(f"figure '{inputs.figure}' takes 1 to {MOST_BARS} counts, and low under high")
    return Spread(tuple(int(count) for count in counts), low, high)


def words(inputs: Inputs, _solved: bool) -> str:
    """How many values there are, between which ends, where they are most, and where there are none."""
    spread = read(inputs)
    said = gettext("{n} values from {low} to {high}, most of them, {most}, from {start} to {end}.").format(
        n=sum(spread.counts),
        low=inputs.amount("low"),
        high=inputs.amount("high"),
        most=max(spread.counts),
        **_ends(inputs, spread, spread.counts.index(max(spread.counts)), 1),
    )
    for start, length in _gaps(spread.counts):
        said += " " + gettext("None from {start} to {end}.").format(**_ends(inputs, spread, start, length))
    return said


def draw(sheet: Sheet, inputs: Inputs, _solved: bool) -> None:
    """Draw the bars over an axis of values."""
    spread, unit = read(inputs), inputs.unit("low").removesuffix(" (difference)")
    axes = sheet.plot(56, 62, 380, 168)
    most = max(spread.counts)
    axes.set(xlim=(spread.low, spread.high), ylim=(0, most * 1.05))
    for bar, count in enumerate(spread.counts):
        left, right = spread.end(bar), spread.end(bar + 1)
        look: dict[str, Any] = {"facecolor": sheet.theme.fill, "edgecolor": sheet.theme.known, "linewidth": sheet.thin}
        axes.fill([left, left, right, right], [0, count, count, 0], clip_on=False, **look)
    sheet.ticks(axes.xaxis, inputs.decimal, 5)
    sheet.ticks(axes.yaxis, inputs.decimal, 3)
    title = " ".join(filter(None, (inputs.title("low", gettext("Value")), f"({unit})" if unit else "")))
    middle = (spread.low + spread.high) / 2
    sheet.text(axes, middle, 0, sheet.shorten(title, 48), shift=(0, -34), ha="center", va="top")
    sheet.text(axes, spread.low, most * 1.05, gettext("draws"), sheet.theme.quiet, shift=(-8, 8), ha="center")


def _ends(inputs: Inputs, spread: Spread, bar: int, length: int) -> dict[str, str]:
    shown = inputs["low"]
    unit = shown.unit.removesuffix(" (difference)")
    places = {"start": spread.end(bar), "end": spread.end(bar + length)}
    return {name: inputs.show(place, shown.decimals, unit) for name, place in places.items()}


def _gaps(counts: tuple[int, ...]) -> list[tuple[int, int]]:
    """Long stretches of empty bars, as (first, how many)."""
    gaps, start = [], None
    for bar, count in enumerate((*counts, 1)):
        if count and start is not None:
            gaps += [(start, bar - start)] if bar - start >= EMPTY_FROM else []
            start = None
        elif not count and start is None:
            start = bar
    return gaps
