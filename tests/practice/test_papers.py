"""Papers in plain values: the code that leads back to the numbers, and what stands on a paper and on its key."""

from dataclasses import replace
from itertools import combinations

import pytest

from trainer.errors import NotFound, TrainerError
from trainer.practice.paper_items import paper_item
from trainer.practice.papers import (
    MOST_PROBLEMS,
    MOST_VERSIONS,
    Version,
    check_order,
    check_title,
    chosen,
    draw_version,
    draw_versions,
    key_of,
    paper_of,
    seed_of,
    variants_of,
)
from trainer.practice.version_codes import LARGEST_SEED, SIGNS, read_code, write_code

MIXED = ("brine-chiller-current", "retort-cooling-trace", "milk-silo-ohms", "canal-gate-excursions")


@pytest.fixture(scope="module")
def mixed(library):
    return [library.problems[name] for name in MIXED]


# Codes. A weighted sum modulo a prime above its number of places notices every wrong sign and every exchange of two,
# as that of ISBN-10 does (ISO 2108:1978).


@pytest.mark.parametrize(("seed", "version", "mark"), [(0, 1, 0), (17, 3, 500), (LARGEST_SEED, 100, 960)])
def test_a_code_tells_what_it_was_made_of(seed, version, mark):
    assert read_code(write_code(seed, version, mark)) == (seed, version, mark)


def test_every_wrong_sign_is_noticed():
    signs = write_code(40_321, 12, 77).replace("-", "")
    for place, sign in enumerate(signs):
        for other in set(SIGNS) - {sign}:
            with pytest.raises(TrainerError, match="slip in it"):
                read_code(signs[:place] + other + signs[place + 1 :])


def test_every_exchange_of_two_signs_is_noticed():
    signs = write_code(700_001, 29, 930).replace("-", "")
    exchanged = 0
    for first, second in combinations(range(len(signs)), 2):
        if signs[first] != signs[second]:
            typed = list(signs)
            typed[first], typed[second] = typed[second], typed[first]
            exchanged += 1
            with pytest.raises(TrainerError, match="slip in it"):
                read_code("".join(typed))
    assert exchanged > 20


def test_a_code_may_be_typed_carelessly():
    code = write_code(17, 3, 500)
    assert read_code(f"  {code.lower().replace('-', ' ')} ") == read_code(code.replace("-", "–")) == (17, 3, 500)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "9 letters and figures, not 0"),
        ("222-K25", "not 6"),
        ("222-K25-J60", "the sign 0"),
        ("O22K25J6E", "sign O"),
    ],
)
def test_what_is_no_code_is_told(typed, said):
    with pytest.raises(TrainerError, match=said):
        read_code(typed)


# Versions


def test_the_same_seed_and_number_give_the_same_paper(mixed):
    assert paper_of(draw_version(mixed, 17, 3)) == paper_of(draw_version(mixed, 17, 3))
    assert key_of(draw_version(mixed, 17, 3)) == key_of(draw_version(mixed, 17, 3))


def test_versions_differ_in_code_and_numbers(mixed):
    papers = [paper_of(version) for version in draw_versions(mixed, 12, 5)]
    assert len({paper.code for paper in papers}) == 12
    assert len({paper.items[0].text for paper in papers}) > 6
    assert [item.problem for item in papers[0].items] == list(MIXED)


def test_a_version_does_not_depend_on_how_many_are_printed(mixed):
    assert next(draw_versions(mixed, 1, 5)).code == next(draw_versions(mixed, 30, 5)).code


def test_a_code_leads_back_to_its_variants(mixed):
    version = draw_version(mixed, 811, 7)
    variants = variants_of(version.code.lower(), mixed)
    assert [variant.givens for variant in variants] == [variant.givens for variant in version.variants]
    assert [variant.seed for variant in variants] == [item.seed for item in key_of(version).items]
    assert variants[1].givens == mixed[1].variant(seed_of(811, 7, 2)).givens


def test_a_problem_twice_on_a_paper_has_two_sets_of_numbers(library):
    problem = library.problems["brine-chiller-current"]
    first, second = paper_of(draw_version([problem, problem], 1, 1)).items
    assert first.text != second.text


@pytest.mark.parametrize("change", ["order", "fewer", "range"])
def test_a_code_of_other_problems_is_refused(mixed, change):
    code = draw_version(mixed, 811, 7).code
    now = {
        "order": [*mixed[1:], mixed[0]],
        "fewer": mixed[:-1],
        "range": [replace(mixed[0], tolerances={"value": 0.123}), *mixed[1:]],
    }[change]
    with pytest.raises(TrainerError, match="before they were changed"):
        variants_of(code, now)


# What stands there. 4-20 mA over 0-250 kPa at 11.20 mA: (11.2 - 4) / 16 = 0.45 and 0.45 * 250 = 112.5 kPa by hand;
# with the live zero left in 11.2 / 20 = 0.56 and 140 kPa.


