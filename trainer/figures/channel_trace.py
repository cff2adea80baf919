"""A channel over the course of its brief: process and reading, levels and states of its relays, what was required."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext
from trainer.units import unit as unit_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

LEFT, RIGHT, FAR = 74.0, 318.0, 454.0  # ends of the time axis and of the labels beside it, in points
PLOT, ROW, FOOT, HEAD, GAP = 170.0, 19.0, 44.0, 30.0, 16.0  # heights, in points
WIDTH = 460.8  # of every sheet, in points
NEVER = -1.0  # in place of a time where there is nothing to look at
MOST_OUTSIDE = 1.0  # what lies farther off than this many spans of the process is told, not drawn


@dataclass(frozen=True)
class Wanted:
    """A requirement on the time axis: from when to when, whether it was met, where to look."""

    number: int
    start: float
    end: float
    met: bool
    look: float


@dataclass(frozen=True)
class Level:
    """A set point or a reset value of a relay."""

    relay: int
    value: float
    sets: bool


def height(relays: int, requirements: int) -> float:
    """How high the sheet is, in points."""
    return FOOT + ROW * (relays + requirements) + GAP * bool(relays) + GAP + PLOT + HEAD


def read(inputs: Inputs) -> tuple[list[Wanted], list[Level]]:
    """The requirements and the levels."""
    names = ("starts", "ends", "met", "look_at")
    rows = [inputs.row(name) for name in names if name in inputs]
    if len({len(row) for row in rows}) > 1:
        raise TrainerError(f"figure '{inputs.figure}' takes a start, an end and a verdict for each requirement")
    looks = inputs.row("look_at") if "look_at" in inputs else (NEVER,) * len(rows[0])
    columns = zip(*(inputs.row(name) for name in names[:3]), looks, strict=True)
    wanted = [Wanted(number, start, end, met > 0.0, look) for number, (start, end, met, look) in enumerate(columns, 1)]
    levels = [
        Level(relay, value, name == "set_points")
        for name in ("set_points", "resets")
        if name in inputs
        for relay, value in enumerate(inputs.row(name), 1)
    ]
    return wanted, levels


def words(inputs: Inputs, solved: bool) -> str:
    """Process, readings, levels, what the relays did, which requirements were met."""
    wanted, levels = read(inputs)
    told = [_range(inputs, "process", gettext("Process from {low} to {high} over {time}."))]
    if "reading" in inputs:
        told.append(_range(inputs, "reading", gettext("Reading from {low} to {high}.")))
    told += [
        (gettext("Set point of relay {n}: {value}.") if each.sets else gettext("Reset of relay {n}: {value}.")).format(
            n=each.relay, value=_value(inputs, each.value, inputs.unit("process"))
        )
        for each in levels
    ]
    told += [_relay_words(inputs, relay) for relay in range(1, _relays(inputs) + 1)]
    met, lacking = ([str(each.number) for each in wanted if each.met is good] for good in (True, False))
    told.append(gettext("Requirements met: {numbers}.").format(numbers=", ".join(met) or gettext("none")))
    if lacking:
        told.append(gettext("Not met: {numbers}.").format(numbers=", ".join(lacking)))
    return " ".join(told)


def _range(inputs: Inputs, name: str, sentence: str) -> str:
    values, own = inputs.row(name), inputs.unit("process")
    end = inputs.show(inputs.row("process_times")[-1], inputs["process_times"].decimals, inputs.unit("process_times"))
    return sentence.format(low=_value(inputs, min(values), own), high=_value(inputs, max(values), own), time=end)


def _relay_words(inputs: Inputs, relay: int) -> str:
    spans = [span for span in _alarms(inputs) if span[0] == relay]
    if not spans:
        return gettext("Relay {n} is never in alarm.").format(n=relay)
    times, number = inputs["process_times"], int(inputs.row("operations")[relay - 1])
    first = inputs.show(spans[0][1], times.decimals + 1, times.unit)
    said = gettext("Relay {n} is in alarm first at {time}; operations: {number}.")
    return said.format(n=relay, time=first, number=number)


def _relays(inputs: Inputs) -> int:
    return int(inputs.number("relays"))


def _alarms(inputs: Inputs) -> list[tuple[int, float, float]]:
    if "alarm_relays" not in inputs:
        return []
    columns = zip(*(inputs.row(name) for name in ("alarm_relays", "alarm_starts", "alarm_ends")), strict=True)
    return [(int(relay), start, end) for relay, start, end in columns]


def _value(inputs: Inputs, value: float, name: str = "") -> str:
    return inputs.show(value, inputs["process"].decimals, name)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the plot on top, the requirements below it, the relays at the foot."""
    wanted, levels = read(inputs)
    relays = _relays(inputs)
    sheet.grow(height(relays, len(wanted)))
    board, top = sheet.board(), sheet.height - HEAD
    plot = sheet.plot(LEFT, top - PLOT, RIGHT - LEFT, PLOT)
    rows = sheet.plot(LEFT, FOOT, RIGHT - LEFT, top - PLOT - GAP - FOOT)
    span = (inputs.row("process_times")[0], inputs.row("process_times")[-1])
    _course(sheet, plot, inputs, levels, span)
    _levels(sheet, board, plot, inputs, levels)
    rows.set(xlim=span, ylim=(0.0, top - PLOT - GAP - FOOT), yticks=[])
    middle = top - PLOT - GAP - FOOT
    for each in wanted:
        middle -= ROW
        _requirement(sheet, rows, each, middle + ROW / 2, span)
    _states(sheet, rows, inputs, relays, span)
    sheet.ticks(rows.xaxis, inputs.decimal, most=4)
    _heads(sheet, board, inputs)


