"""What is said of a set with so many learners."""

from __future__ import annotations

import numpy as np
import pytest

from trainer.learning.items import EVERYONE_RIGHT, LOOK_AT_THE_KEY, TOO_HARD, item_report
from trainer.learning.statistics import sums

RANDOM = np.random.default_rng(7)


def ability_set(learners):
    """Six items that all follow one ability."""
    ability = RANDOM.normal(size=(learners, 1))
    return (ability + RANDOM.normal(scale=0.7, size=(learners, 6)) > -0.3).astype(float)


@pytest.mark.parametrize(
    ("learners", "shares", "correlations", "provisional"),
    [(1, False, False, False), (19, False, False, False), (20, True, False, False), (29, True, False, False),
     (30, True, True, True), (49, True, True, True), (50, True, True, False)],
)  # fmt: skip
def test_what_is_shown_by_the_number_of_learners(learners, shares, correlations, provisional):
    report = item_report(sums(ability_set(learners)))
    assert report.learners == learners
    assert all((item.p is not None and item.p_interval is not None) == shares for item in report.items)
    assert all((item.r_ir is not None and item.r_ir_interval is not None) == correlations for item in report.items)
    assert (report.alpha is not None, report.standard_error is not None) == (correlations, correlations)
    assert report.provisional == provisional


# Wilson (1927) for 18 of 20: 0.6990 to 0.9721.
def test_interval_of_p():
    marks = np.zeros((20, 2))
    marks[:18, 0] = 1.0
    item = item_report(sums(marks)).items[0]
    assert (item.marks, item.p) == (18.0, 0.9)
    assert item.p_interval == pytest.approx((0.6990, 0.9721), abs=5e-5)


def flagged(table):
    return [item.flags for item in item_report(sums(table)).items]


def test_a_wrong_key_is_found_from_fifty_learners():
    table = ability_set(400)
    table[:, 2] = 1.0 - table[:, 2]
    assert flagged(table) == [(), (), (LOOK_AT_THE_KEY,), (), (), ()]
    assert flagged(table[:49]) == [()] * 6


# Upper ends of Wilson's 95 % interval with n = 60: 10 right give 0.2806, 11 give 0.2986, 12 give 0.3168 (worked by
# hand), so the line at 0.30 lies between 11 and 12.
@pytest.mark.parametrize(("right", "hard"), [(0, True), (11, True), (12, False)])
def test_too_hard_only_when_the_whole_interval_is(right, hard):
    table = ability_set(60)
    table[:, 0] = 0.0
    table[np.argsort(-table.sum(axis=1), kind="stable")[:right], 0] = 1.0
    assert (TOO_HARD in flagged(table)[0]) == hard


def test_everyone_right_is_told_and_has_no_correlation():
    table = ability_set(80)
    table[:, 1] = 1.0
    item = item_report(sums(table)).items[1]
    assert (item.flags, item.r_ir, item.r_ir_interval) == ((EVERYONE_RIGHT,), None, None)


def test_a_single_item_has_no_alpha():
    report = item_report(sums([[1.0], [0.0]] * 40))
    assert (report.alpha, report.standard_error, report.items[0].r_ir) == (None, None, None)
    assert report.items[0].flags == ()


def test_a_low_correlation_of_few_learners_is_not_flagged():
    table = RANDOM.integers(0, 2, (60, 6)).astype(float)
    report = item_report(sums(table))
    assert all(LOOK_AT_THE_KEY not in item.flags for item in report.items if item.r_ir_interval.high >= 0.10)
    assert any(item.r_ir < 0.10 and not item.flags for item in report.items)
