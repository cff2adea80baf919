"""Worksheets of strand S2, each on one draw whose steps and slips were worked by hand or read from a table."""

from itertools import combinations

import pytest
import thermocouple_its90

from trainer.calculations import leads, rtd
from trainer.calculations.lead_sorting import OPEN, meter_readings, sort_leads
from trainer.content.library import check_draws, read_library

WORKSHEETS = read_library().worksheets

PROBLEMS = [problem for problem in read_library().problems.values() if problem.bank == "wiring.toml"]


def work(name, **drawn):
    """All givens and steps, and for each slip its value at its own step and at the answer."""
    sheet = WORKSHEETS[name]
    givens = dict(drawn)
    for given in sheet.givens.values():
        if given.prepare and given.name not in givens:
            givens[given.name] = given.prepare(givens)
    slips = {slip.name: sheet.solve_slip(slip, givens) for slip in sheet.slips.values()}
    return sheet.solve(givens), slips


def answers(name, slips):
    """The answer that each slip ends in, None where the slip cannot be made."""
    last = WORKSHEETS[name].answer.name
    return {slip: values and values[last] for slip, values in slips.items()}


# S2.1. 140 m of AWG 20 at 45 °C, worked by hand: table value of ASTM B258 with annealed copper 33.31 Ω/km,
# 0.140 × 33.31 = 4.6634; 1 + 0.00393 × 25 = 1.09825; the slips from the same numbers.
def test_resistance_of_a_conductor_in_meters():
    values, slips = work("lead-resistance", size="AWG 20", length=140.0, celsius=45.0)
    assert values["per_length"] == pytest.approx(33.31, abs=0.005)
    assert values["at_20"] == pytest.approx(4.6634, abs=0.00005)
    assert values["factor"] == pytest.approx(1.09825, abs=0.000005)
    assert values["resistance"] == pytest.approx(5.122, abs=0.0005)
    assert answers("lead-resistance", slips) == {
        "there_and_back": pytest.approx(10.243, abs=0.0005),
        "turned_into_feet": pytest.approx(5.1216 / 0.3048, abs=0.001),
        "turned_into_meters": pytest.approx(5.1216 * 0.3048, abs=0.0005),
        "no_correction": pytest.approx(4.6634, abs=0.00005),
        "counted_from_zero": pytest.approx(4.6634 * 1.17685, abs=0.0005),
        "wrong_way": pytest.approx(4.6634 * 0.90175, abs=0.0005),
    }


# IEC 60228:2004, classes 1 and 2, largest resistance at 20 °C; 100 m at -10 °C by hand: 1 - 0.00393 × 30 = 0.8821.
@pytest.mark.parametrize(("size", "per_km"), [("0.5 mm²", 36.0), ("1.5 mm²", 12.1), ("2.5 mm²", 7.41)])
def test_cold_conductor_of_a_metric_size(size, per_km):
    values, _ = work("lead-resistance", size=size, length=100.0, celsius=-10.0)
    assert values["per_length"] == per_km
    assert values["resistance"] == pytest.approx(per_km / 10 * 0.8821, rel=1e-9)


# NBS Handbook 100 (1966), Ω/1000 ft of solid copper at 20 °C.
@pytest.mark.parametrize(
    ("size", "per_1000_ft"), [("AWG 18", 6.385), ("AWG 20", 10.15), ("AWG 22", 16.14), ("AWG 24", 25.67)]
)
def test_table_per_1000_feet(size, per_1000_ft):
    values, _ = work("lead-resistance-feet", size=size, length=800.0, fahrenheit=104.0)
    assert values["per_length"] == per_1000_ft


