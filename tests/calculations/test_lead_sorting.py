"""Unmarked leads sorted by ohmmeter: readings made from known leads must lead back to them."""

import math
from itertools import combinations, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.calculations.lead_sorting import OPEN, sort_leads


def three(single, pair_1, pair_2, element):
    """Readings of a three-wire sensor whose leads have these resistances."""
    return {
        ("gray", "blue"): single + element + pair_1,
        ("gray", "pink"): single + element + pair_2,
        ("blue", "pink"): pair_1 + pair_2,
    }


def test_the_low_pair_is_at_one_end():
    # Common practice: 115.02, 115.02 and 1.80 Ω make 113.22 Ω.
    found = sort_leads({("1", "2"): 115.02, ("1", "3"): 115.02, ("2", "3"): 1.80})
    assert found.finding == "sound"
    assert found.pairs == (("2", "3"),)
    assert found.element == pytest.approx(113.22)


@given(st.floats(0.1, 5.0), st.floats(20.0, 2000.0), st.permutations(["gray", "blue", "pink"]))
def test_names_and_order_do_not_matter(lead, element, names):
    marks = dict(zip(["gray", "blue", "pink"], names, strict=True))
    readings = {(marks[x], marks[y]): ohms for (x, y), ohms in three(lead, lead, lead, element).items()}
    found = sort_leads(readings)
    assert set(found.pairs[0]) == {marks["blue"], marks["pink"]}
    assert found.element == pytest.approx(element)


@pytest.mark.parametrize("order", list(permutations("abcd")))
def test_four_leads_have_two_pairs_and_give_the_element_exactly(order):
    leads = {"a": 1.1, "b": 1.7, "c": 2.3, "d": 0.9}
    ends = {"a": 0, "b": 0, "c": 1, "d": 1}
    found = sort_leads(
        {(x, y): leads[x] + leads[y] + (107.79 if ends[x] != ends[y] else 0.0) for x, y in combinations(order, 2)}
    )
    assert {frozenset(pair) for pair in found.pairs} == {frozenset("ab"), frozenset("cd")}
    assert found.element == pytest.approx(107.79)


@pytest.mark.parametrize("lead", ["gray", "blue", "pink"])
def test_the_open_lead_is_common_to_the_open_readings(lead):
    readings = {pair: OPEN if lead in pair else ohms for pair, ohms in three(1.6, 1.6, 1.6, 128.80).items()}
    found = sort_leads(readings)
    assert (found.finding, found.open_lead) == ("open lead", lead)
    assert found.element is None


def test_an_open_element_of_four_leads():
    readings = {(x, y): 3.0 if x + y in ("ab", "cd") else OPEN for x, y in combinations("abcd", 2)}
    found = sort_leads(readings)
    assert found.finding == "open element"
    assert found.pairs == (("a", "b"), ("c", "d"))


def test_a_shorted_element():
    # Common practice: three readings of nearly the lead loop alone.
    found = sort_leads({("1", "2"): 3.3, ("1", "3"): 3.3, ("2", "3"): 3.2})
    assert found.finding == "shorted element"
    assert found.element == pytest.approx(0.1)
    assert found.pairs == ()


@pytest.mark.parametrize(
    "ohms",
    [
        (OPEN, OPEN, OPEN),
        (OPEN, 115.0, 1.8),
        (OPEN, OPEN, OPEN, OPEN, OPEN, 3.0),
        (3.0, OPEN, 110.0, 110.0, 110.0, 3.0),
    ],
)
def test_readings_that_tell_nothing(ohms):
    leads = "abc" if len(ohms) == 3 else "abcd"
    assert sort_leads(dict(zip(combinations(leads, 2), ohms, strict=True))).finding == "unclear"


@pytest.mark.parametrize(
    "readings",
    [
        {("a", "b"): 110.0},
        {("a", "b"): 110.0, ("a", "c"): 110.0},
        {("a", "b"): 110.0, ("a", "c"): 110.0, ("b", "c"): -1.0},
        {("a", "b"): 110.0, ("a", "c"): 110.0, ("b", "c"): math.nan},
        dict.fromkeys(combinations("abcde", 2), 3.0),
    ],
)
def test_missing_or_impossible_readings_are_refused(readings):
    with pytest.raises(ValueError, match="every two"):
        sort_leads(readings)
