"""A process value over time with the set point of an alarm, and below it the state of the relay."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.figures.traces import ALARM, NORMAL, Trace, read, thinned
from trainer.language import gettext

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from trainer.figures.style import Sheet

LEFT, RIGHT, FAR = 74.0, 360.0, 454.0  # ends of the time axis and of the labels beside it, in points
COLUMNS = 280  # of the plot, a point each
TOLD_AT_MOST = 16  # readings in the words; of a longer trace only as many, evenly chosen
CLOSE = 13.0  # numbers nearer together than this stand in two rows, in points
TITLE_AT_MOST = 38  # characters


def words(inputs: Inputs, solved: bool) -> str:
    """The trace, the alarm's settings, the times asked; in the solved form the reset value and the states."""
    trace = read(inputs)
    title = inputs.title("trace", gettext("Process value"))
    told = [f"{title}: {_readings(inputs, trace)}.", _settings(inputs, trace)]
    if solved:
        told.extend(_solved(inputs, trace))
    elif trace.asked:
        times = ", ".join(f"{number} = {_time(inputs, trace, time)}" for number, time in enumerate(trace.asked, 1))
        told.append(
            gettext("The state of the relay is asked at {times}.").format(times=times)
            if trace.timed
            else gettext("The state of the relay is asked after each reading.")
        )
    return " ".join(told)


def _readings(inputs: Inputs, trace: Trace) -> str:
    """Every reading of a short trace, of a long one as many as one can listen to."""
    pairs = list(zip(trace.times, trace.values, strict=True))
    if len(pairs) > TOLD_AT_MOST:
        pairs = [pairs[round(i * (len(pairs) - 1) / (TOLD_AT_MOST - 1))] for i in range(TOLD_AT_MOST)]
    return "; ".join(
        gettext("{value} at {time}").format(value=_value(inputs, trace, value), time=_time(inputs, trace, time))
        for time, value in pairs
    )


def _settings(inputs: Inputs, trace: Trace) -> str:
    alarm = trace.alarm
    sentence = gettext("Rising alarm at {x}") if alarm.direction == "rising" else gettext("Falling alarm at {x}")
    parts = [sentence.format(x=inputs.quantity("set_point", trace.unit))]
    for name, label in (
        ("deadband", gettext("deadband {x}")),
        ("on_delay", gettext("on-delay {x}")),
        ("off_delay", gettext("off-delay {x}")),
    ):
        if name in inputs:
            parts.append(label.format(x=inputs.quantity(name)))
    return ", ".join(parts) + "."


def _solved(inputs: Inputs, trace: Trace) -> list[str]:
    told = []
    if trace.alarm.deadband:
        told.append(gettext("It resets at {reset}.").format(reset=_reset(inputs, trace, trace.unit)))
    delays = [_from_to(inputs, trace, start, end) for start, end in trace.delays[:TOLD_AT_MOST]] if trace.timed else []
    if delays:
        told.append(gettext("A delay runs {moments}.").format(moments=", ".join(delays)))
    moments = [
        gettext("in alarm {moment}").format(moment=_from_to(inputs, trace, start, end))
        for start, end in trace.intervals
    ]
    if trace.timed:
        told.append(
            gettext("The relay is {moments}.").format(moments=", ".join(moments) or gettext("normal throughout"))
        )
    if trace.asked:
        states = "; ".join(f"{number}: {_state(state)}" for number, state in enumerate(_states(inputs, trace), 1))
        told.append(gettext("States asked: {states}.").format(states=states))
    return told


def _from_to(inputs: Inputs, trace: Trace, start: float, end: float) -> str:
    return gettext("from {start} to {end}").format(
        start=_time(inputs, trace, start, 1), end=_time(inputs, trace, end, 1)
    )


def _states(inputs: Inputs, trace: Trace) -> tuple[str, ...]:
    """The states as kept, or as the relay runs."""
    if "states" not in inputs:
        return trace.states
    states = inputs.words("states")
    if len(states) != len(trace.asked) or not set(states) <= {NORMAL, ALARM}:
        raise TrainerError("figure 'alarm trace': states are normal or alarm, one for each time asked")
    return states


def _state(state: str) -> str:
    return gettext("alarm") if state == ALARM else gettext("normal")


def _value(inputs: Inputs, trace: Trace, value: float) -> str:
    return inputs.show(value, inputs["trace"].decimals, trace.unit)


def _time(inputs: Inputs, trace: Trace, time: float, more: int = 0) -> str:
    if not trace.timed:
        return gettext("reading {number}").format(number=inputs.show(time, 0))
    decimals = max(inputs[name].decimals for name in ("times", "asked") if name in inputs)
    return inputs.show(time, decimals + more, trace.time_unit)


