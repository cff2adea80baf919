"""Choosing a sensor: every choice against numbers worked by hand or printed in the standards' tables."""

from __future__ import annotations

import pytest

from trainer.content.library import read_library

WORKSHEETS = read_library().worksheets
SENSORS, TYPES, BUILDS, WIRINGS = (
    WORKSHEETS[f"sensor-by-{what}"].answer.options for what in ("accuracy", "range", "response", "leads")
)

CABLE = {"length": 100.0, "per_km": 36.0, "difference": 2.0, "slope": 0.385}
BUILD = {"rate": 6.0, "time_constants": (75.0, 28.0, 11.0, 3.0)}
LIMITS = (750.0, 1200.0, 1600.0)


def worked(sheet, givens):
    """The steps alone."""
    values = WORKSHEETS[sheet].solve(givens)
    return {name: values[name] for name in WORKSHEETS[sheet].steps}


def answered(sheet, givens):
    """The choices that a slip answers, by option."""
    graph = WORKSHEETS[sheet]
    answer = graph.answer.name
    found = {}
    for slip in graph.slips.values():
        values = graph.solve_slip(slip, givens) if slip.step == answer else None
        if values is not None:
            found.setdefault(values[answer], []).append(slip.name)
    return found


def check_every_wrong_choice_is_answered_once(sheet, givens, right):
    """Each option but the right one meets its own number."""
    found = answered(sheet, givens)
    assert set(found) == set(WORKSHEETS[sheet].answer.options) - {right}
    assert all(len(names) == 1 for names in found.values())


# IEC 60751 table at 200 °C: class A 0.55, class B 1.3 °C; IEC 60584-1: type K class 2 the greater of 2.5 and 0.75 %.
@pytest.mark.parametrize(("allowed", "right"), [(0.5, 3), (0.6, 2), (1.6, 1), (2.6, 0)])
def test_accuracy(allowed, right):
    givens = {"temperature": 200.0, "allowed": allowed}
    steps = worked("sensor-by-accuracy", givens)
    assert steps == pytest.approx({"thermocouple": 2.5, "class_b": 1.3, "class_a": 0.55, "sensor": SENSORS[right]})
    check_every_wrong_choice_is_answered_once("sensor-by-accuracy", givens, SENSORS[right])


# Worked by hand: 0.1 km x 36 = 3.6 Ω; 7.2/0.385 = 18.70; a tenth of it; 2 % of 3.6 = 0.072, /0.385 = 0.187.
@pytest.mark.parametrize(("allowed", "right"), [(20.0, 0), (2.0, 1), (0.3, 2), (0.1, 3)])
def test_wiring(allowed, right):
    givens = CABLE | {"allowed": allowed}
    steps = worked("sensor-by-leads", givens)
    assert steps["lead"] == pytest.approx(3.6)
    assert steps["hundred_ohm"] == pytest.approx(18.70, abs=0.005)
    assert steps["thousand_ohm"] == pytest.approx(1.870, abs=5e-4)
    assert steps["three_wire"] == pytest.approx(0.187, abs=5e-4)
    assert steps["wiring"] == WIRINGS[right]
    check_every_wrong_choice_is_answered_once("sensor-by-leads", givens, WIRINGS[right])


# Worked by hand: one lead 3.6/0.385 = 9.351; 7.2 x 0.385 = 2.772.
@pytest.mark.parametrize(
    ("slip", "step", "number"),
    [
        ("one_lead", "hundred_ohm", 9.351),
        ("multiplied", "hundred_ohm", 2.772),
        ("no_better", "thousand_ohm", 18.701),
        ("whole_lead_left", "three_wire", 9.351),
    ],
)
def test_slips_of_wiring(slip, step, number):
    graph = WORKSHEETS["sensor-by-leads"]
    found = graph.solve_slip(graph.slips[slip], CABLE | {"allowed": 0.3})
    assert found[step] == pytest.approx(number, abs=5e-4)


# Worked by hand: 6 °C/min is 0.1 °C/s; times 75, 28, 11 and 3 s.
@pytest.mark.parametrize(("allowed", "right"), [(9.0, 0), (4.0, 1), (2.0, 2), (0.5, 3)])
def test_build(allowed, right):
    givens = BUILD | {"allowed": allowed}
    steps = worked("sensor-by-response", givens)
    assert steps["per_second"] == pytest.approx(0.1)
    assert steps["lags"] == pytest.approx((7.5, 2.8, 1.1, 0.3))
    assert steps["build"] == BUILDS[right]
    check_every_wrong_choice_is_answered_once("sensor-by-response", givens, BUILDS[right])


@pytest.mark.parametrize(
    ("slip", "step", "value"),
    [
        ("minutes_kept", "per_second", 6.0),
        ("times_sixty", "per_second", 360.0),
        ("five_time_constants", "lags", (37.5, 14.0, 5.5, 1.5)),
        ("share_of_step", "lags", (4.74, 1.7696, 0.6952, 0.1896)),
    ],
)
def test_slips_of_build(slip, step, value):
    graph = WORKSHEETS["sensor-by-response"]
    assert graph.solve_slip(graph.slips[slip], BUILD | {"allowed": 2.0})[step] == pytest.approx(value)


# IEC 60584-1, upper limits of class 2: J 750, K 1200, S 1600 °C.
@pytest.mark.parametrize(
    ("highest", "margin", "spare", "right"),
    [
        (600.0, 100.0, (50.0, 500.0, 900.0), 0),
        (690.0, 100.0, (-40.0, 410.0, 810.0), 1),
        (1150.0, 80.0, (-480.0, -30.0, 370.0), 2),
    ],
)
def test_range(highest, margin, spare, right):
    givens = {"highest": highest, "margin": margin}
    givens["limits"] = WORKSHEETS["sensor-by-range"].givens["limits"].prepare(givens)
    assert givens["limits"] == LIMITS
    steps = worked("sensor-by-range", givens)
    assert steps == {"needed": highest + margin, "spare": spare, "kind": TYPES[right]}
    check_every_wrong_choice_is_answered_once("sensor-by-range", givens, TYPES[right])


# Worked by hand: without the margin 690 °C fits type J, which ends 40 °C short of what is needed.
def test_margin_forgotten_changes_the_choice():
    graph, givens = WORKSHEETS["sensor-by-range"], {"highest": 690.0, "margin": 100.0, "limits": LIMITS}
    values = graph.solve_slip(graph.slips["margin_forgotten"], givens)
    assert (values["needed"], values["kind"]) == (690.0, TYPES[0])
    assert graph.solve_slip(graph.slips["margin_taken_off"], givens)["needed"] == 590.0
    assert graph.solve_slip(graph.slips["turned_round"], givens)["spare"] == (40.0, -410.0, -810.0)
