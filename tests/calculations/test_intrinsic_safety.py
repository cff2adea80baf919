"""Entity comparison: each line, the halving, and a cable that is always rounded down."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.intrinsic_safety import (
    Apparatus,
    Cable,
    Comparison,
    Source,
    comparisons,
    longest_cable,
    permitted,
)
from trainer.errors import OutOfRange

BARRIER = Source(voltage=28.0, current=93.0, power=0.65, capacitance=83.0, inductance=4.2)
PROBE = Apparatus(voltage=30.0, current=100.0, power=0.75, capacitance=5.0, inductance=0.01)
CABLE = Cable(capacitance=200.0, inductance=1.0)


# Entity concept of IEC 60079-14 and 60079-25, from memory: one line for each value, equality allowed.
def test_a_loop_that_holds_on_every_line():
    lines = comparisons(BARRIER, PROBE, CABLE, 390.0)
    assert [line.name for line in lines] == ["Uo ≤ Ui", "Io ≤ Ii", "Po ≤ Pi", "Ci + Cc ≤ Co", "Li + Lc ≤ Lo"]
    assert all(line.holds for line in lines)
    assert lines[3].actual == pytest.approx(5.0 + 200.0 * 0.39)


@pytest.mark.parametrize(
    ("part", "line"), [("voltage", 0), ("current", 1), ("power", 2), ("capacitance", 3), ("inductance", 4)]
)
def test_each_line_can_fail_alone(part, line):
    if line < 3:
        weak = replace(PROBE, **{part: getattr(BARRIER, part) * 0.99})
        lines = comparisons(BARRIER, weak, CABLE, 100.0)
    else:
        lines = comparisons(BARRIER, PROBE, replace(CABLE, **{part: getattr(CABLE, part) * 100.0}), 100.0)
    assert [held.holds for held in lines] == [index != line for index in range(5)]


def test_equal_values_are_allowed():
    just = Apparatus(voltage=28.0, current=93.0, power=0.65)
    assert all(line.holds for line in comparisons(BARRIER, just, CABLE, 0.0))
    assert Comparison("Ci + Cc ≤ Co", 0.1 + 0.2, 0.3, "nF").holds
    assert not Comparison("Ci + Cc ≤ Co", 0.3001, 0.3, "nF").holds


# From memory, IEC 60079-25: above 1 % of both Co and Lo in the apparatus, both are halved; above one, neither.
@pytest.mark.parametrize(
    ("capacitance", "inductance", "share"),
    [(5.0, 0.01, 1.0), (0.5, 0.5, 1.0), (5.0, 0.5, 0.5), (0.83, 0.042, 1.0), (0.84, 0.043, 0.5)],
)
def test_halving(capacitance, inductance, share):
    apparatus = replace(PROBE, capacitance=capacitance, inductance=inductance)
    assert permitted(BARRIER, apparatus) == (83.0 * share, 4.2 * share)


# Worked by hand: (83 - 5)/200 km; halved (41.5 - 5)/200 km; inductance may be the tighter one.
@pytest.mark.parametrize(
    ("apparatus", "cable", "length"),
    [
        (PROBE, CABLE, 390),
        (replace(PROBE, inductance=0.1), CABLE, 182),
        (PROBE, Cable(110.0, 12.0), 349),
        (replace(PROBE, capacitance=22.7), Cable(150.0, 1.0), 402),
        (replace(PROBE, capacitance=90.0), CABLE, 0),
    ],
)
def test_longest_cable(apparatus, cable, length):
    assert longest_cable(BARRIER, apparatus, cable) == length


tenths = st.integers(0, 300).map(lambda number: number / 10.0)


@given(st.integers(600, 1300), tenths, st.sampled_from([110.0, 150.0, 200.0]), st.integers(0, 50))
def test_the_longest_cable_is_allowed_and_a_meter_more_is_not(co, ci, per_kilometer, li):
    source = replace(BARRIER, capacitance=co / 10.0)
    apparatus, cable = replace(PROBE, capacitance=ci, inductance=li / 100.0), Cable(per_kilometer, 1.0)
    length = longest_cable(source, apparatus, cable)
    longer = comparisons(source, apparatus, cable, length + 1.0)
    assert not all(line.holds for line in longer)
    for line in comparisons(source, apparatus, cable, float(length)):
        assert line.holds or length == 0


def test_cables_that_cannot_be_are_refused():
    with pytest.raises(OutOfRange, match="cable value 0"):
        longest_cable(BARRIER, PROBE, Cable(0.0, 1.0))
    with pytest.raises(OutOfRange, match="length -1 m"):
        comparisons(BARRIER, PROBE, CABLE, -1.0)
