"""What instruments show on channels of a trade brief, worked by hand from the standards' formulas.

IEC 60751: R = R0 (1 + A t + B t²). NIST Monograph 175 for the thermocouples, by an independent package.
"""

import math

import pytest
import thermocouple_its90
from looks import look
from rigs import COLD_STORE, DAIRY, FILTER, HEATING, KILN, RIGS, TRUE_VALUES

from trainer.bench.instruments import Finding
from trainer.bench.measurements import LOOKS, Measurement
from trainer.channel.tables import changed
from trainer.content.bench_files import read_bench
from trainer.content.faults import Faults
from trainer.content.folders import shipped

A, B = 3.9083e-3, -5.775e-7
ELEMENT = 100.0 * (1.0 + A * 74.5 + B * 74.5**2)
LOAD = 250.0 * 1e6 / (250.0 + 1e6)  # of a burden beside a card of 1 MΩ [Ω]
DAIRY_MA = 4.0 + 16.0 * 74.5 / 120.0
HEATING_MA = 4.0 + 16.0 * 58.0 / 120.0


def emf(celsius, kind="K"):
    return thermocouple_its90.get(kind).emf(celsius)


def temperature(millivolts):
    """Temperature by type K, found by halving."""
    low, high = 0.0, 1300.0
    while high - low > 1e-6:
        middle = (low + high) / 2.0
        low, high = (middle, high) if emf(middle) < millivolts else (low, middle)
    return low


def test_every_measurement_has_its_look():
    bench = read_bench([shipped("question_banks")], Faults())
    assert set(bench.measurements) == set(LOOKS)


# The three readings of an unplugged three-wire sensor: element and two leads, again, two leads.
@pytest.mark.parametrize(
    ("changes", "readings"),
    [
        ({}, (ELEMENT + 3.2, ELEMENT + 3.2, 3.2)),
        ({"sensor__a": math.inf}, ("open", "open", 3.2)),
        ({"sensor__b": math.inf}, ("open", ELEMENT + 3.2, "open")),
        ({"sensor__c": math.inf}, (ELEMENT + 3.2, "open", "open")),
        ({"sensor__a": 4.0}, (ELEMENT + 5.6, ELEMENT + 5.6, 3.2)),
        ({"sensor__b": 4.0}, (ELEMENT + 5.6, ELEMENT + 3.2, 5.6)),
        ({"sensor__c": 4.0}, (ELEMENT + 3.2, ELEMENT + 5.6, 5.6)),
        ({"sensor__leak": 0.1}, (3.2 + 0.1 * ELEMENT / (ELEMENT + 0.1),) * 2 + (3.2,)),
        ({"sensor__landed": "bacd"}, (ELEMENT + 3.2, 3.2, ELEMENT + 3.2)),
        ({"sensor__landed": "cbad"}, (3.2, ELEMENT + 3.2, ELEMENT + 3.2)),
        ({"sensor__burnt_out": True}, ("open", "open", 3.2)),
    ],
)
def test_ohms_of_the_unplugged_cable(changes, readings):
    found = look("cable-ohms", DAIRY, 74.5, **changes)
    assert list(found) == ["Terminals a and b", "Terminals a and c", "Terminals b and c"]
    for value, wanted in zip(found.values(), readings, strict=True):
        assert value == (wanted if isinstance(wanted, str) else pytest.approx(wanted))


def test_ohms_of_four_and_of_two_cores():
    four = changed(DAIRY, {"sensor.d": 1.6, "input.wires": 4})
    opened = look("cable-ohms", four, 74.5, sensor__d=math.inf)
    assert [label for label, value in opened.items() if value == "open"] == [
        f"Terminals {pair}" for pair in ("a and d", "b and d", "c and d")
    ]
    assert opened["Terminals b and c"] == pytest.approx(3.2)
    element = 1000.0 * (1.0 + A * -24.0 + B * 24.0**2 - 4.183e-12 * (-24.0 - 100.0) * (-24.0) ** 3)
    found = look("cable-ohms", COLD_STORE, -24.0)
    assert found == {"Terminals a and c": pytest.approx(element + 4.4, abs=0.01)}
    assert look("head-ohms", COLD_STORE, -24.0) == {"Element at the head": pytest.approx(element, abs=0.01)}
    assert look("head-ohms", COLD_STORE, -24.0, sensor__a=math.inf)["Element at the head"] < 1000.0
    assert look("head-ohms", COLD_STORE, -24.0, sensor__burnt_out=True) == {"Element at the head": "open"}