# 800 ft of AWG 18 at 104 °F, which is 40 °C, by hand: 0.8 × 6.385 = 5.108; 1 + 0.00393 × 20 = 1.0786.
def test_resistance_of_a_conductor_in_feet():
    values, slips = work("lead-resistance-feet", size="AWG 18", length=800.0, fahrenheit=104.0)
    assert values["celsius"] == pytest.approx(40.0)
    assert values["at_20"] == pytest.approx(5.108)
    assert values["factor"] == pytest.approx(1.0786)
    assert values["resistance"] == pytest.approx(5.5095, abs=0.00005)
    assert answers("lead-resistance-feet", slips) == {
        "fahrenheit_put_in": pytest.approx(5.108 * (1 + 0.00393 * 84), abs=0.0005),
        "only_divided": pytest.approx(5.108 * (1 + 0.00393 * 37.7778), abs=0.0005),
        "there_and_back": pytest.approx(11.019, abs=0.0005),
        "turned_into_feet": pytest.approx(18.0758, abs=0.0005),
        "turned_into_meters": pytest.approx(1.6793, abs=0.0005),
        "no_correction": pytest.approx(5.108),
        "counted_from_zero": pytest.approx(5.108 * 1.1572, abs=0.0005),
        "wrong_way": pytest.approx(5.108 * 0.9214, abs=0.0005),
    }


# S2.2. 58 °C, two leads of 2.3 Ω, worked by hand with A and B of IEC 60751:
# S = 100 (0.0039083 - 2 × 5.775e-7 × 58) = 0.384131 Ω/°C; 4.6 / 0.384131 = 11.975.
@pytest.mark.parametrize(
    ("r0", "slope", "error", "other"), [(100.0, 0.384131, 11.975, 1.1975), (1000.0, 3.84131, 1.1975, 11.975)]
)
def test_error_of_two_wires(r0, slope, error, other):
    values, slips = work("two-wire-error", r0=r0, temperature=58.0, lead=2.3)
    assert values["ohms"] == pytest.approx(4.6)
    assert values["slope"] == pytest.approx(slope, rel=2e-6)
    assert values["error"] == pytest.approx(error, abs=0.0005)
    assert answers("two-wire-error", slips) == {
        "one_lead": pytest.approx(error / 2, abs=0.0005),
        "four_leads": pytest.approx(error * 2, abs=0.001),
        "other_sensor": pytest.approx(other, abs=0.0005),
        "multiplied": pytest.approx(4.6 * slope, abs=0.0005),
        "ohms_as_degrees": pytest.approx(4.6),
        "reads_low": pytest.approx(-error, abs=0.0005),
    }


# The same in °F, by hand: 1.8 × 11.975 = 21.555.
def test_error_of_two_wires_in_fahrenheit():
    values, slips = work("two-wire-error-fahrenheit", r0=100.0, temperature=58.0, lead=2.3)
    assert values["displayed"] == pytest.approx(21.555, abs=0.0005)
    found = answers("two-wire-error-fahrenheit", slips)
    assert found["thirty_two_added"] == pytest.approx(53.555, abs=0.0005)
    assert found["divided"] == pytest.approx(6.653, abs=0.0005)
    assert found["one_lead"] == pytest.approx(10.778, abs=0.0005)
    assert found["multiplied"] == pytest.approx(1.8 * 1.767, abs=0.001)


# IEC 60751, table for 100 Ω (from memory): 122.47 Ω at 58 °C, 127.08 Ω at 70 °C. 122.47 + 4.60 is 127.07, so the
# display shows 70.0 °C and the error is 12.0 °C; with one lead 124.77, near the 124.78 of 64 °C; taken off 117.87.
def test_reading_of_two_wires_by_the_table():
    values, slips = work("two-wire-reading", r0=100.0, temperature=58.0, lead=2.3)
    assert values["element"] == pytest.approx(122.47, abs=0.005)
    assert values["at_terminals"] == pytest.approx(127.07, abs=0.005)
    assert values["shown"] == pytest.approx(70.0, abs=0.05)
    assert values["error"] == pytest.approx(12.0, abs=0.05)
    assert slips["one_lead_seen"]["at_terminals"] == pytest.approx(124.77, abs=0.005)
    assert slips["one_lead_seen"]["error"] == pytest.approx(6.0, abs=0.05)
    assert slips["leads_taken_off"]["at_terminals"] == pytest.approx(117.87, abs=0.005)


