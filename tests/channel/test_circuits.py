"""What a channel shows, healthy and at fault, against the circuit equations worked by hand.

Platinum by the quadratic of IEC 60751:2022 clause 5.1 written out here, type K by the reference function of a library
of the registry (ITS-90). The faults and their sizes are those of a trade brief; every number is worked again here.
"""

import math

import numpy as np
import pytest
import thermocouple_its90
from hypothesis import given
from hypothesis import strategies as st
from rigs import COLD_STORE, DAIRY, FILTER, HEATING, KILN, RIGS, TRUE_VALUES

from trainer.channel.simulation import Course, run, steady
from trainer.channel.tables import changed

A, B = 3.9083e-3, -5.775e-7  # IEC 60751
ONE_COUNT = {"dairy": 120 / 3276, "kiln": 1200 / 26214, "heating": 120 / 3276, "cold store": 80 / 3276}


def ohms(celsius: float) -> float:
    return 100.0 * (1.0 + A * celsius + B * celsius**2)


def celsius(resistance: float, r0: float = 100.0) -> float:
    return (-A + math.sqrt(A * A - 4.0 * B * (1.0 - resistance / r0))) / (2.0 * B)


def emf(temperature: float, kind: str = "K") -> float:
    return thermocouple_its90.get(kind).emf(temperature)


def kelvin_kiln(millivolts: float) -> float:
    """Temperature by type K, found by halving."""
    low, high = -200.0, 1370.0
    while high - low > 1e-9:
        middle = (low + high) / 2.0
        low, high = (middle, high) if emf(middle) < millivolts else (low, middle)
    return low


def end_of(channel, value, **changes):
    named = {path.replace("__", "."): each for path, each in changes.items()}
    return run(changed(channel, named), steady(value)).last


@pytest.mark.parametrize("name", RIGS)
def test_a_healthy_channel_shows_what_is(name):
    end = end_of(RIGS[name], TRUE_VALUES[name])
    assert end["shown"] == pytest.approx(TRUE_VALUES[name], abs=ONE_COUNT.get(name, 0.1))


# The way of the dairy's signal by hand: ohms, current, volts, count.
def test_every_value_along_the_way():
    end = end_of(DAIRY, 74.5)
    current = 4.0 + 16.0 * 74.5 / 120.0
    assert end["terminals"] == pytest.approx(ohms(74.5), abs=1e-9)
    assert end["reading"] == pytest.approx(74.5, abs=1e-9)
    assert end["asked"] == end["received"] == pytest.approx(current, abs=1e-9)
    load = 250.0 * 1e6 / (250.0 + 1e6)
    assert end["seen"] == pytest.approx(current / 1000.0 * load, abs=1e-12)
    assert end["count"] == math.floor(current / 1000.0 * load / 5.0 * 4095 + 0.5)


def test_an_ohmmeter_at_the_unplugged_cable():
    found = DAIRY.sensor.ohms(74.5)
    element = ohms(74.5)
    assert found["ab"] == found["ac"] == pytest.approx(element + 3.2)
    assert (found["bc"], found["head"]) == (pytest.approx(3.2), pytest.approx(element))
    opened = changed(DAIRY, {"sensor.a": math.inf}).sensor.ohms(74.5)
    assert (opened["ab"], opened["ac"], opened["bc"]) == (math.inf, math.inf, pytest.approx(3.2))


# Three wires: shown is the resistance Ra + R - Rc of the terminals; two wires: Ra + R + Rc.
@pytest.mark.parametrize(
    ("changes", "resistance"),
    [
        ({"sensor__a": 4.0}, ohms(74.5) + 2.4),
        ({"sensor__c": 4.0}, ohms(74.5) - 2.4),
        ({"sensor__b": 4.0}, ohms(74.5)),
        ({"input__wires": 2}, ohms(74.5) + 3.2),
        ({"sensor__landed": "acbd"}, ohms(74.5)),
        ({"sensor__leak": 2000.0}, 1.0 / (1.0 / ohms(74.5) + 1.0 / 2000.0)),
        ({"sensor__leak": 10_000.0}, 1.0 / (1.0 / ohms(74.5) + 1.0 / 10_000.0)),
    ],
)
def test_resistance_faults_that_still_read(changes, resistance):
    end = end_of(DAIRY, 74.5, **changes)
    assert end["terminals"] == pytest.approx(resistance, abs=1e-9)
    assert end["reading"] == pytest.approx(celsius(resistance), abs=1e-6)


