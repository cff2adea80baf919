"""Every problem over many seeds: drawn the same again, equally hard, kept whole, marked as it should be.

The rules are those that make the variants of one problem equally hard; they are computed here anew rather than
asked of the code that refuses draws. TRAINER_TEST_ALL=1 has that code look at 2000 seeds of each problem as well.
"""

import json
import os
import random
from graphlib import TopologicalSorter
from itertools import combinations, pairwise

import pytest

from trainer import units
from trainer.content.formulas import mathml
from trainer.content.library import SEEDS_CHECKED, check_draws, read_library
from trainer.grading.marking import Earlier, basis, mark
from trainer.units import UNITS
from trainer.worksheets.kinds import alike, is_plain
from trainer.worksheets.snapshot import Snapshot, snapshot
from trainer.worksheets.solution import in_symbols, with_numbers

ALL = os.environ.get("TRAINER_TEST_ALL") == "1"
DRAWN, MARKED, WRITTEN = (100, 8, 4) if ALL else (60, 4, 2)
CHECKED = 2000 if ALL else SEEDS_CHECKED
PROBLEMS = read_library().problems

every_problem = pytest.mark.parametrize("problem", [pytest.param(each, id=key) for key, each in PROBLEMS.items()])


@every_problem
def test_draws_are_sound_and_equally_hard(problem):
    faults, figures = set(), {}
    for seed in range(DRAWN):
        variant = problem.variant(seed)
        faults.update(_unsound(variant))
        faults.update(_untold(variant))
        for step in variant.worksheet.steps.values():
            if step.kind == "number":
                figures.setdefault(step.name, set()).add(_figures(variant, step))
    faults.update(
        f"{name}: {min(counts)} to {max(counts)} figures to type"
        for name, counts in figures.items()
        if max(counts) - min(counts) > 1
    )
    assert not faults


@every_problem
def test_few_draws_are_refused(problem):
    first = [problem.attempt_draw(seed, random.Random(seed)) for seed in range(DRAWN)]
    assert sum(variant is None or bool(variant.fault()) for variant in first) <= 0.3 * DRAWN  # of few: 20 % and chance
    assert list(check_draws(problem, CHECKED)) == []


def _unsound(variant):
    """Values that cannot be, degenerate draws, and values outside what the problem itself says."""
    yield from (f"{name} is {value}" for name, value in variant.values.items() if not is_plain(value))
    for low, high in (("lower", "upper"), ("signal_low", "signal_high"), ("raw_low", "raw_high")):
        if low in variant.givens and variant.givens[low] == variant.givens[high]:
            yield f"{low} and {high} are equal"
    for step in variant.worksheet.steps.values():
        value = variant.values[step.name]
        if step.possible and not step.possible[0] < value < step.possible[1]:
            yield f"{step.name} is not possible itself"
    for name, (low, high) in variant.problem.keep.items():
        if not low <= variant.values[name] <= high:
            yield f"{name} is outside {low} to {high}"


def _untold(variant):
    """Slips within 2 tolerances of the right value, or of each other within 1, where a learner would type them."""
    for step in variant.worksheet.steps.values():
        at_the_end = step is variant.worksheet.answer and step.kind == "number"
        tolerance = variant.tolerance(step) if step.kind in ("number", "row") else 0.0
        shown = {}
        for slip in variant.worksheet.slips.values():
            values = variant.worksheet.solve_slip(slip, variant.givens) or {}
            right = variant.values[step.name]
            carried = at_the_end and step.name in values and values[step.name] != right
            if not slip.coincides and step.name in values and (slip.step == step.name or carried):
                shown[slip.name] = values[step.name]
        for name, value in shown.items():
            if alike(step.kind, value, variant.values[step.name], 2 * tolerance):
                yield f"{name} hides behind the right {step.name}"
        for one, other in combinations(shown, 2) if step.kind != "choice" else ():
            if alike(step.kind, shown[one], shown[other], tolerance):
                yield f"{one} and {other} give the same {step.name}"


def _figures(variant, step):
    decimals = snapshot(variant).step(step.name).decimals if step.decimals is None else step.decimals
    return len(f"{abs(variant.values[step.name]):.{decimals}f}".replace(".", ""))


@every_problem
def test_a_seed_draws_the_same_for_ever(problem):
    for seed in (0, 7, 2**31 + 4, 2**53):
        first, again = problem.variant(seed), problem.variant(seed)
        drawn = problem.attempt_draw(seed, random.Random(seed))
        assert drawn is None or drawn.fault() or drawn.values == first.values
        assert (first.givens, first.values) == (again.givens, again.values)
    assert len({json.dumps(problem.variant(seed).givens) for seed in range(40)}) > 3


