"""Channels run over the courses of eleven commissioning tasks: when the relay acts, against two other sources.

One is a trade brief's own list of times, of one simulation; the other a plain program here, which takes a sample
every half second: filter, comparator, delays, latch, by the timing rule of the contributors' guide.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from rigs import DAIRY

from trainer.calculations.alarms import Alarm
from trainer.channel.conditioner import RelaySetting
from trainer.channel.simulation import Course, run
from trainer.channel.tables import changed

WIDE = (-200.0, 600.0)
COURSES = {
    "hold tube": Course(
        ((0, 74.2), (29, 74.2), (29.5, 72.5), (30.5, 72.5), (31, 74.2), (60, 74.2), (70, 72.4), (85, 72.4), (110, 74.2),
         (240, 74.2)),
        (0.15, 6.0),
        sensor_open=((150.0, 170.0),),
    ),
    "greenhouse": Course(
        ((0, 9), (1800, 5), (3000, 3.2), (4800, 3.0), (5400, 4.6), (6000, 6.0), (7200, 8)),
        (0.25, 90.0),
        sensor_open=((6600.0, 6900.0),),
    ),
    "cold store": Course(
        ((0, -22), (3600, -22), (3660, -15.5), (4080, -15.5), (4500, -22), (9000, -22), (14400, -13), (16200, -13)),
        (0.3, 900.0),
        sensor_open=((15600.0, 16200.0),),
    ),
    "heating": Course(
        ((0, 88), (300, 88), (360, 96.5), (420, 96.5), (480, 88), (900, 88), (1200, 98), (1500, 98), (1560, 90),
         (2400, 88)),
        (0.3, 20.0),
        reset=(1300.0, 1800.0),
    ),
    "fermenter": Course(
        ((0, 19.5), (7200, 19.5), (10800, 23.1), (14400, 23.1), (18000, 21.4), (21600, 19.5)), (0.12, 40.0)
    ),
    "bearing": Course(
        ((0, 62), (60, 62), (61, 90), (62, 62), (600, 62), (900, 92), (1080, 92), (1200, 70), (1800, 62)),
        (0.8, 4.0),
        reset=(1000.0, 1400.0),
    ),
    "digester": Course(
        ((0, 28), (10800, 38), (18000, 38.5), (21600, 35.6), (25200, 35.5), (28800, 37.2), (36000, 38)), (0.15, 120.0)
    ),
    "water main": Course(
        ((0, 12), (1200, 12), (3600, 2.2), (5400, 1.8), (7200, 8), (9000, 12)),
        (0.2, 60.0),
        supply_off=((8000.0, 8100.0),),
    ),
}  # fmt: skip
F, R = "falling", "rising"
# Settings, filter and fault action, and the times of alarm and of normal in the brief's list [s].
TASKS = {
    "hold tube": (Alarm(direction=F, set_point=73.0, deadband=0.5, on_delay=2.0, off_delay=5.0), 1.0, "drive low",
                  [70.5, 152.0], [107.0, 175.0]),
    "greenhouse": (Alarm(direction=F, set_point=4.0, deadband=1.0, on_delay=120.0), 20.0, "drive low",
                   [2685.0, 6720.0], [5593.0, 6900.0]),
    "cold store": (Alarm(direction=R, set_point=-18.0, deadband=1.5, on_delay=1200.0), 60.0, "drive high",
                   [12805.0], []),
    "heating": (Alarm(direction=R, set_point=95.0, deadband=2.0, on_delay=120.0, latching=True), 5.0, "drive high",
                [1240.0], [1800.0]),
    "fermenter": (Alarm(direction=R, set_point=22.0, deadband=0.8, on_delay=60.0), 10.0, "drive high",
                  [9821.0], [18274.0]),
    "bearing": (Alarm(direction=R, set_point=85.0, deadband=3.0, on_delay=3.0, latching=True), 2.0, "drive high",
                [836.0], [1400.0]),
    "digester": (Alarm(direction=F, set_point=36.0, deadband=0.7, on_delay=600.0, inhibited=True), 60.0, "drive low",
                 [21794.0], [27754.0]),
    # The brief has 6,083 s for normal; filter, deadband and an off-delay of 60 s give 6,126 s in both programs.
    "water main": (Alarm(direction=F, set_point=3.0, deadband=1.0, on_delay=30.0, off_delay=60.0), 15.0, "drive low",
                   [3435.0], [6126.0]),
}  # fmt: skip


def channel_of(name):
    alarm, filter_, action, *_ = TASKS[name]
    base = changed(
        DAIRY, {"output.lower": WIDE[0], "output.upper": WIDE[1], "output.on_break": action, "filter": filter_}
    )
    return replace(base, relays=(RelaySetting(alarm),))


@pytest.mark.parametrize("name", TASKS)
def test_the_times_of_the_brief(name):
    *_, alarms, normals = TASKS[name]
    relay = run(channel_of(name), COURSES[name]).relays[0]
    assert relay.times_of("alarm") == pytest.approx(alarms, abs=1.0)
    assert relay.times_of("normal") == pytest.approx(normals, abs=1.0)


def plain_states(alarm, filter_, action, course, step=0.5):
    """States at each half second by a loop over the samples."""
    corners, values = zip(*course.points, strict=True)
    gain = 1.0 - math.exp(-step / filter_) if filter_ else 1.0
    sign = 1.0 if alarm.direction == "rising" else -1.0
    shown, in_alarm, waited, armed, found = None, False, 0.0, not alarm.inhibited, []
    for index in range(int(corners[-1] / step) + 1):
        now = index * step
        broken = any(start <= now < end for start, end in course.sensor_open)
        if any(start <= now < end for start, end in course.supply_off):
            shown, in_alarm, waited, armed = None, False, 0.0, not alarm.inhibited
            found.append(False)
            continue
        value = float(np.interp(now, corners, values))
        if course.ripple:
            value += course.ripple[0] * math.sin(2.0 * math.pi * now / course.ripple[1])
        if broken:
            shown = None
            height = math.inf if (action == "drive high") == (sign > 0) else -math.inf
        else:
            shown = value if shown is None else shown + gain * (value - shown)
            height = sign * (shown - alarm.set_point)
        due, clear = height >= 0.0, height <= -alarm.deadband
        armed = armed or (clear and not broken)
        wanted = (clear and not alarm.latching) if in_alarm else due and (armed or broken)
        waited = waited + step if wanted else 0.0
        if wanted and waited - step >= (alarm.off_delay if in_alarm else alarm.on_delay):
            in_alarm, waited = not in_alarm, 0.0
        if alarm.latching and in_alarm and clear and now in course.reset:
            in_alarm, waited = False, 0.0
        found.append(in_alarm)
    return np.array(found)


@pytest.mark.parametrize("name", TASKS)
def test_a_plain_program_agrees(name):
    alarm, filter_, action, *_ = TASKS[name]
    course = COURSES[name]
    mine = run(channel_of(name), course)
    plain = plain_states(alarm, filter_, action, course)
    on_grid = np.interp(np.arange(plain.size) * 0.5, mine.times, mine.relays[0].in_alarm.astype(float)) > 0.5
    # The plain program acts on samples: each change may come a sample or two later.
    changes = np.abs(np.diff(plain.astype(int))).sum()
    assert (on_grid != plain).sum() <= 3 * changes


def test_contacts_in_every_state():
    course = COURSES["water main"]
    for energized_in_alarm in (False, True):
        for contact in ("NO", "NC"):
            setting = RelaySetting(TASKS["water main"][0], energized_in_alarm=energized_in_alarm, contact=contact)
            told = run(replace(channel_of("water main"), relays=(setting,)), course).relays[0]
            times = run(channel_of("water main"), course).times
            for time, alarm, supply in [(100.0, False, True), (4000.0, True, True), (8050.0, False, False)]:
                here = int(np.searchsorted(times, time))
                assert told.in_alarm[here] == alarm
                energized = supply and (alarm if energized_in_alarm else not alarm)
                assert told.energized[here] == energized
                assert told.closed[here] == (energized if contact == "NO" else not energized)


def test_a_bypass_keeps_the_contact_closed():
    setting = RelaySetting(TASKS["water main"][0], bypassed=True)
    assert run(replace(channel_of("water main"), relays=(setting,)), COURSES["water main"]).relays[0].closed.all()