# 20 °C, two leads of 0.8 Ω, by hand: S = 0.38852 and 3.8852 Ω/°C, 1.6 Ω are 4.118 and 0.4118 °C.
@pytest.mark.parametrize(
    ("allowed", "verdict"),
    [
        (5.0, "both are good enough"),
        (1.0, "only the 1000 Ω sensor is good enough"),
        (0.3, "neither is good enough"),
    ],
)
def test_whether_a_larger_sensor_cures_two_wires(allowed, verdict):
    values, slips = work("two-wire-cure", temperature=20.0, lead=0.8, allowed=allowed)
    assert values["error_of_100"] == pytest.approx(4.118, abs=0.0005)
    assert values["error_of_1000"] == pytest.approx(0.4118, abs=0.00005)
    assert values["verdict"] == verdict
    assert slips["multiplied"]["error_of_100"] == pytest.approx(0.6216, abs=0.00005)
    assert slips["same_as_100"]["error_of_1000"] == pytest.approx(4.118, abs=0.0005)
    assert slips["ten_times_more"]["error_of_1000"] == pytest.approx(41.18, abs=0.005)
    assert slips["cured_altogether"]["error_of_1000"] == 0.0
    in_ohms = slips["compared_in_ohms"]  # 1.6 against the number allowed
    assert in_ohms is None if allowed in (5.0, 0.3) else in_ohms["verdict"] == "neither is good enough"


# S2.3. Leads of 3.10, 1.70, 1.55 Ω at 40 °C, worked by hand: S = 0.39083 - 0.00462 = 0.38621 Ω/°C.
@pytest.mark.parametrize(
    ("circuit", "ohms", "slip_ohms"),
    [
        (
            "one current, out by a and back by c",
            1.55,
            {"two_wire_sum": 4.65, "turned_round": -1.55, "other_of_the_pair": 1.40, "doubled": 3.10},
        ),
        (
            "two matched currents, in by a and by b",
            1.40,
            {"two_wire_sum": 4.80, "turned_round": -1.40, "other_of_the_pair": 1.55, "doubled": 2.80},
        ),
    ],
)
def test_what_three_wires_leave(circuit, ohms, slip_ohms):
    values, slips = work("three-wire-residual", r0=100.0, temperature=40.0, circuit=circuit, a=3.1, b=1.7, c=1.55)
    assert values["ohms"] == pytest.approx(ohms)
    assert values["slope"] == pytest.approx(0.38621, abs=0.000005)
    assert values["error"] == pytest.approx(ohms / 0.38621, abs=0.0005)
    shared = {"mean_of_three": 6.35 / 3, "no_error_in_three_wires": 0.0}
    expected = {slip: pytest.approx(value / 0.38621, abs=0.0005) for slip, value in {**slip_ohms, **shared}.items()}
    expected |= {
        "other_sensor": pytest.approx(ohms / 3.8621, abs=0.0005),
        "multiplied": pytest.approx(ohms * 0.38621, abs=0.0005),
        "ohms_as_degrees": pytest.approx(ohms),
    }
    assert answers("three-wire-residual", slips) == expected


# S2.4. 115.02, 115.02 and 1.80 Ω, worked by hand: 115.02 - 1.80 = 113.22 Ω, in the table of IEC 60751 (from memory)
# the resistance at 34 °C. The lead alone at its end is the one in both high readings.
@pytest.mark.parametrize(
    ("single", "low", "pair", "wrong_pairs"),
    [
        ("brown", "black_blue", "black and blue", {"black and brown", "blue and brown"}),
        ("blue", "black_brown", "black and brown", {"black and blue", "blue and brown"}),
        ("black", "blue_brown", "blue and brown", {"black and blue", "black and brown"}),
    ],
)
def test_three_unmarked_leads(single, low, pair, wrong_pairs):
    values, slips = work("three-leads-by-ohmmeter", single=single, r0=100.0, true_temperature=34.0, lead=0.9)
    for name in ("black_blue", "black_brown", "blue_brown"):
        assert values[name] == pytest.approx(1.80 if name == low else 115.02, abs=0.005)
    assert values["pair"] == pair
    assert values["element"] == pytest.approx(113.22, abs=0.005)
    assert values["temperature"] == pytest.approx(34.0, abs=0.05)
    assert {slips[s]["pair"] for s in ("one_from_each_end", "other_from_each_end")} == wrong_pairs
    for slip, ohms in {
        "leads_left_in": 115.02,
        "half_taken_off": 114.12,
        "taken_off_twice": 111.42,
        "added_on": 116.82,
    }.items():
        assert slips[slip]["element"] == pytest.approx(ohms, abs=0.005)
    assert slips["in_fahrenheit"]["temperature"] == pytest.approx(93.2, abs=0.05)


