"""What trends, lists, contacts and compared records tell, worked by hand for channels of a trade brief."""

import math
from dataclasses import fields, is_dataclass, replace

import pytest
from looks import SHIFT, look
from rigs import COLD_STORE, DAIRY, FILTER, KILN

from trainer.bench.instruments import Case, Finding
from trainer.bench.measurements import LOOKS
from trainer.bench.titles import settings_of, title_of
from trainer.calculations.alarms import Alarm
from trainer.channel.conditioner import RelaySetting
from trainer.channel.tables import changed


# 75 mV rms is 212 mV from peak to peak: of 4 V and 80 °C that is 4.24 °C.
def test_mains_at_the_card():
    quiet, noisy = look("trend", COLD_STORE, -24.0), look("trend", COLD_STORE, -24.0, loop__noise=0.075)
    assert quiet["Swing on the trend in a minute"] == 0.0
    assert noisy["Swing on the trend in a minute"] == pytest.approx(4.24, abs=0.06)
    assert look("card-volts", COLD_STORE, -24.0, loop__noise=0.075)["AC volts at the card"] == 0.075
    assert look("shield-current", COLD_STORE, -24.0, loop__noise=0.075) == {"AC current in the shield": "flows"}
    # People read the middle of the swing.
    assert look("control-room", COLD_STORE, -24.0, loop__noise=0.075) == look("control-room", COLD_STORE, -24.0)


# A first-order filter lets 1 / sqrt(1 + (2 pi f T)²) of a sine through.
def test_a_ripple_behind_the_filter():
    rippling = replace(SHIFT, ripple=(2.0, 20.0))
    for constant in (0.0, 10.0, 60.0):
        swing = look("trend", DAIRY, 74.5, shift=rippling, filter=constant)["Swing on the trend in a minute"]
        assert swing == pytest.approx(4.0 / math.hypot(1.0, 2.0 * math.pi / 20.0 * constant), abs=0.08)


# Rising, 85 °C: the process passes it at 652.5 s and comes back past 83 °C at 1257.5 s.
def test_the_events_of_a_shift():
    found = look("event-list", DAIRY, 74.5)
    assert found["Relay 1: first alarm after"] == pytest.approx(652.5 / 60.0)
    assert found["Relay 1: alarms in the shift"] == 2.0  # and in the break test, the output driving high
    assert found["Relay 1: contact before and in the sensor break test"] == "closed, then open"
    assert found["Relay 1: contact before and in the supply test"] == "closed, then open"
    assert found["Relay 1: at the end of the shift"] == "normal"
    late = look("event-list", DAIRY, 74.5, relays__0__alarm__on_delay=300.0)
    assert late["Relay 1: first alarm after"] == pytest.approx(952.5 / 60.0)
    low = look("event-list", DAIRY, 74.5, output__on_break="drive low")
    assert low["Relay 1: contact before and in the sensor break test"] == "closed, then closed"
    bypassed = look("event-list", DAIRY, 74.5, relays__0__bypassed=True)
    assert bypassed["Relay 1: contact before and in the supply test"] == "closed, then closed"
    warmer = look("event-list", DAIRY, 74.5, shift=SHIFT.moved(4.0))
    assert warmer["Relay 1: first alarm after"] == pytest.approx(632.5 / 60.0)
    assert look("event-list", FILTER, 240.0) == {}


# The table of coil and contact: normal, then the fuse out. Fail-safe opens; a dead coil in normal tells nothing.
@pytest.mark.parametrize(
    ("energized_in_alarm", "contact", "words"),
    [
        (False, "NO", "closed, open"),
        (True, "NC", "closed, closed"),
        (True, "NO", "open, open"),
        (False, "NC", "open, closed"),
    ],
)
def test_contacts_with_the_fuse_out(energized_in_alarm, contact, words):
    changes = {"relays__0__energized_in_alarm": energized_in_alarm, "relays__0__contact": contact}
    assert look("fuse-out", DAIRY, 74.5, **changes) == {"Contact 1: now, then fuse out": words}


def test_contacts_while_in_alarm():
    label = "Contact 1: now, then fuse out"
    assert look("fuse-out", DAIRY, 90.0)[label] == "open, open"
    assert look("fuse-out", DAIRY, 74.5, sensor__a=math.inf)[label] == "open, open"
    assert look("fuse-out", DAIRY, 74.5, sensor__a=math.inf, output__on_break="drive low")[label] == "closed, open"
    latching = {"relays__0__alarm__latching": True}
    assert look("fuse-out", DAIRY, 74.5, **latching)[label] == "closed, open"  # the supply test let it go
    kept = replace(SHIFT, supply_off=())
    assert look("fuse-out", DAIRY, 74.5, shift=kept, **latching)[label] == "open, open"


def test_settings_are_told_in_the_words_of_the_trade():
    faulty = changed(
        DAIRY,
        {"relays.0.alarm.deadband": 0.1, "relays.0.energized_in_alarm": True, "input.law.curve": "platinum 0.003916"},
    )
    case = Case(faulty, DAIRY, 74.5, "°C", SHIFT)
    assert LOOKS["relay-settings"](case) == (
        Finding("Relay 1, deadband", "differs", note="0.1 °C; approved 2 °C"),
        Finding("Relay 1, coil", "differs", note="energized in alarm; approved de-energized in alarm"),
    )
    assert LOOKS["input-settings"](case) == (
        Finding("Sensor curve", "differs", note="platinum 0.003916; approved platinum 0.003851"),
    )
    assert LOOKS["output-settings"](case) == (Finding("Output settings against the record", "as approved"),)


def test_what_is_forced_stands_in_its_list():
    found = look("force-list", DAIRY, 74.5, output__forced=12.0, relays__0__bypassed=True)
    assert found == {"Forced values": "output", "Bypasses in place": "relay 1"}
    assert look("output-settings", DAIRY, 74.5, output__forced=12.0) == {
        "Output settings against the record": "as approved"
    }


def leaves(made, path=""):
    if isinstance(made, tuple):
        return [leaf for index, each in enumerate(made) for leaf in leaves(each, f"{path}.{index}")]
    if not is_dataclass(made):
        return [path]
    return [
        leaf for each in fields(made) for leaf in leaves(getattr(made, each.name), f"{path}.{each.name}".strip("."))
    ]


# What a conditioner and a controller are set to has a name; what is fixed in the plant has none.
def test_every_setting_has_a_title():
    channel = changed(DAIRY, {"relays.0.alarm.inhibited": True})
    plant = {"input.heated", "relays.0.alarm.on_break"}
    for path in leaves(channel):
        part = path.partition(".")[0]
        asked = part in {"filter", "input", "output", "scaling", "relays"} and path not in plant
        assert bool(title_of(path)) == asked, path
    for law in (KILN, FILTER):
        assert set(settings_of(law.input, "input")) == {"input.law.kind", *leaves(law.input, "input")} - plant


def test_a_second_relay_is_told_by_its_number():
    two = replace(DAIRY, relays=(*DAIRY.relays, RelaySetting(Alarm(direction="falling", set_point=60.0))))
    assert set(look("fuse-out", two, 74.5)) == {"Contact 1: now, then fuse out", "Contact 2: now, then fuse out"}