def test_a_key_has_values_formulas_and_what_slips_lead_to(booster):
    (item,) = key_of(draw_version([booster], 1, 1)).items
    fraction, value = item.steps
    assert (fraction.value, value.value) == ("0.450", "112.5\N{NO-BREAK SPACE}kPa")
    assert r"\frac{11.2 - 4" in fraction.numbers
    assert "S - S_0" in fraction.symbols
    slip = next(slip for slip in fraction.slips if slip.value == "0.560")
    assert slip.answer == "140.0\N{NO-BREAK SPACE}kPa"
    assert "20\N{NO-BREAK SPACE}mA" in slip.message  # numbers stand in the sentence


def test_a_paper_has_givens_units_and_tolerances(booster):
    (item,) = paper_of(draw_version([booster], 1, 1)).items
    assert item.text == "A meter reads 11.2\N{NO-BREAK SPACE}mA."
    assert [(each.value, each.unit) for each in item.givens][-1] == ("11.2", "mA")
    assert [step.unit for step in item.steps] == ["", "kPa"]
    assert item.steps[0].tolerance == "within 0.001"
    assert item.find == item.steps[-1].title


def test_the_decimal_sign_is_the_readers(booster):
    version = draw_version([booster], 1, 1)
    assert "11,2" in paper_of(version, decimal=",").items[0].text
    assert key_of(version, decimal=",").items[0].steps[1].value.startswith("112,5")


def _disguised(kept):
    """The same snapshot with other answers, as far as boxes do not count them."""
    steps = tuple(
        replace(step, value=step.value[::-1] if isinstance(step.value, tuple) else "hidden", formula="0", rule="hidden")
        for step in kept.steps
    )
    givens = tuple(replace(given, value="hidden") if given.hidden else given for given in kept.givens)
    return replace(kept, steps=steps, slips=(), givens=givens)


def test_a_paper_tells_no_answer(library):
    """With other answers behind it, it is the same paper."""
    checked = 0
    for problem in library.problems.values():
        kept = Version(1, 1, (problem.variant(4),)).snapshots[0]
        assert paper_item(kept, 1, ".") == paper_item(_disguised(kept), 1, ".")
        checked += _disguised(kept) != kept
    assert checked == len(library.problems)


def test_states_over_time_have_a_column_for_each_time(library):
    item = paper_of(draw_version([library.problems["retort-cooling-trace"]], 1, 1)).items[0]
    states = next(step for step in item.steps if step.kind == "states")
    assert states.options == ("normal", "alarm")
    assert len(states.labels) >= 4
    assert all(label.endswith("s") for label in states.labels)
    assert item.figure is not None


# Orders


@pytest.mark.parametrize("versions", [0, -1, MOST_VERSIONS + 1, 1000])
def test_a_number_of_versions_out_of_bounds_is_refused(booster, versions):
    with pytest.raises(TrainerError, match=f"1 to {MOST_VERSIONS}, not {versions}"):
        draw_versions([booster], versions, 1)


@pytest.mark.parametrize("seed", [-1, LARGEST_SEED + 1])
def test_a_seed_out_of_bounds_is_refused(booster, seed):
    with pytest.raises(TrainerError, match="seed of the set"):
        check_order([booster], 1, seed)


def test_a_paper_holds_one_problem_to_sixty(booster):
    check_order([booster] * MOST_PROBLEMS, 1, 1)
    with pytest.raises(TrainerError, match="at least one problem"):
        check_order([], 1, 1)
    with pytest.raises(TrainerError, match="at most 60 problems, not 61"):
        check_order([booster] * 61, 1, 1)


def test_problems_are_chosen_by_name_and_skill(library):
    found = chosen(library, ["milk-silo-ohms"], ["S3.2"], ["F"])
    assert found[0].id == "milk-silo-ohms"
    assert len(found) > 1
    assert {(problem.skill, problem.level) for problem in found[1:]} == {("S3.2", "F")}


def test_a_problem_chosen_by_name_is_not_repeated_by_its_skill(library):
    found = chosen(library, ["brine-chiller-current"], ["S3.2"])
    assert [problem.id for problem in found].count("brine-chiller-current") == 1


def test_what_there_is_not_cannot_be_chosen(library):
    with pytest.raises(NotFound, match="did you mean milk-silo-ohms"):
        chosen(library, ["milk-silo-ohm"])
    with pytest.raises(NotFound, match=r"skill S99\.1"):
        chosen(library, [], ["S99.1"])


def test_a_title_is_one_line_that_fits():
    assert check_title("  Week\n 3 ") == "Week 3"
    assert check_title("") == "Signal conditioning problems"
    with pytest.raises(TrainerError, match="at most 80 characters, not 81"):
        check_title("x" * 81)