# A break that the input finds, or a resistance that no sensor of the curve has: the output goes to its fault level.
@pytest.mark.parametrize(
    "changes",
    [
        {"sensor__a": math.inf},
        {"sensor__b": math.inf},
        {"sensor__c": math.inf},
        {"sensor__leak": 0.1},
        {"sensor__landed": "bacd"},
        {"sensor__landed": "cbad"},
        {"sensor__law": {"kind": "resistance", "r0": 1000.0}},
        {"input__wires": 4},
    ],
)
@pytest.mark.parametrize(("action", "current"), [("drive high", 21.6), ("drive low", 3.5)])
def test_sensor_faults(changes, action, current):
    end = end_of(DAIRY, 74.5, output__on_break=action, **changes)
    assert math.isnan(end["reading"])
    assert end["received"] == current
    full = {"drive high": 120.0, "drive low": 120.0 * (3.5 - 4.0) / 16.0}[action]  # clipped by the card at the top
    assert end["shown"] == pytest.approx(full, abs=ONE_COUNT["dairy"])


def test_a_four_wire_sensor_does_not_feel_its_cores():
    four = changed(DAIRY, {"sensor.d": 1.6, "input.wires": 4, "sensor.a": 9.0, "sensor.c": 5.0})
    assert end_of(four, 74.5)["reading"] == pytest.approx(74.5, abs=1e-9)
    assert math.isnan(end_of(four, 74.5, sensor__d=math.inf)["reading"])


# The terminals carry p1 p2 (E(T) - E(head)) + p2 (Ew(head) - Ew(panel)); the input adds k E(panel).
@pytest.mark.parametrize(
    ("changes", "millivolts", "compensated"),
    [
        ({}, emf(840.0) - emf(30.0), 1.0),
        ({"sensor__crossed_at_head": True, "sensor__crossed_at_panel": True}, emf(840) - 2 * emf(62) + emf(30), 1.0),
        ({"sensor__cable": "copper"}, emf(840.0) - emf(62.0), 1.0),
        ({"sensor__cable": "J"}, emf(840.0) - emf(62.0) + emf(62.0, "J") - emf(30.0, "J"), 1.0),
        ({"sensor__cable": "T"}, emf(840.0) - emf(62.0) + emf(62.0, "T") - emf(30.0, "T"), 1.0),
        ({"sensor__shorted": "head"}, emf(62.0) - emf(30.0), 1.0),
        ({"sensor__shorted": "panel"}, 0.0, 1.0),
        ({"input__compensation": "twice", "input__fixed": 30.0}, emf(840.0) - emf(30.0), 2.0),
        ({"input__compensation": "off"}, emf(840.0) - emf(30.0), 0.0),
        ({"sensor__crossed_at_panel": True}, -(emf(840.0) - emf(30.0)), 1.0),
    ],
)
def test_thermocouple_faults(changes, millivolts, compensated):
    end = end_of(KILN, 840.0, **changes)
    assert end["terminals"] == pytest.approx(millivolts, abs=1e-4)
    found = millivolts + compensated * emf(30.0)
    if found < emf(-200.0):
        assert math.isnan(end["reading"])
    else:
        assert end["reading"] == pytest.approx(kelvin_kiln(found), abs=0.01)


# Ohm's law round the loop: 24 V less 10 V to lift off, 250 Ω beside 1 MΩ of the card, 36 Ω of wire, what was added.
@pytest.mark.parametrize(("extra", "supply"), [(0.0, 24.0), (700.0, 24.0), (400.0, 24.0), (0.0, 13.0)])
def test_a_loop_gives_no_more_than_its_supply(extra, supply):
    wanted = 4.0 + 16.0 * 58.0 / 120.0
    load = 250.0 * 1e6 / (250.0 + 1e6)
    most = (supply - 10.0) / (load + 36.0 + extra) * 1000.0
    end = end_of(HEATING, 58.0, loop__extra=extra, loop__supply=supply)
    assert end["received"] == pytest.approx(min(wanted, most), abs=1e-9)
    fault = end_of(HEATING, 58.0, loop__extra=extra, loop__supply=supply, sensor__a=math.inf)
    assert fault["received"] == pytest.approx(min(21.6, most), abs=1e-9)


def test_leaks_take_and_add_current():
    wanted = 4.0 + 16.0 * 58.0 / 120.0
    load = 250.0 * 1e6 / (250.0 + 1e6)
    low = end_of(HEATING, 58.0, loop__leak_across_card=2200.0)["received"]
    assert low == pytest.approx(wanted * 2200.0 / (2200.0 + load), abs=1e-9)
    high = end_of(HEATING, 58.0, loop__leak_across_output=10_000.0)["received"]
    # The leak sees what the loop leaves of the supply: I = wanted + (24 - I (load + 36)) / 10 kΩ.
    assert high == pytest.approx((wanted + 2.4) / (1.0 + (load + 36.0) / 10_000.0), abs=1e-9)


def test_a_burden_that_is_missing_or_there_twice():
    end = end_of(DAIRY, 74.5, card__burden=math.inf)
    assert end["seen"] == pytest.approx(20.0)  # all the output can give
    assert end["received"] == pytest.approx(0.02)
    assert end["shown"] == pytest.approx(120.0, abs=0.04)
    current = 4.0 + 16.0 * 74.5 / 120.0
    halved = end_of(DAIRY, 74.5, card__burden=125.0)
    fraction = (current * 0.125 - 1.0) / 4.0
    assert halved["shown"] == pytest.approx(120.0 * fraction, abs=0.06)


