"""Worksheets of strand S10, on draws worked by hand and on rules of the trade that are stated here anew."""

from itertools import pairwise

import pytest

from trainer.content.library import check_draws, read_library
from trainer.worksheets.catalog import records, work_orders
from trainer.worksheets.kinds import same

LIBRARY = read_library().problems
PROBLEMS = [problem for problem in LIBRARY.values() if problem.bank in ("safety.toml", "records.toml")]
JOBS = [problem for problem in PROBLEMS if problem.worksheet.name == "work-order"]
RECORDS = [problem for problem in PROBLEMS if problem.worksheet.name == "record-comparison"]


def work(problem, **drawn):
    """All givens and steps, and for each slip its value at its own step."""
    sheet = LIBRARY[problem].worksheet
    givens = dict(drawn)
    for given in sheet.givens.values():
        if given.prepare and given.name not in givens:
            givens[given.name] = given.prepare(givens)
    slips = {slip.name: (slip, sheet.solve_slip(slip, givens)) for slip in sheet.slips.values()}
    return sheet.solve(givens), {name: values and values[slip.step] for name, (slip, values) in slips.items()}


def test_every_skill_has_three_problems():
    skills = [problem.skill for problem in PROBLEMS]
    assert all(skills.count(skill) >= 3 for skill in ("S10.2", "S10.3", "S10.4", "S10.5"))


@pytest.mark.parametrize("problem", PROBLEMS, ids=lambda problem: problem.id)
def test_draws_are_rarely_refused(problem):
    assert list(check_draws(problem, 200)) == []


# S10.2. Which meaning differs, read off the two lists that a learner sees; ranks: common practice.


@pytest.mark.parametrize("problem", RECORDS, ids=lambda problem: problem.id)
def test_settings_that_differ_are_those_with_another_meaning(problem):
    seen = set()
    for seed in range(150):
        values = problem.variant(seed).values
        shown = {
            name: (values[f"approved_{place}"], values[f"found_{place}"]) for place, name in enumerate(records.SETTINGS)
        }
        other = {name for (name, pair), text in zip(shown.items(), values["changed"], strict=True) if pair[1] == text}
        assert set(values["differing"]) == other
        assert 2 <= len(other) <= 4
        written_anew = [name for name, (record, device) in shown.items() if record != device and name not in other]
        assert 1 <= len(written_anew) <= 2
        seen.add(values["differing"])
    assert len(seen) > 30  # no answer to be remembered


@pytest.mark.parametrize(
    ("differing", "gravest"),
    [
        (("range", "alarm relay", "tag plate"), "alarm relay"),
        (("on-delay", "sensor and curve"), "on-delay"),
        (("decimals shown", "wire mode"), "wire mode"),
        (("set point", "fault action", "output"), "fault action"),
    ],
)
def test_what_hides_a_fault_ranks_first(differing, gravest):
    assert records.gravest(differing) == gravest


# The approved record rules, and only a signed change changes it: common practice.
@pytest.mark.parametrize(
    ("note", "action"),
    [
        (records.SIGNED, records.REISSUE),
        (records.PENCIL, records.SET_BACK),
        (records.NOTHING, records.SET_BACK),
        (records.SHIFT, records.REPORT),
    ],
)
def test_what_authorizes_a_change(note, action):
    assert records.what_to_do(note) == action
    assert action != records.FIT_RECORD


# S10.3. Links that must never be exchanged and those that may: common practice of isolation and bypass.

NEVER = [("lock", "prove"), ("prove", "work"), ("bypass", "work"), ("manual", "work"), ("permit", "work")]
NEVER += [("work", "restore"), ("restore", "test"), ("clear", "unbypass"), ("unbypass", "close")]


def _with_letters(values):
    roles = work_orders.dealt(values["work"], values["deal"])
    return dict(zip(roles, work_orders.LETTERS, strict=True))


@pytest.mark.parametrize("problem", JOBS, ids=lambda problem: problem.id)
def test_a_job_keeps_the_links_that_matter(problem):
    met = set()
    for seed in range(200):
        values = problem.variant(seed).values
        letters = _with_letters(values)
        full = [letters[role] for role, _ in values["work"] if role in letters]
        assert same("order", full, values["order"], 0.0)
        for early, late in NEVER:
            if early in letters and late in letters:
                met.add((early, late))
                wrong = [letter for letter in full if letter != letters[late]]
                wrong.insert(wrong.index(letters[early]), letters[late])
                assert not same("order", wrong, values["order"], 0.0), (seed, early, late)
    live = values["needs_signal"] == "yes"
    assert met == set(NEVER) - ({("lock", "prove"), ("prove", "work")} if live else set())


