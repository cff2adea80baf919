"""Settings of an alarm: which side the deadband lies on, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.alarms import Alarm, reset_value
from trainer.calculations.relays import run
from trainer.errors import OutOfRange


# Gas-detection practice: alarm at 20 % of full scale, hysteresis 2 %, clears below 18 %.
# OPC UA Part 9, annex B: a low alarm mirrors it. The rest are worked examples of the trade's skills table.
@pytest.mark.parametrize(
    ("direction", "set_point", "deadband", "reset"),
    [
        ("rising", 20.0, 2.0, 18.0),
        ("falling", 36.0, 0.8, 36.8),
        ("rising", -18.0, 0.025 * 80.0, -20.0),
        ("falling", 4.0, 0.0, 4.0),
    ],
)
def test_reset_value(direction, set_point, deadband, reset):
    assert reset_value(set_point, deadband, direction) == pytest.approx(reset)
    assert Alarm(direction=direction, set_point=set_point, deadband=deadband).reset_value == reset


# One control platform sets at limit + deadband (90 and 5: 95 and 85). That is not the rule here.
def test_deadband_lies_wholly_on_the_normal_side():
    alarm = Alarm(direction="rising", set_point=90.0, deadband=5.0)
    states = run(alarm, np.arange(4.0), np.array([89.0, 91.0, 86.0, 84.0])).states
    assert states.tolist() == [False, True, True, False]
    assert alarm.reset_value == 85.0


@given(st.decimals(-500, 500, places=2), st.decimals(0, 50, places=2))
def test_reset_value_is_what_people_write(set_point, deadband):
    alarm = Alarm(direction="rising", set_point=float(set_point), deadband=float(deadband))
    assert alarm.reset_value == float(set_point - deadband)


@pytest.mark.parametrize(
    ("settings", "message"),
    [
        ({"deadband": -0.5}, "deadband -0.5 is outside"),
        ({"on_delay": -1.0}, "on-delay -1 s is outside"),
        ({"off_delay": math.nan}, "off-delay nan s is outside"),
    ],
)
def test_settings_that_make_no_sense_are_refused(settings, message):
    with pytest.raises(OutOfRange, match=message):
        Alarm(direction="rising", set_point=10.0, **settings)


@pytest.mark.parametrize("settings", [{"direction": "up"}, {"timer": "never"}, {"on_break": "trip"}])
def test_words_that_are_no_choice_are_refused(settings):
    with pytest.raises(ValueError, match="is none of"):
        Alarm(**{"direction": "rising", "set_point": 10.0} | settings)