# Four leads of 0.9 Ω on the same element: from each lead one low reading of 1.80 Ω, to its partner.
@pytest.mark.parametrize(("partner", "low"), [("2", "12 34"), ("3", "13 24"), ("4", "14 23")])
def test_four_unmarked_leads(partner, low):
    values, slips = work("four-leads-by-ohmmeter", partner=partner, r0=100.0, true_temperature=34.0, lead=0.9)
    for x, y in combinations("1234", 2):
        assert values[f"r_{x}_{y}"] == pytest.approx(1.80 if x + y in low.split() else 115.02, abs=0.005)
    assert values["with_lead_1"] == partner
    assert values["element"] == pytest.approx(113.22, abs=0.005)
    assert values["temperature"] == pytest.approx(34.0, abs=0.05)
    wrong = {slips[s]["with_lead_1"] for s in ("lead_of_other_end", "second_lead_of_other_end")}
    assert wrong == {"2", "3", "4"} - {partner}
    assert slips["half_taken_off"]["element"] == pytest.approx(114.12, abs=0.005)


def test_readings_of_a_meter_are_sorted_back():
    # Unequal leads, by hand: 0.4 + 108.0 + 0.7, 0.4 + 108.0 + 1.1, 0.7 + 1.1.
    readings = meter_readings(108.0, {"a": 0.4}, {"b": 0.7, "c": 1.1})
    assert readings == pytest.approx({("a", "b"): 109.1, ("a", "c"): 109.5, ("b", "c"): 1.8})
    assert sort_leads(readings).pairs == (("b", "c"),)
    broken = meter_readings(OPEN, {"1": 0.4, "2": 0.4}, {"3": 0.4, "4": 0.4})
    assert sort_leads(broken).finding == "open element"


# Common practice: what an ohmmeter finds at a sensor with three leads, black alone at its end.
THREE_LEADS = {"single": "black", "r0": 100.0, "true_temperature": 34.0, "lead": 0.9}
HIGH, LOW, NONE = "115.02 Ω", "1.80 Ω", "no continuity"


@pytest.mark.parametrize(
    ("state", "dead", "readings", "finding", "lost", "slips"),
    [
        (
            "healthy",
            "black",
            (HIGH, HIGH, LOW),
            "healthy",
            "none of the leads",
            {"pair_taken_for_short": "the element is shorted", "lone_lead_blamed": "black"},
        ),
        (
            "shorted element",
            "black",
            (LOW, LOW, LOW),
            "the element is shorted",
            "none of the leads",
            {"short_taken_for_healthy": "healthy", "lead_blamed_for_short": "black"},
        ),
        (
            "open lead",
            "black",
            (NONE, NONE, LOW),
            "the lone lead or the element is open",
            "black",
            {"whole_pair_blamed": "a lead of the pair is open", "lead_that_reads": "blue"},
        ),
        (
            "open lead",
            "blue",
            (NONE, HIGH, NONE),
            "a lead of the pair is open",
            "blue",
            {"whole_element_blamed": "the lone lead or the element is open", "lead_that_reads": "black"},
        ),
    ],
)
def test_faults_of_three_leads(state, dead, readings, finding, lost, slips):
    values, made = work("three-lead-faults", state=state, dead=dead, **THREE_LEADS)
    shown = tuple(values[name].replace("\u00a0", " ") for name in ("black_blue", "black_brown", "blue_brown"))
    assert shown == readings
    assert (values["finding"], values["lost"]) == (finding, lost)
    sheet = WORKSHEETS["three-lead-faults"]
    assert {name: found[sheet.slips[name].step] for name, found in made.items() if found} == slips


# Common practice: the same with four leads, 1 and 2 at one end.
FOUR_LEADS = {"partner": "2", "r0": 100.0, "true_temperature": 34.0, "lead": 0.9}


