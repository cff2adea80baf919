"""Alarm relays against a simulation as plain as can be, and against what standards and the trade print."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import get_args

import numpy as np
import pytest

from trainer.calculations.alarms import Alarm, BreakAction, Direction, Timer
from trainer.calculations.relays import run
from trainer.calculations.response import filtered


def step_by_step(alarm, times, values, step, *, breaks=(), acknowledge=(), reset=()):
    """Simulate in small steps, with nothing but comparisons: the events, late by less than a step."""
    rising = alarm.direction == "rising"
    reset_at = alarm.set_point - alarm.deadband if rising else alarm.set_point + alarm.deadband
    count = round((times[-1] - times[0]) / step) + 1
    moments = [times[0] + k * step for k in range(count)]
    in_alarm, silenced, armed = False, False, not alarm.inhibited
    due_since = clear_since = None
    acknowledge, reset, events = sorted(acknowledge), sorted(reset), []
    for now, value in zip(moments, np.interp(moments, times, values).tolist(), strict=True):
        over = value >= alarm.set_point if rising else value <= alarm.set_point
        back = (value <= reset_at if rising else value >= reset_at) and not over
        broken = any(start <= now < end for start, end in breaks)
        if back and not broken:
            armed = True
        due = alarm.on_break == "alarm" if broken else over and armed
        clear = alarm.on_break == "normal" if broken else back
        if due:
            due_since = now if due_since is None else due_since
        elif alarm.timer == "alarm condition" or clear or broken:
            due_since = None
        clear_since = None if not clear else now if clear_since is None else clear_since
        if not in_alarm and due_since is not None and now - due_since >= alarm.on_delay:
            in_alarm, silenced, due_since = True, False, None
            events.append((now, "alarm"))
        elif in_alarm:
            due_since = None
            if not alarm.latching and clear_since is not None and now - clear_since >= alarm.off_delay:
                in_alarm = False
                events.append((now, "normal"))
        while acknowledge and acknowledge[0] <= now:
            acknowledge.pop(0)
            if in_alarm and not silenced:
                silenced = True
                events.append((now, "acknowledged"))
        while reset and reset[0] <= now:
            reset.pop(0)
            if in_alarm and alarm.latching:
                events.append((now, "reset" if clear else "reset refused"))
                if clear:
                    in_alarm = False
                    events.append((now, "normal"))
    return events


def drawn_alarm(draw, set_point, deadbands, delays):
    return Alarm(
        direction=draw.choice(get_args(Direction)),
        set_point=set_point,
        deadband=draw.choice(deadbands),
        on_delay=draw.choice(delays),
        off_delay=draw.choice(delays),
        timer=draw.choice(get_args(Timer)),
        latching=draw.random() < 0.3,
        on_break=draw.choice(get_args(BreakAction)),
        inhibited=draw.random() < 0.2,
    )


def drawn_times(draw, count, end, grid):
    return sorted(draw.randrange(round(end / grid)) * grid for _ in range(count))


def drawn_walk(draw):
    values = [0.0]
    while len(values) < 25:
        value = values[-1] + draw.choice((-8, -4, -2, -1, 0, 1, 2, 4, 8))
        if abs(value) <= 12.0:
            values.append(value)
    return np.arange(25) * 4.0, np.array(values)


# Segments of 4 s whose ends differ by 0, 1, 2, 4 or 8 cross every whole number at a multiple of 0.5 s; breaks
# and orders fall on the same grid. Simulation in steps of 0.5 s is then exact, touches and ties included.
@pytest.mark.parametrize("block", range(10))
def test_relay_equals_simulation_exactly_on_a_grid(block):
    acted = 0
    for seed in range(block * 100, block * 100 + 100):
        draw = random.Random(seed)
        alarm = drawn_alarm(draw, float(draw.randint(-4, 4)), (1.0, 2.0, 4.0), (0.0, 0.5, 1.0, 3.0, 6.0))
        times, values = drawn_walk(draw)
        start, end = drawn_times(draw, 2, 96.0, 0.5)
        given = {
            "breaks": [(start, end)] if draw.random() < 0.5 else [],
            "acknowledge": drawn_times(draw, draw.randint(0, 3), 96.0, 0.5),
            "reset": drawn_times(draw, draw.randint(0, 4), 96.0, 0.5),
        }
        events = step_by_step(alarm, times, values, 0.5, **given)
        assert list(run(alarm, times, values, **given).events) == events, (seed, alarm)
        acted += len(events) > 1
    assert acted > 50


STEP = 0.001


def sturdy(alarm, times, values, **given):
    """Whether the same happens with settings a little to either side, so that a step decides nothing."""
    kinds = set()
    for lean in (-1.0, 0.0, 1.0):
        leaning = replace(
            alarm,
            set_point=alarm.set_point + lean * 0.02,
            on_delay=max(0.0, alarm.on_delay + lean * 3 * STEP),
            off_delay=max(0.0, alarm.off_delay - lean * 3 * STEP),
        )
        kinds.add(tuple(event.what for event in run(leaning, times, values, **given).events))
    return len(kinds) == 1


def test_relay_follows_simulation_in_steps_of_a_millisecond():
    followed = 0
    for seed in range(150):
        draw = random.Random(seed)
        alarm = drawn_alarm(draw, draw.uniform(-2.0, 2.0), (0.0, 0.3, 1.1), (0.0, 0.17, 0.4))
        times = np.cumsum([0.0] + [draw.uniform(0.2, 1.0) for _ in range(10)])
        values = np.array([draw.gauss(0.0, 2.0) for _ in times])
        given = {
            "breaks": [drawn_times(draw, 2, times[-1], 0.0137)],
            "acknowledge": drawn_times(draw, 2, times[-1], 0.0137),
            "reset": drawn_times(draw, 2, times[-1], 0.0137),
        }
        if sturdy(alarm, times, values, **given):
            events = step_by_step(alarm, times, values, STEP, **given)
            exact = run(alarm, times, values, **given).events
            assert [event.what for event in exact] == [what for _, what in events], (seed, alarm)
            assert [event.time for event in exact] == pytest.approx([t for t, _ in events], abs=2.1 * STEP)
            followed += 1
    assert followed > 120


# Gas-detection practice: alarm at 20 % of full scale, hysteresis 2 %, clears below 18 %.
# Skills table of the trade: falling alarm at 36.0, deadband 0.8, and eight values one after another.
@pytest.mark.parametrize(
    ("alarm", "values", "states"),
    [
        (
            Alarm(direction="rising", set_point=20.0, deadband=2.0),
            [19.9, 20.0, 19.0, 18.1, 18.0, 19.0, 20.1],
            "NAAANNA",
        ),
        (
            Alarm(direction="falling", set_point=36.0, deadband=0.8),
            [37.0, 36.2, 36.0, 36.5, 36.7, 36.8, 36.1, 35.9],
            "NNAAANNA",
        ),
        (Alarm(direction="rising", set_point=5.0), [4.0, 5.0, 4.0, 6.0, 5.0, 4.9], "NANAAN"),
    ],
)
def test_states_at_the_samples(alarm, values, states):
    history = run(alarm, np.arange(len(values)) * 1.0, np.array(values))
    assert "".join("A" if state else "N" for state in history.states) == states


# Worked by hand. A ramp of 1 a second meets 10 at 10 s and is back at 10 at 30 s, at 7 at 33 s.
@pytest.mark.parametrize(
    ("settings", "interval"),
    [
        ({}, (10.0, 33.0)),
        ({"on_delay": 4.5}, (14.5, 33.0)),
        ({"on_delay": 20.0}, (30.0, 33.0)),
        ({"on_delay": 20.1}, None),
        ({"on_delay": 22.0, "timer": "until reset"}, (32.0, 33.0)),
        ({"on_delay": 23.5, "timer": "until reset"}, None),
        ({"off_delay": 2.0}, (10.0, 35.0)),
        ({"off_delay": 9.0}, (10.0, 40.0)),
        ({"latching": True}, (10.0, 40.0)),
        ({"inhibited": True}, (10.0, 33.0)),
    ],
)
def test_delays_on_a_ramp_up_and_down(settings, interval):
    alarm = Alarm(direction="rising", set_point=10.0, deadband=3.0, **settings)
    history = run(alarm, np.array([0.0, 20.0, 40.0]), np.array([0.0, 20.0, 0.0]))
    assert history.intervals == ([interval] if interval else [])


# Common practice for start-up: a low alarm waits until the value has once been past the reset value.
def test_inhibited_alarm_waits_for_the_first_normal_value_but_not_for_a_broken_sensor():
    alarm = Alarm(direction="falling", set_point=36.0, deadband=4.0, inhibited=True)
    times, values = np.array([0.0, 10.0, 20.0, 30.0, 40.0]), np.array([28.0, 39.0, 35.0, 41.0, 35.0])
    assert run(alarm, times, values).intervals == [pytest.approx((38.0 + 1.0 / 3.0, 40.0))]
    broken = run(alarm, times, values, breaks=[(2.0, 3.0)])
    assert broken.times_of("alarm")[0] == 2.0


# Common practice: a break is an alarm, no alarm, or leaves the relay as it is; delays count for it as well.
@pytest.mark.parametrize(
    ("on_break", "intervals"),
    [
        ("alarm", [(52.0, 65.0), (72.0, 100.0)]),
        ("normal", [(72.0, 85.0), (92.0, 100.0)]),
        ("hold", [(72.0, 100.0)]),
    ],
)
def test_sensor_break(on_break, intervals):
    alarm = Alarm(direction="rising", set_point=10.0, on_delay=2.0, off_delay=5.0, on_break=on_break)
    times = np.array([0.0, 69.5, 70.5, 100.0])
    history = run(alarm, times, np.array([5.0, 5.0, 15.0, 15.0]), breaks=[(50.0, 60.0), (80.0, 90.0)])
    assert history.intervals == intervals


# Common practice: acknowledging silences at any time, resetting is refused until the value is past the reset
# value, and only a latching relay needs it.
def test_acknowledge_silences_and_reset_releases_past_the_reset_value():
    alarm = Alarm(direction="rising", set_point=10.0, deadband=3.0, latching=True)
    times = np.arange(0.0, 41.0)
    values = np.interp(times, [0.0, 20.0, 40.0], [0.0, 20.0, 0.0])
    history = run(alarm, times, values, acknowledge=[5.0, 15.0, 16.0], reset=[12.0, 32.5, 33.0, 36.0])
    assert history.events == (
        (10.0, "alarm"),
        (12.0, "reset refused"),
        (15.0, "acknowledged"),
        (32.5, "reset refused"),
        (33.0, "reset"),
        (33.0, "normal"),
    )
    assert history.states.tolist() == [10.0 <= time < 33.0 for time in times]
    assert history.sounding.tolist() == [10.0 <= time < 15.0 for time in times]
    free = run(replace(alarm, latching=False), times, values, reset=[12.0, 36.0])
    assert free.events == ((10.0, "alarm"), (33.0, "normal"))
    early_and_late = run(alarm, times[:16], values[:16], acknowledge=[-1.0, 20.0], reset=[-1.0, 20.0])
    assert early_and_late.events == ((10.0, "alarm"),)


# Times from an independent simulation in steps of 0.5 s: a dairy hold tube watched for cold product, a bubble
# that the delay ignores, a real dip, and a broken sensor, whose alarm comes after the delays and not the filter.
def test_cold_product_and_a_broken_sensor():
    points = [(0, 74.2), (29, 74.2), (29.5, 72.5), (30.5, 72.5), (31, 74.2), (60, 74.2), (70, 72.4), (85, 72.4)]
    points += [(110, 74.2), (240, 74.2)]
    times = np.arange(0.0, 240.1, 0.1)
    values = np.interp(times, *np.array(points).T) + 0.15 * np.sin(2.0 * np.pi * times / 6.0)
    alarm = Alarm(direction="falling", set_point=73.0, deadband=0.5, on_delay=2.0, off_delay=5.0)
    history = run(alarm, times, filtered(times, values, 1.0), breaks=[(150.0, 170.0)])
    cold, broken = history.intervals
    assert cold == pytest.approx((70.5, 107.0), abs=0.5)
    assert broken == (152.0, 175.0)


# Times from an independent simulation in steps of 0.5 s: a district-heating supply with a blip of 60 s, a real
# excess, and a latch that refuses to be reset at 1300 s.
def test_latched_record_of_a_real_excess():
    points = [(0, 88), (300, 88), (360, 96.5), (420, 96.5), (480, 88), (900, 88), (1200, 98), (1500, 98)]
    points += [(1560, 90), (2400, 88)]
    times = np.arange(0.0, 2400.5, 0.5)
    values = np.interp(times, *np.array(points, float).T) + 0.3 * np.sin(2.0 * np.pi * times / 20.0)
    alarm = Alarm(direction="rising", set_point=95.0, deadband=2.0, on_delay=120.0, latching=True)
    history = run(alarm, times, values, reset=[1300.0, 1800.0])
    assert history.intervals == [(pytest.approx(1240.0, abs=6.0), 1800.0)]
    assert history.times_of("reset refused") == [1300.0]


def test_a_long_trace_is_quick_and_sees_every_crossing():
    times = np.arange(72_001) * 0.5
    alarm = Alarm(direction="rising", set_point=0.5, deadband=1.0)
    history = run(alarm, times, np.sin(2.0 * np.pi * times / 90.0 + 0.1))
    assert len(history.intervals) == 400
    # arcsin 0.5 is 30°: a sine of 90 s meets it 7.5 s into every period, and samples 0.5 s apart cut corners.
    expected = 7.5 - 0.1 * 90.0 / (2.0 * np.pi) + 90.0 * np.arange(400)
    assert history.times_of("alarm") == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize(
    ("times", "values"),
    [([0.0, 1.0], [1.0]), ([], []), ([0.0, 0.0], [1.0, 2.0]), ([0.0, 1.0], [1.0, float("nan")])],
)
def test_what_is_no_trace_is_refused(times, values):
    with pytest.raises(ValueError, match="trace"):
        run(Alarm(direction="rising", set_point=1.0), np.array(times), np.array(values))
