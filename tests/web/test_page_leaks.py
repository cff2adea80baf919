"""An open sheet tells nothing of its answers.

The check is one of non-interference: in what is kept of the attempt, every true value, slip, formula and hidden given
is put aside for another one. If page, figure and headers stay the same to the byte, they cannot have held any of it,
and no number that happens to be the same as a given can hide a leak. OWASP ASVS 5.0.0, V15.3.1.
"""

from copy import deepcopy
from itertools import cycle
from typing import Any

import pytest
from web_visitors import BRINE, attempt_of, right, services_of, snapshot_of, start_with_seed, without_tokens

from trainer.figures import THEMES
from trainer.practice.sheet import MODES
from trainer.storage.attempts import get_attempt

SEEDS = (1_234_567_891, 1_987_654_321)  # so long that no number on a page holds one by chance


def other(kind: str, value: Any, options: list[str]) -> Any:
    """A value of the same kind that differs."""
    if kind == "number":
        return value * 1.37 + 11.3
    if kind == "row":
        return [number * 1.37 + 11.3 for number in value]
    if kind == "order":
        return [list(reversed(chain)) for chain in value]
    turned = dict(zip(options, [*options[1:], *options[:1]], strict=True))
    turned |= {"": options[0]}  # a slip may lead to no choice at all
    return turned[value] if kind == "choice" else [turned[each] for each in value]


def disguise(kept: dict[str, Any], known: int = 0) -> dict[str, Any]:
    """The same snapshot with other answers, but for the first steps ``known``."""
    changed = deepcopy(kept)
    changed["seed"] += 1
    hidden = {step["name"]: step for step in changed["steps"][known:]}
    for step in hidden.values():
        step["value"] = other(step["kind"], step["value"], step["options"])
        step["formula"], step["rounding"] = "0", 77.7
    for slip in changed["slips"]:
        for name in slip["values"].keys() & hidden.keys():
            slip["values"][name] = other(hidden[name]["kind"], slip["values"][name], hidden[name]["options"])
    for given in changed["givens"]:
        if given["hidden"]:
            given["value"] = "hidden"
    return changed


def keep_disguised(app, sheet: str, known: int = 0) -> None:
    with services_of(app).database.writing() as session:
        attempt = get_attempt(session, attempt_of(sheet))
        attempt.seed += 1
        attempt.snapshot = disguise(attempt.snapshot, known)


def seen(visitor, sheet: str, theme: str) -> list[str]:
    """All that an open sheet gives: page, figure, headers."""
    told = []
    for address in (sheet, f"{sheet}/figure/open-{theme}.svg"):
        answer = visitor.get(address)
        headers = [f"{name}: {value}" for name, value in answer.headers if name not in ("Date", "Set-Cookie")]
        told += [str(answer.status_code), *headers, without_tokens(answer.get_data(as_text=True))]
    return told


@pytest.mark.parametrize(("mode", "seed"), [*zip(MODES, cycle(SEEDS), strict=False), ("guided", SEEDS[1])])
def test_no_open_sheet_depends_on_its_answers(app, visitor, library, mode, seed):
    guest, themes = visitor.become_guest(), list(THEMES)
    for number, problem in enumerate(library.problems):
        sheet = start_with_seed(app, guest, problem, mode, seed)
        theme = themes[(number + seed) % len(themes)]
        before = seen(visitor, sheet, theme)
        assert before[0] == "200", problem
        assert not any(str(seed) in text for text in before), problem
        keep_disguised(app, sheet)
        assert seen(visitor, sheet, theme) == before, problem


def test_after_a_wrong_first_step_the_next_ones_stay_closed(app, visitor, library):
    guest = visitor.become_guest()
    one_of_each = {problem.worksheet.name: name for name, problem in library.problems.items()}
    for problem in one_of_each.values():
        sheet = start_with_seed(app, guest, problem, "guided", SEEDS[0])
        first = snapshot_of(app, sheet).steps[0]
        if first.kind != "number":
            continue
        visitor.enter(sheet, first.name, "987654.3")
        before = seen(visitor, sheet, "light")
        keep_disguised(app, sheet, known=1)
        assert seen(visitor, sheet, "light") == before, problem


def test_a_solution_does_depend_on_its_answers(app, visitor):
    """So the check above can fail."""
    sheet = visitor.start()
    visitor.post(f"{sheet}/solution")
    before = visitor.page(f"{sheet}/solution")
    assert right(snapshot_of(app, sheet), "value") in before
    keep_disguised(app, sheet)
    assert visitor.page(f"{sheet}/solution") != before


@pytest.mark.parametrize("theme", list(THEMES))
def test_the_solved_figure_waits_for_the_solution(app, visitor, theme):
    sheet = visitor.start()
    address = f"{sheet}/figure/solved-{theme}.svg"
    assert visitor.get(address).status_code == 404
    for step in ("fraction", "value"):
        visitor.enter(sheet, step, right(snapshot_of(app, sheet), step))
    assert visitor.get(address).status_code == 404
    visitor.post(f"{sheet}/solution")
    assert visitor.get(address).mimetype == "image/svg+xml"


def test_the_solution_sends_back_to_the_sheet_until_it_is_opened(visitor):
    sheet = visitor.start()
    answer = visitor.get(f"{sheet}/solution")
    assert (answer.status_code, answer.location) == (303, sheet)


def test_a_worked_example_is_never_a_problem_to_be_met(app, visitor, library):
    """Examples draw from seeds above those of learners."""
    from trainer.practice.attempts import SEEDS as LEARNERS
    from trainer.web.practice import EXAMPLES, example_of

    problem = library.problems[BRINE]
    with app.app_context():
        assert min(example_of(problem, number).seed for number in (1, EXAMPLES)) >= LEARNERS
