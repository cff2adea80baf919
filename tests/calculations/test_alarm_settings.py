"""Choosing alarm settings: identities with the relay itself, and worked examples."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.alarm_settings import (
    CHATTERING,
    STARTING_POINTS,
    longest_delay,
    most_in_a_minute,
    smallest_deadband,
    time_to_alarm,
)
from trainer.calculations.alarms import Alarm
from trainer.calculations.relays import run
from trainer.calculations.signals import NoSpan


# The relay run over the ramp must act at the time that the formula gives, rising and falling.
@given(st.floats(-50.0, 50.0), st.floats(0.01, 2.0), st.floats(1.0, 40.0), st.floats(0.0, 90.0), st.booleans())
def test_time_to_alarm_is_when_the_relay_acts(start, rate, distance, delay, rising):
    sign = 1.0 if rising else -1.0
    set_point = start + sign * distance
    alarm = Alarm(direction="rising" if rising else "falling", set_point=set_point, on_delay=delay)
    end = distance / rate + delay + 10.0
    history = run(alarm, np.array([0.0, end]), np.array([start, start + sign * rate * end]))
    assert history.times_of("alarm") == [pytest.approx(time_to_alarm(start, sign * rate, set_point, delay))]


# Worked by hand: 9 K at 0.8 K a minute are 11.25 minutes.
def test_worked_ramp():
    assert time_to_alarm(21.0, 0.8 / 60.0, 30.0) == pytest.approx(675.0)
    with pytest.raises(NoSpan, match="rate"):
        time_to_alarm(21.0, 0.0, 30.0)


# With the longest delay the operator has just the time asked for before the limit is met.
@given(st.floats(-20.0, 90.0), st.floats(1.0, 30.0), st.floats(0.005, 0.5), st.floats(0.0, 300.0), st.floats(0.0, 60.0))
def test_longest_delay_leaves_just_the_time_asked_for(set_point, margin, rate, response, lag):
    delay = longest_delay(set_point, set_point + margin, rate, response, lag)
    at_limit = margin / rate
    assert time_to_alarm(set_point, rate, set_point, delay + lag) + response == pytest.approx(at_limit)
    assert longest_delay(set_point, set_point - margin, rate, response, lag) == pytest.approx(delay)


# Common practice: 1.5 to 2 times the noise from peak to peak. Then noise about the set point cannot chatter.
@given(st.integers(0, 10_000), st.floats(0.1, 3.0))
def test_noise_within_the_deadband_makes_one_alarm_at_most(seed, noise):
    draw = np.random.default_rng(seed)
    values = 20.0 + draw.uniform(-noise / 2.0, noise / 2.0, 200)
    alarm = Alarm(direction="rising", set_point=20.0, deadband=smallest_deadband(noise))
    assert len(run(alarm, np.arange(200.0), values).intervals) == 1


def test_without_a_deadband_the_same_noise_chatters():
    draw = np.random.default_rng(1)
    values = 20.0 + draw.uniform(-0.5, 0.5, 200)
    history = run(Alarm(direction="rising", set_point=20.0), np.arange(200.0), values)
    assert most_in_a_minute(history.times_of("alarm")) >= CHATTERING
    assert len(history.intervals) > 30


@given(st.lists(st.integers(0, 600), max_size=40).map(sorted))
def test_most_in_a_minute_counts_like_a_person(times):
    assert most_in_a_minute([0.0, 30.0, 60.0]) == 2
    windows = [sum(start <= time < start + 60 for time in times) for start in times]
    assert most_in_a_minute(times) == max(windows, default=0)


# From memory: commonly quoted starting points of ISA-18.2 and EEMUA 191. Only their order is held here: flow is
# noisier than pressure, pressure than temperature; what is slow may wait longer.
def test_starting_points():
    deadbands = {kind: point.deadband for kind, point in STARTING_POINTS.items()}
    delays = {kind: point.delay for kind, point in STARTING_POINTS.items()}
    assert deadbands["flow"] > deadbands["pressure"] > deadbands["temperature"] > 0.0
    assert delays["level"] == delays["temperature"] > delays["flow"] == delays["pressure"] > 0.0
