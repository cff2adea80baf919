"""Square-root extraction against a published conversion table."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.flow import flow_fraction, pressure_fraction
from trainer.calculations.signals import MA_4_20, V_1_5
from trainer.errors import OutOfRange


# A public table of linear against square-root signals: linear mA, square-root mA, flow in percent, volts. The
# 12 mA line of its text prints 15.32 from a rounded root (exact 15.31) and is left out.
@pytest.mark.parametrize(
    ("linear", "rooted", "percent", "volts"),
    [
        (4.0, 4.0, 0.0, 1.0),
        (5.0, 8.0, 25.0, 2.0),
        (6.0, 9.66, 35.36, 2.41),
        (7.0, 10.93, 43.3, 2.73),
        (8.0, 12.0, 50.0, 3.0),
    ],
)
def test_linear_to_square_root(linear, rooted, percent, volts):
    flow = flow_fraction((linear - 4.0) / 16.0)
    assert 4.0 + 16.0 * flow == pytest.approx(rooted, abs=0.005)
    assert 100.0 * flow == pytest.approx(percent, abs=0.05 if percent == 43.3 else 0.005)
    assert V_1_5.low + V_1_5.span * flow == pytest.approx(volts, abs=0.005)


# Common practice, the thumb check: 25 % of the differential pressure is 50 % of the flow.
def test_thumb_check():
    assert flow_fraction(0.25) == 0.5
    assert MA_4_20.low + MA_4_20.span * flow_fraction((12.0 - 4.0) / 16.0) == pytest.approx(15.3137, abs=5e-5)


@given(st.floats(0.0, 1.3))
def test_there_and_back(flow):
    assert flow_fraction(pressure_fraction(flow)) == pytest.approx(flow)


def test_cut_off_shows_no_flow_below_it_and_leaves_the_rest():
    pressures = np.array([-0.01, 0.0, 0.0024, 0.0026, 0.25, 1.0])
    assert flow_fraction(pressures, cut_off=0.05).tolist() == pytest.approx([0, 0, 0, 0.0026**0.5, 0.5, 1])
    assert flow_fraction(0.0025, cut_off=0.05) == 0.05
    with pytest.raises(OutOfRange, match="cut-off 5 is outside 0 to 1"):
        flow_fraction(0.25, cut_off=5.0)
