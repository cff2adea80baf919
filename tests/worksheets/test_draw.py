"""Givens drawn on grids: the same for the same seed, inside their limits, outside the zones to avoid."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import TrainerError
from trainer.worksheets.draw import Choice, Fixed, Grid, Within, decimals_of, draw


def many(one, count=3000, **before):
    rng, found = random.Random(5), []
    for _ in range(count):
        values = dict(before)
        one(rng, values)
        found.append(values[one.names[0]])
    return found


def test_a_grid_reaches_every_value_and_no_other():
    assert sorted(set(many(Grid("t", 0.0, 1.0, 0.25)))) == [0.0, 0.25, 0.5, 0.75, 1.0]


def test_a_grid_stops_below_a_high_end_that_is_off_it():
    assert sorted(set(many(Grid("t", 1, 2.4, 0.5)))) == [1.0, 1.5, 2.0]


def test_a_grid_is_drawn_evenly():
    counts = [many(Grid("t", 1, 10, 1, avoid=((4, 6),)), 7000).count(k) for k in range(1, 11)]
    assert counts[3:6] == [0, 0, 0]
    assert all(850 < count < 1150 for count in counts[:3] + counts[6:])  # 1000 each, 5 standard deviations


def test_zones_are_closed_and_may_touch_overlap_and_pass_the_ends():
    zones = ((0, 2), (5, 5), (6.5, 8), (7, 12))
    assert sorted(set(many(Grid("t", 1, 10, 1, avoid=zones)))) == [3.0, 4.0, 6.0]


def test_values_have_no_more_digits_than_the_grid():
    assert all(
        repr(value) == f"{value:.2f}".rstrip("0") or value == round(value, 1)
        for value in many(Grid("t", 0.1, 9.9, 0.01))
    )


def test_rows_are_drawn_together():
    rng = random.Random(1)
    seen = set()
    for _ in range(200):
        values = draw((Fixed("low", 4.0), Choice(("a", "b"), ((1, "x"), (2, "y"), (3, "z")))), rng)
        seen.add((values["low"], values["a"], values["b"]))
    assert seen == {(4.0, 1, "x"), (4.0, 2, "y"), (4.0, 3, "z")}


def test_within_a_range_drawn_before():
    found = set(many(Within("v", ("lo", "hi"), 20, 80, 5, ((45, 55),)), lo=-50.0, hi=50.0))
    assert sorted(found) == [-30.0, -25.0, -20.0, -15.0, -10.0, 10.0, 15.0, 20.0, 25.0, 30.0]


def test_within_a_falling_range():
    assert sorted(set(many(Within("v", ("lo", "hi"), 0, 25, 5), lo=20.0, hi=0.0))) == [15.0, 20.0]


def test_within_tells_where_no_value_is_left():
    with pytest.raises(TrainerError, match="v: no multiple of 50 lies where it is drawn"):
        many(Within("v", ("lo", "hi"), 10, 20, 50), 1, lo=1.0, hi=100.0)


@given(
    lower=st.integers(-400, 400),
    width=st.integers(20, 900),
    ends=st.tuples(st.integers(0, 45), st.integers(55, 100)),
    zone=st.tuples(st.integers(0, 100), st.integers(0, 30)),
    step=st.sampled_from([0.05, 0.1, 0.5, 1.0]),
    seed=st.integers(0, 10**6),
)
def test_within_keeps_its_limits_its_zone_and_its_grid(lower, width, ends, zone, step, seed):
    low, high = ends
    a, b = zone[0], zone[0] + zone[1]
    if a <= low and b >= high:
        return
    values = {"lo": float(lower), "hi": float(lower + width)}
    try:
        Within("v", ("lo", "hi"), low, high, step, ((a, b),))(random.Random(seed), values)
    except TrainerError:  # a zone can leave less than a step
        return
    percent = (values["v"] - lower) / width * 100
    assert low - 1e-6 <= percent <= high + 1e-6
    assert not a + 1e-6 < percent < b - 1e-6
    assert values["v"] / step == pytest.approx(round(values["v"] / step), abs=1e-6)


# The stream of random.Random(seed).random() is documented as stable, so these are for ever.
def test_the_stream_of_draws_stays():
    values = draw((Grid("t", 0, 100, 0.1), Choice(("k",), (("J",), ("K",), ("T",)))), random.Random(7))
    assert values == {"t": 32.4, "k": "J"}


@pytest.mark.parametrize(
    ("numbers", "decimals"), [((4,), 0), ((100.0,), 0), ((0.25, 4), 2), ((1e-6,), 6), ((5.3, 0.01), 2), ((-0.5,), 1)]
)
def test_decimals_of(numbers, decimals):
    assert decimals_of(*numbers) == decimals


@given(
    low=st.integers(-500, 500).map(lambda n: n / 10),
    step=st.sampled_from([0.01, 0.1, 0.25, 0.3, 1, 7]),
    count=st.integers(1, 200),
    zones=st.lists(st.tuples(st.integers(-600, 2000), st.integers(0, 400)), max_size=4),
)
def test_zones_take_out_just_the_values_inside_them(low, step, count, zones):
    avoid = tuple((start / 10, (start + length) / 10) for start, length in zones)
    grid = Grid("x", low, low + step * count, step, avoid)
    left = [k for first, many in grid.runs for k in range(first, first + many)]
    values = [low + step * k for k in range(int((grid.high - low) / step + 1e-9) + 1)]
    free = [all(not a - 1e-9 <= value <= b + 1e-9 for a, b in avoid) for value in values]
    assert left == [k for k, outside in enumerate(free) if outside]