@pytest.mark.parametrize(
    ("changes", "at_terminals"),
    [
        ({}, emf(840.0) - emf(30.0)),
        ({"sensor__crossed_at_panel": True}, emf(30.0) - emf(840.0)),
        ({"sensor__crossed_at_panel": True, "sensor__crossed_at_head": True}, emf(840.0) - 2.0 * emf(62.0) + emf(30.0)),
        ({"sensor__cable": "copper"}, emf(840.0) - emf(62.0)),
        ({"sensor__shorted": "panel"}, 0.0),
        ({"sensor__burnt_out": True}, "open"),
    ],
)
def test_millivolts_of_a_thermocouple(changes, at_terminals):
    found = look("panel-millivolts", KILN, 840.0, **changes)["Millivolts at the terminals"]
    assert found == (at_terminals if at_terminals == "open" else pytest.approx(at_terminals, abs=1e-4))
    at_head = look("head-millivolts", KILN, 840.0, **changes)["Millivolts at the head"]
    assert at_head == ("open" if at_terminals == "open" else pytest.approx(emf(840.0) - emf(62.0), abs=1e-4))


# One copper short tells the compensations apart. Twice: type K gives 2 E(30 °C) at 59.3 °C.
@pytest.mark.parametrize(
    ("changes", "shown"),
    [
        ({}, 30.0),
        ({"input__compensation": "off"}, 0.0),
        ({"input__compensation": "twice", "input__fixed": 30.0}, 59.3),
        ({"input__heated": 8.0}, 38.0),
        ({"sensor__crossed_at_panel": True}, 30.0),
    ],
)
def test_a_copper_short_at_the_input(changes, shown):
    found = look("shorted-input", KILN, 840.0, **changes)
    assert found["Display with a copper short across the input"] == pytest.approx(shown, abs=0.05)
    assert found["Thermometer at the terminals"] == 30.0


# A head 20 K warmer: nothing where the cable is right, twice as much less where it is crossed twice as with copper.
@pytest.mark.parametrize(
    ("changes", "seen"),
    [
        ({}, lambda head: emf(840.0)),
        (
            {"sensor__crossed_at_panel": True, "sensor__crossed_at_head": True},
            lambda head: emf(840.0) - 2.0 * emf(head) + 2.0 * emf(30.0),
        ),
        ({"sensor__cable": "copper"}, lambda head: emf(840.0) - emf(head) + emf(30.0)),
    ],
)
def test_warming_the_head(changes, seen):
    found = look("warmed-head", KILN, 840.0, **changes)["Display moves, the head 20 K warmer"]
    assert found == pytest.approx(temperature(seen(82.0)) - temperature(seen(62.0)), abs=0.01)


# A range of -12.5 to 112.5 °C has 0 and 100 °C at its 10 % and 90 %. R(100 °C) is 98.3 °C on a curve of 0.003916.
@pytest.mark.parametrize(
    ("changes", "shown"),
    [
        ({}, (0.0, 100.0)),
        ({"input__law__curve": "platinum 0.003916"}, (0.0, 98.3)),
        ({"input__wires": 2}, (0.0, 100.0)),
        ({"sensor__a": 9.0}, (0.0, 100.0)),
        ({"input__law__r0": 1000.0}, ("sensor fault", "sensor fault")),
    ],
)
def test_a_resistance_box_at_the_terminals(changes, shown):
    channel = changed(DAIRY, {"output.lower": -12.5, "output.upper": 112.5})
    found = look("injected-input", channel, 74.5, **changes)
    assert list(found) == ["Display at a source for 0 °C", "Display at a source for 100 °C"]
    for value, wanted in zip(found.values(), shown, strict=True):
        assert value == (wanted if isinstance(wanted, str) else pytest.approx(wanted, abs=0.05))


@pytest.mark.parametrize(
    ("changes", "volts"),
    [
        ({}, DAIRY_MA * LOAD / 1000.0),
        ({"sensor__a": math.inf}, 21.6 * LOAD / 1000.0),
        ({"card__burden": math.inf}, 20.0),
        ({"card__burden": 125.0}, DAIRY_MA * 125.0 * 1e6 / (125.0 + 1e6) / 1000.0),
        ({"output__signal": {"low": 0.0, "high": 20.0, "unit": "mA"}}, 20.0 * 74.5 / 120.0 * LOAD / 1000.0),
        ({"loop__reversed": True}, -DAIRY_MA * LOAD / 1000.0),
        ({"loop__sources": 0}, 0.0),
    ],
)
def test_volts_at_the_card(changes, volts):
    assert look("card-volts", DAIRY, 74.5, **changes)["DC volts at the card"] == pytest.approx(volts, abs=1e-9)


def test_ohms_across_the_card():
    label = "Ohms across the card's terminals"
    assert look("card-ohms", DAIRY, 74.5)[label] == pytest.approx(LOAD)
    assert look("card-ohms", DAIRY, 74.5, card__burden=math.inf)[label] == 1e6
    assert look("card-ohms", HEATING, 58.0, loop__leak_across_card=2200.0)[label] == pytest.approx(
        1.0 / (1.0 / LOAD + 1.0 / 2200.0)
    )


