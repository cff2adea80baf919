"""Load cells and potentiometers."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations import bridge
from trainer.calculations.potentiometer import resistance_fraction, wiper_position, wiper_ratio
from trainer.errors import OutOfRange


# Published examples of load-cell texts: rated output, excitation, signal at rated load.
@pytest.mark.parametrize(
    ("rated_output", "excitation", "millivolts"), [(2.96, 10.0, 29.6), (3.0, 10.0, 30.0), (2.0, 5.0, 10.0)]
)
def test_signal_at_rated_load(rated_output, excitation, millivolts):
    assert bridge.signal(750.0, 750.0, rated_output, excitation) == pytest.approx(millivolts)
    assert bridge.load(millivolts, 750.0, rated_output, excitation) == pytest.approx(750.0)
    assert bridge.signal(-375.0, 750.0, rated_output, excitation) == pytest.approx(-millivolts / 2.0)


def test_loads_in_an_array():
    loads = np.array([[0.0, 100.0], [250.0, 500.0]])
    signals = bridge.signal(loads, 500.0, 2.0, 10.0)
    assert signals == pytest.approx(np.array([[0.0, 4.0], [10.0, 20.0]]))
    assert bridge.load(signals, 500.0, 2.0, 10.0) == pytest.approx(loads)


def test_overload():
    assert bridge.signal(750.0, 500.0, 2.0, 10.0) == pytest.approx(30.0)
    for wrong in 750.1, -750.1, math.nan:
        with pytest.raises(OutOfRange, match="load"):
            bridge.signal(wrong, 500.0, 2.0, 10.0)
    with pytest.raises(OutOfRange, match="mV"):
        bridge.load(30.1, 500.0, 2.0, 10.0)


def test_a_free_wiper_divides_by_position():
    assert wiper_ratio(0.25, track=5000.0) == pytest.approx(0.25)


def test_a_loaded_wiper_by_the_parallel_circuit():
    # Kirchhoff, step by step: 400 Ω below in parallel with 2 kΩ, 600 Ω above, 10 V supply.
    below = 1.0 / (1.0 / 400.0 + 1.0 / 2000.0)
    volts = 10.0 * below / (below + 600.0)
    assert 10.0 * wiper_ratio(0.4, track=1000.0, load=2000.0) == pytest.approx(volts)


def test_supply_leads_lift_the_low_end():
    # 10 Ω in each supply lead of a 1 kΩ track: 10/1020 at the bottom, 1010/1020 at the top.
    assert wiper_ratio(0.0, 1000.0, lead=10.0) == pytest.approx(10.0 / 1020.0)
    assert wiper_ratio(1.0, 1000.0, lead=10.0) == pytest.approx(1010.0 / 1020.0)
    assert wiper_ratio(0.5, 1000.0, lead=10.0) == pytest.approx(0.5)


def test_loading_error_is_largest_at_two_thirds():
    # A load of ten tracks: at most 4/27 of a tenth, 1.5 % of the supply, at two thirds (textbook result).
    x = np.linspace(0.0, 1.0, 3001)
    error = x - wiper_ratio(x, track=1000.0, load=10_000.0)
    assert x[error.argmax()] == pytest.approx(2.0 / 3.0, abs=0.02)
    assert error.max() == pytest.approx(4.0 / 27.0 / 10.0, rel=0.05)


@given(
    position=st.floats(0.0, 1.0),
    load=st.sampled_from([500.0, 10_000.0, math.inf]),
    lead=st.sampled_from([0.0, 4.7]),
)
def test_position_there_and_back(position, load, lead):
    ratio = wiper_ratio(position, 1000.0, load, lead)
    assert wiper_position(ratio, 1000.0, load, lead) == pytest.approx(position, abs=1e-9)


def test_positions_in_an_array():
    positions = np.linspace(0.0, 1.0, 6).reshape(2, 3)
    ratios = wiper_ratio(positions, 1000.0, 5000.0, 2.0)
    assert ratios.ravel().tolist() == [wiper_ratio(x, 1000.0, 5000.0, 2.0) for x in positions.ravel().tolist()]
    assert wiper_position(ratios, 1000.0, 5000.0, 2.0) == pytest.approx(positions)


def test_a_wiper_off_its_track_is_refused():
    for wrong in -0.001, 1.001, math.nan:
        with pytest.raises(OutOfRange, match="position"):
            wiper_ratio(wrong, 1000.0)
    with pytest.raises(OutOfRange, match="voltage ratio"):
        wiper_position(0.995, 1000.0, lead=10.0)


def test_a_falling_sender():
    # Common practice in tanks: 240 Ω empty, 33 Ω full; 1.5 Ω of leads not taken off read 0.7 % low.
    assert resistance_fraction(241.5, 240.0, 33.0, leads=1.5) == pytest.approx(0.0)
    assert resistance_fraction(34.5, 240.0, 33.0, leads=1.5) == pytest.approx(1.0)
    assert resistance_fraction(34.5, 240.0, 33.0) == pytest.approx(1.0 - 1.5 / 207.0)
    half = resistance_fraction(np.array([138.0, 138.0]), 240.0, 33.0, leads=1.5)
    assert half == pytest.approx([0.5, 0.5])
    with pytest.raises(OutOfRange, match="Ω"):
        resistance_fraction(1.0, 240.0, 33.0, leads=1.5)
