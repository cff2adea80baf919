"""The public JSON of a variant and of the marking of typed texts; its keys are kept stable."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any

from trainer.errors import NotFound, TrainerError
from trainer.grading.entries import read_entry
from trainer.grading.marking import Earlier, basis, mark
from trainer.worksheets.problem import Problem, Variant
from trainer.worksheets.snapshot import KeptStep, Snapshot, snapshot

LARGEST_SEED = 2**53


def problem_of(problems: Mapping[str, Problem], name: str) -> Problem:
    """The problem of an id.

    Raises
    ------
    NotFound
        With the nearest id there is.
    """
    if name not in problems:
        near = get_close_matches(name, problems, 1)
        raise NotFound(f"no problem is called {name[:80]}" + (f"; did you mean {near[0]}?" if near else ""))
    return problems[name]


def summary(problem: Problem) -> dict[str, Any]:
    """A problem as a row of a list."""
    return {
        "id": problem.id,
        "strand": strand_of(problem.skill),
        "skill": problem.skill,
        "level": problem.level,
        "title": problem.title,
        "worksheet": problem.worksheet.name,
    }


def strand_of(skill: str) -> str:
    """The strand of a skill: S3 of S3.2."""
    return skill.partition(".")[0]


def statement(variant: Variant) -> dict[str, Any]:
    """A variant with its true values, for checking the trainer from outside."""
    kept = snapshot(variant)
    return {
        "problem": kept.problem,
        "seed": kept.seed,
        "worksheet": kept.worksheet,
        "text": kept.text(),
        "givens": {given.name: {"value": given.value, "unit": given.unit} for given in kept.shown_givens},
        "steps": [_step(step) for step in kept.steps],
        "slips": [
            {"step": slip.step, "name": slip.name, "message": kept.filled(slip.message), "values": dict(slip.values)}
            for slip in kept.slips
        ],
    }


def _step(step: KeptStep) -> dict[str, Any]:
    tolerance = step.tolerance if step.kind in ("number", "row") else None
    return {
        "name": step.name,
        "title": step.title,
        "unit": step.unit,
        "value": step.value,
        "tolerance": tolerance,
    }


def mark_texts(variant: Variant, texts: Mapping[str, str], decimal: str = ".") -> dict[str, Any]:
    """Mark typed texts in the order of the steps, each after the ones before it.

    Raises
    ------
    TrainerError
        A text is given for a step that there is not.
    """
    kept = snapshot(variant)
    _check_names(kept, texts)
    earlier: dict[str, Earlier] = {}
    steps: dict[str, Any] = {}
    for step in kept.steps:
        if step.name in texts:
            half = not any(step["verdict"] == "unit" and step["mark"] for step in steps.values())
            against = basis(kept, step.name, earlier, variant.worksheet, decimal, half_for_unit=half)
            given = mark(texts[step.name], against)
            steps[step.name] = {
                "verdict": given.verdict,
                "mark": given.mark if given.mark is not None else 0,
                "message": given.message,
                "slip": given.slip,
            }
            typed = read_entry(texts[step.name], step.kind, step.unit, step.options, decimal)
            if given.counts and not typed.foreign:
                earlier[step.name] = Earlier(typed.value, given.verdict == "right")
    right = kept.answer.name in steps and all(step["verdict"] == "right" for step in steps.values())
    return {"steps": steps, "right": right}


def _check_names(kept: Snapshot, texts: Mapping[str, str]) -> None:
    names = [step.name for step in kept.steps]
    for name in texts:
        if name not in names:
            raise TrainerError(f"{kept.problem} has no step {name[:80]}; its steps are {', '.join(names)}")