@pytest.mark.parametrize(
    ("changes", "shown"),
    [
        ({"output__signal": {"low": 0.0, "high": 20.0, "unit": "mA"}}, 120.0 * (20.0 * 74.5 / 120.0 - 4.0) / 16.0),
        ({"scaling__upper": 100.0}, 100.0 * 74.5 / 120.0),
        ({"scaling__raw_low": 0.0}, 120.0 * (4.0 + 16.0 * 74.5 / 120.0) / 20.0),
    ],
)
def test_ranges_that_do_not_agree(changes, shown):
    assert end_of(DAIRY, 74.5, **changes)["shown"] == pytest.approx(shown, abs=0.08)


def test_a_live_zero_that_one_side_forgets():
    signal = 1.0 + 4.0 * (-24.0 + 40.0) / 80.0
    assert end_of(COLD_STORE, -24.0, scaling__raw_low=0.0)["shown"] == pytest.approx(
        80.0 * signal / 5.0 - 40.0, abs=0.03
    )


# A flow element gives the square: 0.6 of the flow is 0.36 of the pressure.
@pytest.mark.parametrize(
    ("at_input", "at_plc", "shown"),
    [(False, True, 240.0), (True, True, 400.0 * 0.36**0.25), (False, False, 144.0)],
)
def test_the_root_is_taken_once(at_input, at_plc, shown):
    assert end_of(FILTER, 240.0, input__root=at_input, scaling__root=at_plc)["shown"] == pytest.approx(shown, abs=0.15)


def test_mains_on_the_way_to_the_card():
    found = run(changed(COLD_STORE, {"loop.noise": 0.075}), steady(-24.0), step=0.1)
    # 75 mV rms is 212 mV from peak to peak: of 4 V and 80 °C that is 4.24 °C.
    swing = found.shown.max() - found.shown.min()
    assert swing == pytest.approx(2.0 * math.sqrt(2.0) * 0.075 / 4.0 * 80.0, abs=0.06)
    assert found.seen.std() == pytest.approx(0.075, rel=0.02)


def test_sources_and_polarity():
    assert end_of(HEATING, 58.0, loop__reversed=True)["shown"] < 0.0
    assert end_of(DAIRY, 58.0, loop__sources=0)["received"] == 0.0
    both = end_of(DAIRY, 58.0, loop__sources=2)["received"]
    assert both == pytest.approx(20.0 / 250.0 * 1000.0, rel=1e-3)


# Kirchhoff: what falls round the loop is the supply; what the element is at is what is shown. No fault, any channel.
@given(
    st.floats(-150.0, 300.0), st.floats(20.0, 500.0), st.floats(0.02, 0.98), st.floats(0.0, 20.0), st.floats(0.0, 50.0)
)
def test_no_fault_no_error(lower, span, share, core, wire):
    upper, value = lower + span, lower + share * span
    healthy = changed(
        HEATING,
        {
            "sensor.a": core,
            "sensor.b": core,
            "sensor.c": core,
            "loop.wire": wire,
            "loop.supply": 30.0,
            "output.lower": lower,
            "output.upper": upper,
            "scaling.lower": lower,
            "scaling.upper": upper,
        },
    )
    end = run(healthy, steady(value)).last
    current = 4.0 + 16.0 * share
    assert end["reading"] == pytest.approx(value, abs=1e-8)
    assert end["received"] == pytest.approx(current, abs=1e-9)
    across = healthy.loop.across_output(end["received"], healthy.card.load)
    assert across + end["seen"] + 2.0 * wire * current / 1000.0 == pytest.approx(30.0, abs=1e-9)
    # Half a count, and what the card's own megohm takes from the burden at 20 mA.
    assert end["shown"] == pytest.approx(value, abs=span * (0.5 / 3276 + 1.25 * 250e-6) + 1e-9)


@given(st.floats(-200.0, 1300.0), st.floats(-10.0, 70.0), st.floats(-10.0, 70.0))
def test_the_temperatures_of_head_and_panel_cancel(hot, head, panel):
    channel = changed(
        KILN, {"sensor.head": head, "sensor.panel": panel, "output.lower": -250.0, "output.upper": 1350.0}
    )
    assert run(channel, steady(hot)).last["reading"] == pytest.approx(hot, abs=1e-5)


def test_held_output_stays_where_it_was():
    channel = changed(DAIRY, {"output.on_break": "hold"})
    record = run(channel, Course(((0.0, 40.0), (100.0, 80.0)), sensor_open=((50.0, 80.0),)))
    during = (record.times >= 50.0) & (record.times < 80.0)
    assert np.isnan(record.reading[during]).all()
    assert np.ptp(record.received[during]) == 0.0
    assert record.received[during][0] == pytest.approx(4.0 + 16.0 * 60.0 / 120.0, abs=0.1)