# Kirchhoff round a loop of 24 V: what the burden and two wires of 18 Ω leave for the output.
@pytest.mark.parametrize(("extra", "supply"), [(0.0, 24.0), (700.0, 24.0), (0.0, 13.0)])
def test_volts_round_a_loop(extra, supply):
    found = look("output-volts", HEATING, 58.0, loop__extra=extra, loop__supply=supply)
    current = min(HEATING_MA, (supply - 10.0) / (LOAD + 36.0 + extra) * 1000.0)
    assert found["Volts across the output"] == pytest.approx(supply - current / 1000.0 * (LOAD + 36.0 + extra))
    assert found["Supply under load"] == supply


def test_current_at_both_ends_of_a_leaking_pair():
    leaking = look("loop-current", HEATING, 58.0, loop__leak_across_card=2200.0)
    assert leaking["Current at the output"] == pytest.approx(HEATING_MA)
    assert leaking["Current at the card"] == pytest.approx(HEATING_MA * 2200.0 / (2200.0 + LOAD))
    assert look("insulation", HEATING, 58.0, loop__leak_across_card=2200.0) == {
        "Insulation of the loop's pair": "below the site's limit",
        "Insulation of the sensor with its cable": "good",
    }


# Who powers the loop: the wires of a loop-powered output have the supply, an active one has its own.
@pytest.mark.parametrize(
    ("channel", "changes", "volts"),
    [
        (HEATING, {}, (24.0, 0.0)),
        (HEATING, {"loop__reversed": True}, (-24.0, 0.0)),
        (HEATING, {"loop__sources": 0}, (0.0, 0.0)),
        (HEATING, {"loop__sources": 2}, (24.0, 24.0)),
        (DAIRY, {}, (0.0, 20.0)),
        (DAIRY, {"loop__sources": 0}, (0.0, 0.0)),
        (DAIRY, {"loop__sources": 2}, (20.0, 20.0)),
    ],
)
def test_volts_of_an_open_pair(channel, changes, volts):
    assert tuple(look("open-volts", channel, 58.0, **changes).values()) == volts


def test_an_output_told_what_to_give():
    stuck = look("simulated-output", HEATING, 58.0, loop__extra=700.0)
    most = 14.0 / (LOAD + 736.0) * 1000.0
    assert list(stuck.values())[:3] == pytest.approx([8.0, most, most])
    mild = look("simulated-output", HEATING, 58.0, loop__extra=400.0)
    assert list(mild.values())[:3] == pytest.approx([8.0, 20.0, 14.0 / (LOAD + 436.0) * 1000.0])


# Two points from a source: 1.000 and 5.000 V; at 25 % of the pressure the flow is half, twice 71 %, none 25 %.
def test_a_source_at_the_card():
    assert list(look("injected-current", COLD_STORE, -24.0).values()) == pytest.approx([-40.0, -20.0, 40.0], abs=0.03)
    forgotten = look("injected-current", COLD_STORE, -24.0, scaling__raw_low=0.0)
    assert list(forgotten.values()) == pytest.approx([-40.0 + 16.0, -40.0 + 32.0, 40.0], abs=0.03)
    assert list(look("injected-current", FILTER, 240.0).values())[1:] == pytest.approx([200.0, 400.0], abs=0.3)
    assert list(look("injected-current", FILTER, 240.0, scaling__root=False).values())[1] == pytest.approx(
        100.0, abs=0.3
    )


@pytest.mark.parametrize("name", RIGS)
def test_what_a_sound_channel_shows(name):
    value, channel = TRUE_VALUES[name], RIGS[name]
    shown = look("reference", channel, value)["Control room less reference"]
    assert shown == pytest.approx(0.0, abs=0.1)
    assert look("disturbed-process", channel, value) == {"Control room while the process rises": "follows"}
    assert look("step-response", channel, value, filter=12.0) == {"Time to 63 % of a step": pytest.approx(12.0)}


def test_a_process_that_is_not_followed():
    label = "Control room while the process rises"
    assert look("disturbed-process", DAIRY, 74.5, scaling__forced=60.0)[label] == "stays"
    cold = changed(KILN, {"output.lower": -100.0, "scaling.lower": -100.0})
    assert look("disturbed-process", cold, 80.0, sensor__crossed_at_panel=True)[label] == "goes the other way"


def test_a_measurement_takes_time():
    with pytest.raises(ValueError, match="takes its time"):
        Measurement("display", "Display", "conditioner", "display", 0.0)


# The steps that instruments show: a tenth, wide ranges one, a voltage three decimals.
@pytest.mark.parametrize(
    ("finding", "text"),
    [
        (Finding("v", 3.48325, "V", 0.001), "3.483"),
        (Finding("t", -23.46, "°C", 0.1), "\N{MINUS SIGN}23.5"),
        (Finding("n", 2853.0, "counts", 1.0), "2853"),
        (Finding("w", "open", "Ω"), "open"),
    ],
)
def test_a_finding_as_text(finding, text):
    assert finding.text() == text
