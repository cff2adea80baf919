import math

import pytest
from rigs import DAIRY, RIGS

from trainer.channel.tables import TableFault, changed, channel_from, to_table, value_at


@pytest.mark.parametrize("name", RIGS)
def test_a_channel_comes_back_from_its_table(name):
    assert channel_from(to_table(RIGS[name])) == RIGS[name]


def test_what_has_its_usual_value_is_left_out():
    table = to_table(DAIRY)
    assert "leak" not in table["sensor"]
    assert table["sensor"]["kind"] == "resistance"
    assert table["relays"][0]["alarm"] == {"direction": "rising", "set_point": 85.0, "deadband": 2.0}


def test_one_value_is_changed_by_its_path():
    other = changed(DAIRY, {"sensor.a": math.inf, "relays.0.alarm.deadband": 0.05, "loop.supply": 13})
    assert (other.sensor.a, other.relays[0].alarm.deadband, other.loop.supply) == (math.inf, 0.05, 13.0)
    assert DAIRY.sensor.a == 1.6
    assert value_at(other, "relays.0.alarm.deadband") == 0.05


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"sensor.q": 1.0}, "sensor.q: known here are law, a, b, c, d, landed, leak"),
        ({"sensor.a": "thick"}, "sensor.a must be a number, not 'thick'"),
        ({"card.bits": 12.5}, "card.bits must be a whole number, not 12.5"),
        ({"loop.reversed": 1}, "loop.reversed must be true or false, not 1"),
        ({"output.on_break": "guess"}, "output.on_break 'guess' is none of hold, drive high, drive low"),
        ({"relays.3.alarm.deadband": 1.0}, "relays.3.alarm.deadband: there is no 3"),
        ({"relays": 3}, "relays must be a list"),
        ({"output.signal": {"low": 4.0, "high": 4.0, "unit": "mA"}}, "output.signal: signal 4 to 4 has no span"),
        ({"relays": to_table(DAIRY)["relays"] * 5}, ": a conditioner has at most 4 alarm relays, not 5"),
        ({"sensor.kind": "sonar"}, "sensor.kind 'sonar' is none of resistance, thermocouple, signal"),
        ({"scaling": {"raw_low": 0.0}}, "scaling.raw_high is missing"),
    ],
)
def test_a_table_that_describes_no_channel(changes, sentence):
    with pytest.raises(TableFault) as caught:
        changed(DAIRY, changes)
    assert str(caught.value).startswith(sentence)