def _heads(sheet: Sheet, board: Axes, inputs: Inputs) -> None:
    title = gettext("process ─, reading ┄, {unit}").format(unit=unit_of(inputs.unit("process")).name)
    sheet.text(board, 8, sheet.height - 14, sheet.shorten(title, 40), va="center")
    time = gettext("Time, {unit}").format(unit=inputs.unit("process_times", "s"))
    sheet.text(board, FAR, 26, time, sheet.theme.quiet, ha="right", va="center")


def _course(sheet: Sheet, plot: Axes, inputs: Inputs, levels: list[Level], span: tuple[float, float]) -> None:
    process = inputs.row("process")
    low, high = min(process), max(process)
    room = MOST_OUTSIDE * (high - low) or 1.0
    near = [each.value for each in levels] + list(inputs.row("reading") if "reading" in inputs else ())
    near = [value for value in near if low - room <= value <= high + room]
    ends = min([low, *near]), max([high, *near])
    air = 0.08 * (ends[1] - ends[0]) or 1.0
    plot.set(xlim=span, ylim=(ends[0] - air, ends[1] + air), xticks=[])
    sheet.ticks(plot.yaxis, inputs.decimal, most=4)
    look: dict[str, Any] = {"clip_on": True}
    sheet.line(plot, inputs.row("process_times"), process, sheet.theme.ink, linewidth=sheet.thin, zorder=3, **look)
    if "reading" in inputs:
        times, values = inputs.row("reading_times"), inputs.row("reading")
        starts = [int(number) for number in inputs.row("reading_parts")]
        for first, last in pairwise([*starts, len(times)]):
            part = slice(first, last)
            sheet.line(plot, times[part], values[part], sheet.theme.known, linestyle=(0, (3, 1)), zorder=4, **look)


def _levels(sheet: Sheet, board: Axes, plot: Axes, inputs: Inputs, levels: list[Level]) -> None:
    """The levels as lines, their names in the margin, moved apart where they are near each other."""
    start, end = plot.get_xlim()
    low, high = plot.get_ylim()
    bottom = sheet.height - HEAD - PLOT
    seen = sorted(levels, key=lambda each: (each.value, not each.sets))
    places: list[float] = []
    for each in seen:
        if low <= each.value <= high:
            style = "--" if each.sets else "-."
            sheet.line(plot, [start, end], [each.value] * 2, sheet.theme.answer, linestyle=style, zorder=2)
        own = bottom + PLOT * min(max((each.value - low) / (high - low), 0.0), 1.0)
        places.append(max(own, places[-1] + ROW) if places else own)
    highest = bottom + PLOT
    for index in reversed(range(len(places))):
        places[index] = min(places[index], highest)
        highest = places[index] - ROW
    for each, place in zip(seen, places, strict=True):
        name = gettext("set {n}: {value}") if each.sets else gettext("reset {n}: {value}")
        told = sheet.shorten(name.format(n=each.relay, value=_value(inputs, each.value)), 14)
        sheet.text(board, RIGHT + 8, place, told, sheet.theme.answer, va="center")


def _requirement(sheet: Sheet, rows: Axes, each: Wanted, middle: float, span: tuple[float, float]) -> None:
    """A bar over the window of a requirement with its number; one not met is thin and says where to look."""
    color = sheet.theme.answer if each.met else sheet.theme.ink
    start, end = max(each.start, span[0]), min(each.end, span[1])
    look: dict[str, Any] = {"solid_capstyle": "butt"} if each.met else {"linestyle": ":"}
    sheet.line(rows, [start, end], [middle, middle], color, linewidth=sheet.thick, marker="|", markersize=8, **look)
    if each.look >= span[0] and not each.met:
        sheet.line(rows, [each.look], [middle], color, marker="X", markersize=10, linestyle="none", zorder=4)
    sheet.text(rows, span[0], middle, str(each.number), shift=(-10, 0), ha="right", va="center")
    verdict = gettext("met ✓") if each.met else gettext("not met ✗")
    weight = "normal" if each.met else "bold"
    sheet.text(rows, span[1], middle, verdict, color, shift=(10, 0), va="center", weight=weight)


def _states(sheet: Sheet, rows: Axes, inputs: Inputs, relays: int, span: tuple[float, float]) -> None:
    """A line for each relay, thick where it is in alarm."""
    for relay in range(1, relays + 1):
        middle = ROW * (relays - relay + 0.5)
        sheet.line(rows, span, [middle, middle], sheet.theme.quiet, linewidth=sheet.thin)
        sheet.text(rows, span[0], middle, gettext("relay {n}").format(n=relay), shift=(-6, 0), ha="right", va="center")
        sheet.text(rows, span[1], middle, gettext("▬ in alarm"), sheet.theme.known, shift=(10, 0), va="center")
        for one, start, end in _alarms(inputs):
            if one == relay:
                look: dict[str, Any] = {"linewidth": 3 * sheet.thick, "solid_capstyle": "butt", "zorder": 3}
                sheet.line(rows, [start, end], [middle, middle], sheet.theme.known, **look)