@pytest.mark.parametrize(
    ("state", "dead", "readings", "finding", "lost", "slips"),
    [
        (
            "healthy",
            "1",
            (LOW, HIGH, HIGH, HIGH, HIGH, LOW),
            "healthy",
            "none of the leads",
            {"pairs_taken_for_short": "the element is shorted", "some_lead_blamed": "1"},
        ),
        (
            "shorted element",
            "1",
            (LOW,) * 6,
            "the element is shorted",
            "none of the leads",
            {"no_short": "healthy", "some_lead_blamed": "1"},
        ),
        (
            "open element",
            "1",
            (LOW, NONE, NONE, NONE, NONE, LOW),
            "the element is open",
            "none of the leads",
            {"lead_blamed": "a lead is open", "some_lead_blamed": "1"},
        ),
        (
            "open lead",
            "3",
            (LOW, NONE, HIGH, NONE, HIGH, NONE),
            "a lead is open",
            "3",
            {"element_blamed": "the element is open", "lead_that_still_reads": "1"},
        ),
    ],
)
def test_faults_of_four_leads(state, dead, readings, finding, lost, slips):
    values, made = work("four-lead-faults", state=state, dead=dead, **FOUR_LEADS)
    pairs = [f"r_{x}_{y}" for x, y in combinations("1234", 2)]
    assert tuple(values[name].replace("\u00a0", " ") for name in pairs) == readings
    assert (values["finding"], values["lost"]) == (finding, lost)
    sheet = WORKSHEETS["four-lead-faults"]
    assert {name: found[sheet.slips[name].step] for name, found in made.items() if found} == slips


# S2.5. Type K at 560 °C, head 78 °C, panel 24 °C. NIST Monograph 175: K gives 23.203, 3.184 and 0.960 mV there,
# J gives 4.079 and 1.226 mV at head and panel; sums by hand, turned into degrees by the library thermocouple-its90.
KILN = {"kind": "K", "hot": 560.0, "head": 78.0, "panel": 24.0}
K, J = thermocouple_its90.get("K"), thermocouple_its90.get("J")


def test_copper_from_the_head_on():
    values, slips = work("copper-extension", **KILN)
    assert values["sensor"] == pytest.approx(20.019, abs=0.001)
    assert values["compensated"] == pytest.approx(20.979, abs=0.001)
    assert K.emf(values["indicated"]) == pytest.approx(20.979, abs=0.001)
    assert values["indicated"] == pytest.approx(507.8, abs=0.05)
    assert values["error"] == pytest.approx(-52.2, abs=0.05)
    assert slips["head_left_out"]["sensor"] == pytest.approx(23.203, abs=0.0005)
    assert slips["head_left_out"]["compensated"] == pytest.approx(24.163, abs=0.001)
    assert slips["counted_as_extension"]["error"] == pytest.approx(0.0, abs=1e-6)
    assert slips["panel_left_out"]["compensated"] == pytest.approx(20.019, abs=0.001)
    assert slips["true_less_shown"]["error"] == pytest.approx(52.2, abs=0.1)
    assert slips["head_alone"]["error"] == -78.0
    assert slips["degrees_subtracted"] is None  # type K is too straight to tell


# The library thermocouple-its90 for 195 - 53 = 142 °C.
def test_degrees_subtracted_shows_on_type_j():
    _, slips = work("copper-extension", kind="J", hot=195.0, head=53.0, panel=23.0)
    assert slips["degrees_subtracted"]["sensor"] == pytest.approx(J.emf(142.0), abs=1e-6)


def test_extension_crossed_at_both_ends():
    values, slips = work("crossed-extension", **KILN)
    assert values["cable"] == pytest.approx(-2.224, abs=0.0005)
    assert values["compensated"] == pytest.approx(20.019 - 2.224 + 0.960, abs=0.001)
    assert K.emf(values["indicated"]) == pytest.approx(20.019 - 2.224 + 0.960, abs=0.001)
    assert values["indicated"] == pytest.approx(455.6, abs=0.05)
    assert values["error"] == pytest.approx(-104.4, abs=0.05)
    assert slips["not_crossed"]["error"] == pytest.approx(0.0, abs=1e-6)
    assert slips["lost_once"]["error"] == pytest.approx(-52.2, abs=0.05)
    assert slips["panel_left_out"]["compensated"] == pytest.approx(17.795, abs=0.001)
    assert slips["true_less_shown"]["error"] == pytest.approx(104.4, abs=0.1)
    assert slips["twice_the_head"]["error"] == -156.0