def _reset(inputs: Inputs, trace: Trace, unit: str) -> str:
    names = ("reset",) if "reset" in inputs else ("set_point", "deadband")
    return inputs.show(trace.alarm.reset_value, max(inputs[name].decimals for name in names), unit)


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw the trace above and the state of the relay below."""
    trace, board = read(inputs), sheet.board()
    plot, band = sheet.plot(LEFT, 92, RIGHT - LEFT, 104), sheet.plot(LEFT, 36, RIGHT - LEFT, 40)
    title = inputs.title("trace", gettext("Process value"))
    sheet.text(board, 8, 246, sheet.shorten(f"{title}, {trace.unit}", TITLE_AT_MOST), va="center")
    _course(sheet, plot, inputs, trace)
    _levels(sheet, plot, inputs, trace, solved)
    _axes(sheet, board, band, inputs, trace)
    _numbers(sheet, plot, band, trace, solved)
    if solved:
        _relay(sheet, band, _states(inputs, trace), trace)
        _delays(sheet, board, band, trace)


def _course(sheet: Sheet, plot: Axes, inputs: Inputs, trace: Trace) -> None:
    """The trace itself, in a window with room for the deadband, on both sides so that it gives none away."""
    point, deadband = trace.alarm.set_point, trace.alarm.deadband
    levels = (*trace.values, point - deadband, point + deadband)
    room = 0.08 * (max(levels) - min(levels)) or 1.0
    plot.set(xlim=_span(trace), ylim=(min(levels) - room, max(levels) + room), xticks=[])
    sheet.ticks(plot.yaxis, inputs.decimal, most=3)
    marks: dict[str, Any] = {} if trace.timed else {"marker": "o", "markersize": 6, "linewidth": sheet.thin}
    sheet.line(plot, *thinned(trace.times, trace.values, COLUMNS), sheet.theme.ink, zorder=3, **marks)


def _span(trace: Trace) -> tuple[float, float]:
    return (trace.times[0], trace.times[-1]) if trace.timed else (0.5, len(trace.times) + 0.5)


def _levels(sheet: Sheet, plot: Axes, inputs: Inputs, trace: Trace, solved: bool) -> None:
    """Set point with the side on which the alarm is due, and when solved the reset value, told in the margin."""
    alarm, rising, (start, end) = trace.alarm, trace.alarm.direction == "rising", _span(trace)
    bottom, top = plot.get_ylim()
    plot.axhspan(alarm.set_point, top if rising else bottom, facecolor=sheet.theme.fill, zorder=0)
    sheet.line(plot, [start, end], [alarm.set_point] * 2, sheet.theme.known, linestyle="--")
    way = "↑" if rising else "↓"
    told = gettext("set point") + f"\n{way} {inputs.show(alarm.set_point, inputs['set_point'].decimals)}"
    outside: dict[str, Any] = {"shift": (6, 1 if rising else -1), "va": "bottom" if rising else "top"}
    sheet.text(plot, end, alarm.set_point, told, sheet.theme.known, **outside)
    if solved and alarm.deadband:
        sheet.line(plot, [start, end], [alarm.reset_value] * 2, sheet.theme.answer, linestyle="-.")
        inside: dict[str, Any] = {"shift": (6, -1 if rising else 1), "va": "top" if rising else "bottom"}
        told = gettext("reset") + "\n" + _reset(inputs, trace, "")
        sheet.text(plot, end, alarm.reset_value, told, sheet.theme.answer, **inside)


def _axes(sheet: Sheet, board: Axes, band: Axes, inputs: Inputs, trace: Trace) -> None:
    """Levels of the relay and the time below it."""
    band.set(xlim=_span(trace), ylim=(-0.4, 1.4))
    band.set_yticks([0, 1], [_state(NORMAL), _state(ALARM)])
    if trace.timed:
        sheet.ticks(band.xaxis, inputs.decimal, most=6)
        label = gettext("Time, {unit}").format(unit=trace.time_unit)
    else:
        band.set_xticks(trace.times, [inputs.show(number, 0) for number in trace.times])
        label = gettext("Reading")
    sheet.text(board, FAR, 22, label, sheet.theme.quiet, ha="right", va="center")


def _numbers(sheet: Sheet, plot: Axes, band: Axes, trace: Trace, solved: bool) -> None:
    """A numbered line at every time asked; a question mark where its state is not told."""
    start, end = _span(trace)
    bottom, top = plot.get_ylim()
    close, last = CLOSE * (end - start) / (RIGHT - LEFT), start - end
    for number, time in enumerate(trace.asked, 1):
        raised = time - last < close  # too near to a number in the lower row
        last = last if raised else time
        if trace.timed:
            for axes, low, high in ((plot, bottom, top), (band, *band.get_ylim())):
                look: dict[str, Any] = {"linestyle": ":", "linewidth": sheet.thin, "zorder": 1}
                sheet.line(axes, [time, time], [low, high], sheet.theme.quiet, **look)
            sheet.text(plot, time, top, str(number), shift=(0, 18 if raised else 3), ha="center")
        if not solved:
            sheet.text(band, time, 0.5, "?", ha="center", va="center", weight="bold")


def _relay(sheet: Sheet, band: Axes, states: tuple[str, ...], trace: Trace) -> None:
    """The relay over time where times are known, and a dot for its state at every time asked."""
    color = sheet.theme.answer
    if trace.timed:
        xs, ys = [trace.times[0]], [0.0]
        for time, on in trace.steps:
            xs += [time, time]
            ys += [ys[-1], float(on)]
        sheet.line(band, [*xs, trace.times[-1]], [*ys, ys[-1]], color, linewidth=sheet.thick)
    heights = [float(state == ALARM) for state in states]
    sheet.line(band, trace.asked, heights, color, marker="o", markersize=9, linestyle="none", zorder=4)


def _delays(sheet: Sheet, board: Axes, band: Axes, trace: Trace) -> None:
    """A bar for each delay that ran, between the levels of the relay; one that is broken off ends short."""
    runs = trace.delays if trace.timed else []
    for start, end in runs:
        look: dict[str, Any] = {"linewidth": 2 * sheet.thick, "solid_capstyle": "butt", "zorder": 2}
        sheet.line(band, [start, end], [0.5, 0.5], sheet.theme.known, **look)
    if runs:
        sheet.text(board, FAR, 56, gettext("delays ▬"), sheet.theme.known, ha="right", va="center")