@pytest.mark.parametrize("problem", JOBS, ids=lambda problem: problem.id)
def test_operator_and_permit_may_come_in_either_order(problem):
    met = 0
    for seed in range(200):
        values = problem.variant(seed).values
        letters = _with_letters(values)
        if not {"operator", "permit"} <= set(letters):
            continue
        rest = [letters[role] for role, _ in values["work"] if role in letters and role not in ("operator", "permit")]
        first = [letters["sheet"]] if "sheet" in letters else []
        rest = [letter for letter in rest if letter not in first]
        for two in (("operator", "permit"), ("permit", "operator")):
            assert same("order", [*first, *(letters[role] for role in two), *rest], values["order"], 0.0)
        met += 1
    assert met > 20


def test_live_jobs_are_not_proved_dead_and_dead_jobs_are():
    live = {problem.id for problem in JOBS if problem.variant(0).values["needs_signal"] == "yes"}
    assert live == {"cold-store-proof-test", "treatment-works-loop-check"}
    for problem in JOBS:
        roles = [role for role, _ in problem.variant(0).givens["work"]]
        assert ("prove" in roles) == ("lock" in roles) == (problem.id not in live)
        assert problem.variant(0).values["state"] == (work_orders.LIVE if problem.id in live else work_orders.DEAD)


def test_the_letters_cannot_be_remembered():
    for problem in JOBS:
        assert len({problem.variant(seed).values["order"] for seed in range(60)}) > 50


def test_a_bypass_left_in_is_named():
    problem = next(problem for problem in JOBS if problem.id == "kiln-sensor-change")
    slip = problem.worksheet.slips["bypass_left_in"]
    variants = (problem.variant(seed) for seed in range(100))
    variant = next(each for each in variants if {"unbypass", "close"} <= set(_with_letters(each.values)))
    letters = _with_letters(variant.values)
    value = problem.worksheet.solve_slip(slip, variant.givens)["order"]
    assert value == ((letters["close"], letters["unbypass"]),)


# S10.4. 122 to 128 °C at 0.8 °C/min, by hand: 6/0.8 = 7.5 min = 450 s; 450 - 25 - 45 - 150 = 230 s.
def test_time_that_is_left_for_a_person():
    drawn = {"set_point": 122.0, "limit": 128.0, "rate": 0.8, "delay": 25.0, "lag": 45.0}
    values, slips = work("steam-retort-time", **drawn, response=150.0)
    assert (values["available"], values["left"]) == (pytest.approx(450.0), pytest.approx(230.0))
    assert values["verdict"].startswith("an alarm can serve")
    assert slips["minutes"] == pytest.approx(7.5)
    assert slips["delay_left_out"] == pytest.approx(255.0)
    assert slips["lag_left_out"] == pytest.approx(275.0)
    assert slips["response_left_out"] == pytest.approx(380.0)
    assert slips["delays_added"] == pytest.approx(370.0)
    assert slips["no_time_and_still_an_alarm"] is None
    values, slips = work("steam-retort-time", **drawn, response=480.0)
    assert values["left"] == pytest.approx(-100.0)
    assert values["verdict"].startswith("no alarm can serve")
    assert slips["no_time_and_still_an_alarm"].startswith("an alarm can serve")


# Judged by the trade's own reasoning: common practice; a boiler limit is statutory, a divert valve regulated.
@pytest.mark.parametrize(
    ("problem", "words", "verdict"),
    [
        ("heat-and-steam-cases", "hot-water boiler", "a function set by law"),
        ("heat-and-steam-cases", "platen", "a trip"),
        ("heat-and-steam-cases", "baker on shift", "an alarm"),
        ("heat-and-steam-cases", "wire it to something", "a question"),
        ("heat-and-steam-cases", "doorman", "a question"),
        ("cold-and-food-cases", "hold tube", "a function set by law"),
        ("cold-and-food-cases", "canteen", "a trip"),
        ("cold-and-food-cases", "guard is there day and night", "an alarm"),
        ("water-and-gas-cases", "gas flare", "a function set by law"),
        ("water-and-gas-cases", "Chlorine", "a trip"),
        ("water-and-gas-cases", "second pump", "an alarm"),
        ("water-and-gas-cases", "empty terminal", "a question"),
    ],
)
def test_cases_are_judged_as_the_trade_does(problem, words, verdict):
    variants = (LIBRARY[problem].variant(seed).values for seed in range(300))
    found = next(values for values in variants if words in values["case"])
    assert found["verdict"].startswith(verdict)


