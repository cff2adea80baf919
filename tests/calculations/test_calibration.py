"""Five-point records against published worksheets; corrections and limits against worked examples."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from trainer.calculations.calibration import Record, correction, judged, percent_error, specification_limit
from trainer.calculations.signals import V_1_5, NoSpan
from trainer.errors import OutOfRange

IDEAL = np.array([4.0, 8.0, 12.0, 16.0, 20.0])


# Calibration worksheet in print: errors in percent of span, half the last digit (0.125 is printed as 0.13).
def test_published_errors_in_percent_of_span():
    record = Record(up=np.array([4.02, 8.01, 12.0, 15.97, 19.95]))
    assert record.errors_up == pytest.approx([0.13, 0.06, 0.0, -0.19, -0.31], abs=0.00501)
    assert record.worst == pytest.approx(-0.3125)


# A second worksheet, up and down, errors printed in milliamperes; hysteresis is the greatest difference between
# the ways at one point (IEC 61298-2:2008, in summary): 0.02 mA at 20 mA, which is 0.125 % of 16 mA.
def test_published_record_up_and_down():
    record = Record(up=np.array([4.02, 8.03, 12.01, 15.98, 20.05]), down=np.array([4.01, 8.02, 12.0, 15.97, 20.03]))
    assert record.errors_up * 0.16 == pytest.approx([0.02, 0.03, 0.01, -0.02, 0.05], abs=1e-9)
    assert record.components.hysteresis == pytest.approx(0.125)


# An article on calibration errors: 0.1 mA at the bottom is 0.625 % of span. It calls a transmitter that reads 20.5
# mA at the top good to 0.3 %; of span it is 3.1 %.
def test_errors_are_of_the_span():
    assert percent_error(4.1, 4.0, 16.0) == pytest.approx(0.625)
    assert percent_error(20.5, 20.0, 16.0) == pytest.approx(3.125)
    assert percent_error(3.02, 3.0, V_1_5.span) == pytest.approx(0.5)


# Common practice: equal errors are zero, growing ones span, a bow linearity, up unlike down hysteresis.
@pytest.mark.parametrize(
    ("up", "down", "kind"),
    [
        ([0.08, 0.08, 0.08, 0.08, 0.08], None, "zero"),
        ([0.0, -0.03, -0.06, -0.09, -0.12], None, "span"),
        ([0.0, 0.06, 0.08, 0.06, 0.0], None, "linearity"),
        ([0.0, 0.06, 0.08, 0.06, 0.0], [0.0, -0.06, -0.08, -0.06, 0.0], "hysteresis"),
        ([0.01, 0.01, 0.01, 0.02, 0.02], [0.01, 0.02, 0.01, 0.01, 0.02], "none"),
    ],
)
def test_error_type(up, down, kind):
    record = Record(up=IDEAL + up, down=None if down is None else IDEAL + down)
    assert record.error_type(limit=0.25) == kind
    assert record.passes(0.25) == (kind == "none")


errors = st.floats(-1.0, 1.0)


@given(errors, errors)
def test_components_of_a_straight_error(zero, span):
    record = Record(up=IDEAL + 0.16 * (zero + span * np.linspace(0.0, 1.0, 5)))
    assert record.components == pytest.approx((zero, span, 0.0, 0.0), abs=1e-9)


def test_zero_span_and_linearity_are_of_the_mean_of_both_ways():
    up, down = np.array([0.0, 0.04, 0.08, 0.04, 0.0]), np.array([0.16, 0.12, 0.16, 0.12, 0.16])
    record = Record(up=IDEAL + up, down=IDEAL + down)
    assert record.components == pytest.approx((0.5, 0.0, 0.25, 1.0))


def test_an_error_of_just_the_limit_passes():
    assert Record(up=IDEAL + 0.04).passes(0.25)
    assert not Record(up=IDEAL + 0.0401).passes(0.25)
    assert Record(up=np.array([1.0, 3.0, 5.02]), signal=V_1_5).passes(0.5)


# Common practice: as found judges the past, as left the future.
@pytest.mark.parametrize(
    ("found", "left", "verdict"),
    [
        (0.02, None, "passed as found"),
        (0.02, 0.0, "passed as found"),
        (0.08, 0.0, "passed as left"),
        (0.08, None, "failed"),
        (0.08, 0.06, "failed"),
        (0.02, 0.06, "failed"),
    ],
)
def test_as_found_and_as_left(found, left, verdict):
    as_left = None if left is None else Record(up=IDEAL + left)
    assert judged(Record(up=IDEAL + found), as_left, limit=0.25) == verdict


# The correction must make both references true, and undo any error of zero and span.
@given(
    st.floats(-50.0, 50.0), st.floats(60.0, 200.0), st.floats(-3.0, 3.0), st.floats(0.9, 1.1), st.floats(-90.0, 300.0)
)
def test_correction_undoes_an_error_of_zero_and_span(lower, upper, zero, gain, true):
    assume(abs(upper - lower) > 5.0)

    def shown(value):
        return (value - lower) * gain + lower + zero

    mended = correction((shown(lower), shown(upper)), (lower, upper))
    assert mended.true(shown(lower)) == pytest.approx(lower, abs=1e-9)
    assert mended.true(shown(upper)) == pytest.approx(upper, abs=1e-9)
    assert mended.true(shown(true)) == pytest.approx(true, abs=1e-6)


# A published example with mixed specifications at a reading of 250: 0.15 % of reading is 0.375, 0.1 % of a span of
# 1000 is 1.0, 0.2 % of a span of 1500 is 3.0.
@pytest.mark.parametrize(
    ("span", "of_reading", "of_span", "limit"),
    [(1000.0, 0.15, 0.0, 0.375), (1000.0, 0.0, 0.1, 1.0), (1500.0, 0.0, 0.2, 3.0), (1000.0, 0.15, 0.1, 1.375)],
)
def test_terms_of_a_specification(span, of_reading, of_span, limit):
    assert specification_limit(250.0, span, of_reading=of_reading, of_span=of_span) == pytest.approx(limit)


def test_specification_limits_do_not_mind_signs():
    assert specification_limit(-40.0, 100.0, of_reading=0.5, fixed=0.1) == pytest.approx(0.3)
    assert specification_limit(40.0, -100.0, of_span=0.5) == pytest.approx(0.5)


def test_what_makes_no_sense_is_refused():
    with pytest.raises(ValueError, match="5 points up and 3 down"):
        Record(up=IDEAL, down=IDEAL[:3])
    with pytest.raises(ValueError, match="two points"):
        Record(up=IDEAL[:1])
    with pytest.raises(NoSpan, match="pair of readings"):
        correction((1.0, 1.0), (0.0, 100.0))
    with pytest.raises(NoSpan, match="output"):
        percent_error(4.1, 4.0, 0.0)
    with pytest.raises(OutOfRange, match=r"specification -0\.1"):
        specification_limit(1.0, 100.0, of_span=-0.1)