def test_extension_of_another_letter():
    values, slips = work("extension-of-another-letter", letter="J", **KILN)
    assert values["cable"] == pytest.approx(2.853, abs=0.001)
    assert values["compensated"] == pytest.approx(23.833, abs=0.001)
    assert K.emf(values["indicated"]) == pytest.approx(23.833, abs=0.001)
    assert values["indicated"] == pytest.approx(574.8, abs=0.05)
    assert values["error"] == pytest.approx(14.8, abs=0.1)
    assert slips["right_letter"]["error"] == pytest.approx(0.0, abs=1e-6)
    assert slips["as_copper"]["error"] == pytest.approx(-52.2, abs=0.05)
    assert slips["cold_less_hot"]["cable"] == pytest.approx(-2.853, abs=0.001)
    assert slips["panel_left_out"]["compensated"] == pytest.approx(22.873, abs=0.001)
    assert slips["compensated_in_letter"]["compensated"] == pytest.approx(22.873 + 1.226, abs=0.001)
    assert slips["true_less_shown"]["error"] == pytest.approx(-14.8, abs=0.1)


# The three circuits above as a riddle, by hand: -52, -104 and 15 °C over 54 °C.
@pytest.mark.parametrize(
    ("fault", "shown", "quotient", "confused"),
    [
        ("copper cable", 508.0, -52 / 54, "once_taken_for_twice"),
        ("extension crossed at both ends", 456.0, -104 / 54, "twice_taken_for_once"),
        ("extension of type J", 575.0, 15 / 54, "high_taken_for_low"),
    ],
)
def test_which_cable_it_was(fault, shown, quotient, confused):
    values, slips = work("extension-fault", fault=fault, **KILN)
    assert (values["shown"], values["along_cable"], values["error"]) == (shown, 54.0, shown - 560.0)
    assert values["quotient"] == pytest.approx(quotient)
    assert values["cause"] == fault
    made = {slip for slip in slips if slip.endswith(("for_twice", "for_once", "for_low")) and slips[slip]}
    assert made == {confused}
    assert slips["head_as_difference"]["quotient"] == pytest.approx((shown - 560.0) / 78.0)
    assert slips["true_less_shown"]["error"] == 560.0 - shown


# The bank


@pytest.mark.parametrize("problem", PROBLEMS, ids=lambda problem: problem.id)
def test_problem_draws_well(problem):
    assert not list(check_draws(problem, 300))


def test_every_skill_of_the_strand_has_problems():
    counts = {
        skill: sum(problem.skill == skill for problem in PROBLEMS) for skill in ("S2.1", "S2.2", "S2.3", "S2.4", "S2.5")
    }
    assert min(counts.values()) >= 3


def draws(worksheet):
    """Some variants of every problem of a worksheet."""
    return [p.variant(seed) for p in PROBLEMS if p.worksheet.name == worksheet for seed in range(60)]


# The slope at the true temperature against the curve of IEC 60751 itself, and 0.385 Ω/°C as people use it.
@pytest.mark.parametrize("worksheet", ["two-wire-error", "three-wire-residual"])
def test_slope_and_rule_of_thumb_are_within_the_tolerance(worksheet):
    for variant in draws(worksheet):
        values, step = variant.values, variant.worksheet.steps["error"]
        exact = leads.reading_error(values["temperature"], values["ohms"], values["r0"])
        thumb = values["ohms"] / (0.00385 * values["r0"])
        assert values["error"] == pytest.approx(exact, abs=variant.tolerance(step))
        assert values["error"] == pytest.approx(thumb, abs=variant.tolerance(step))


def test_hidden_state_is_what_the_readings_tell():
    for variant in draws("three-leads-by-ohmmeter") + draws("four-leads-by-ohmmeter"):
        values = variant.values
        assert values["temperature"] == pytest.approx(values["true_temperature"], abs=0.05)
        assert values["element"] == pytest.approx(rtd.resistance(values["true_temperature"], values["r0"]), abs=0.02)
    for variant in draws("extension-fault"):
        assert variant.values["cause"] == variant.values["fault"]