@every_problem
def test_a_snapshot_survives_json_and_shows_well(problem):
    for seed in range(MARKED):
        kept = snapshot(problem.variant(seed))
        assert Snapshot.from_json(json.loads(json.dumps(kept.to_json(), allow_nan=False))) == kept
        assert all(node.unit in UNITS for node in (*kept.givens, *kept.steps))
        assert all(given.decimals <= 6 for given in kept.shown_givens)
        assert not set("{}") & set(kept.text())
        numbers = [step for step in kept.steps if step.kind == "number"]
        assert all(step.tolerance > 0 or step.value == round(step.value) for step in numbers)


@every_problem
def test_formulas_render(problem):
    for seed in range(WRITTEN):
        kept = snapshot(problem.variant(seed))
        for step in kept.steps:
            for latex in (in_symbols(kept, step), with_numbers(kept, step), with_numbers(kept, step, ",")):
                assert not latex or mathml(latex).startswith("<math>")


@every_problem
def test_right_values_are_right_and_slips_are_named(problem):
    coincide = {slip.name for slip in problem.worksheet.slips.values() if slip.coincides}
    for seed in range(MARKED):
        kept = snapshot(problem.variant(seed))
        for step in kept.steps:
            verdict = mark(_text(step, step.value), basis(kept, step.name))
            assert (verdict.verdict, verdict.mark) == ("right", 1.0), (seed, step.name, step.value)
        for slip in kept.slips:
            if slip.name not in coincide:
                _check_named(kept, slip, coincide)


def _check_named(kept, slip, coincide):
    """At its own step and at the answer a slip has its name, but where several have one choice to share."""
    right_before = {step.name: Earlier(step.value, True) for step in kept.steps}
    for name in {slip.step, kept.answer.name} & set(slip.values):
        step = kept.step(name)
        if step.kind == "number" and slip.values[name] and not 1e-30 < abs(slip.values[name]) < 1e30:  # not to be typed
            continue
        if step.kind == "order" or (name != slip.step and step.kind != "number"):
            continue
        alone = name == slip.step  # the steps before were right, so only slips of this one are left
        others = [each for each in kept.slips if each is not slip and name in each.values]
        tolerance = step.tolerance
        shared = any(
            alike(step.kind, other.values[name], slip.values[name], tolerance)
            for other in others
            if (not alone or other.step == name) and (step.kind == "choice" or other.name in coincide)
        )
        found = mark(_text(step, slip.values[name]), basis(kept, name, right_before if alone else None))
        wanted = ("wrong", None) if shared else ("slip", slip.name)
        assert (found.verdict, found.slip, found.mark) == (*wanted, 0.0), (kept.seed, name)


@every_problem
def test_every_spelling_and_prefix_of_a_right_number_is_right(problem):
    for seed in range(WRITTEN):
        kept = snapshot(problem.variant(seed))
        for step in kept.steps:
            if step.kind == "number":
                point, comma = basis(kept, step.name), basis(kept, step.name, decimal=",")
                for text in _spellings(step):
                    assert mark(text, point).verdict == "right", text
                    assert mark(text.replace(".", ","), comma).verdict == "right", text


def _spellings(step):
    """The number with and without its unit, in every spelling of it, and with other prefixes."""
    plain = _text(step, step.value)
    digits, power = f"{step.value:.10e}".split("e")
    yield from (plain, plain.replace("-", "\N{MINUS SIGN}"), plain.replace("-", "\N{EN DASH}"), f"  {plain} ")
    yield f"{digits}×10^{int(power)} {_typed_unit(step.unit)}"
    yield f"{digits}e{power}"
    yield units.format_number(step.value, step.decimals)  # as the worked solution has it
    if step.value > 0:
        yield f"+{plain}"
    own = UNITS[step.unit]
    for spelling, meanings in units._spellings.items():
        if meanings.get(own.dimension) is own and spelling and not spelling[0].isdigit():
            yield f"{plain} {spelling}"
            yield f"{plain}{spelling}" if spelling[0].casefold() not in "ex" else plain
    for other in UNITS.values():
        if other.name and units.same_but_prefix(own, other):
            yield f"{units.convert(step.value, own, other)!r} {_typed_unit(other.name)}"


def _typed_unit(name):
    return name.removesuffix(" (difference)")


def _text(step, value):
    """A value as a learner could type it, with every digit."""
    if step.kind == "number":
        return repr(float(value))
    if step.kind == "row":
        return "; ".join(repr(float(each)) for each in value)
    if step.kind == "order":
        return ";".join(_one_order(step.options, value))
    return value if isinstance(value, str) else ";".join(value)


def _one_order(options, chains):
    before = {option: set() for option in options}
    for chain in chains:
        for earlier, later in pairwise(chain):
            before[later].add(earlier)
    return TopologicalSorter(before).static_order()