@pytest.mark.parametrize("problem", ["heat-and-steam-cases", "cold-and-food-cases", "water-and-gas-cases"])
def test_ten_cases_or_more_and_every_verdict_among_them(problem):
    drawn = [LIBRARY[problem].variant(seed).values for seed in range(300)]
    assert len({values["case"] for values in drawn}) >= 10
    assert {values["verdict"] for values in drawn} == set(LIBRARY[problem].worksheet.answer.options)


# S10.5. Worked by hand from the comparison of IEC 60079-25: 83 - 5 = 78 nF over 200 nF/km is 390 m,
# 4.2 - 0.01 = 4.19 mH over 1.0 mH/km is 4190 m; without Ci 415 m, with Ci added 440 m.
def test_longest_cable_of_a_barrier():
    values, slips = work("biogas-barrier-cable", c_o=83.0, l_o=4.2, c_i=5.0, l_i=0.01, c_c=200.0, l_c=1.0)
    assert values["share"] == 1.0
    assert values["by_capacitance"] == pytest.approx(390.0)
    assert values["by_inductance"] == pytest.approx(4190.0)
    assert (values["length"], values["decisive"]) == (390, "its capacitance")
    assert slips["own_capacitance_ignored"] == pytest.approx(415.0)
    assert slips["own_capacitance_added"] == pytest.approx(440.0)
    assert slips["capacitance_doubled"] == pytest.approx(195.0)
    assert slips["longer_taken"] == 4190
    assert slips["halved_without_need"] == 0.5
    assert slips["halving_forgotten"] is None


# Both lumped: 5 nF is 6 % of 83 nF, 0.1 mH 2.4 % of 4.2 mH; 41.5 - 5 = 36.5 nF, 182.5 m, rounded down.
def test_halved_where_both_are_lumped():
    values, slips = work("grain-elevator-barrier-cable", c_o=83.0, l_o=4.2, c_i=5.0, l_i=0.1, c_c=200.0, l_c=1.0)
    assert values["share"] == 0.5
    assert values["length"] == 182
    assert values["by_inductance"] == pytest.approx(2000.0)
    assert slips["halving_forgotten"] == 1.0
    assert slips["own_inductance_added"] == pytest.approx(2200.0)


# 0.398 mH over 0.8 mH/km is 497.5 m; 112 nF over 110 nF/km is 1018.2 m.
def test_inductance_can_be_the_shorter_one():
    values, _ = work("solvent-store-barrier-cable", c_o=120.0, l_o=0.4, c_i=8.0, l_i=0.002, c_c=110.0, l_c=0.8)
    assert values["by_capacitance"] == pytest.approx(1018.18, abs=0.01)
    assert (values["length"], values["decisive"]) == (497, "its inductance")


ENTITY = {"u_o": 28.0, "i_o": 93.0, "p_o": 0.65, "c_o": 83.0, "l_o": 4.2}
ENTITY |= {"c_i": 5.0, "l_i": 0.01, "c_c": 200.0, "l_c": 1.0}


# By hand: 5 + 200 × 0.4 = 85 nF against 83; 0.01 + 0.4 = 0.41 mH against 4.2; 28 V against 24, 0.65 W against 0.6.
@pytest.mark.parametrize(
    ("withstands", "length", "failing"),
    [
        ((30.0, 100.0, 0.75), 390.0, ("none of them",)),
        ((30.0, 100.0, 0.75), 400.0, ("capacitance",)),
        ((28.0, 93.0, 0.65), 100.0, ("none of them",)),
        ((24.0, 100.0, 0.75), 100.0, ("voltage",)),
        ((30.0, 90.0, 0.6), 400.0, ("current", "power", "capacitance")),
        ((30.0, 100.0, 0.75), 4200.0, ("capacitance", "inductance")),
    ],
)
def test_five_lines_compared(withstands, length, failing):
    u_i, i_i, p_i = withstands
    values, slips = work("spirit-tank-entity", **ENTITY, u_i=u_i, i_i=i_i, p_i=p_i, length=length)
    assert values["failing"] == failing
    assert values["verdict"] == ("by these numbers it may" if failing == ("none of them",) else "it may not")
    assert values["capacitance"] == pytest.approx(5.0 + 0.2 * length)
    assert slips["own_capacitance_left_out"] == pytest.approx(0.2 * length)
    assert slips["doubled_inductance"] == pytest.approx(0.01 + 0.002 * length)


def test_orders_shown_by_chains_hold_together():
    for problem in JOBS:
        for seed in range(50):
            values = problem.variant(seed).values
            letters = _with_letters(values)
            place = {letters[role]: index for index, (role, _) in enumerate(values["work"]) if role in letters}
            for chain in values["order"]:
                assert all(place[a] < place[b] for a, b in pairwise(chain))
            assert len(place) == 7
