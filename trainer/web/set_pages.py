"""The page of a problem set and the page of its form, as often as they are shown: new, refused, outdated."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from flask import render_template, request, url_for

from trainer.clock import here
from trainer.language import gettext
from trainer.practice import papers
from trainer.practice.plans import Change, Fault, Outdated, Plan, changes, plan_of
from trainer.practice.results import ResultTable, result_table
from trainer.practice.sheet import MODES
from trainer.storage.groups import get_group, list_groups
from trainer.storage.models import ProblemSet
from trainer.storage.problem_sets import OWN, list_sets, problems_of
from trainer.storage.set_tries import extensions_of, tries_of
from trainer.web.chooser import choice
from trainer.web.plan_form import Typed, as_typed
from trainer.web.services import reading, services
from trainer.web.set_words import may_change, state_words, summary
from trainer.web.variants import shown_variants


def form_page(
    typed: Typed,
    group_id: UUID,
    edited: ProblemSet | None = None,
    version: int = 0,
    *,
    faults: Sequence[Fault] = (),
    refusal: str = "",
    late: Outdated | None = None,
    editors: Sequence[str] = (),
    previewed: bool = False,
) -> str:
    """The form with what is typed in it; ``late`` and ``editors`` tell of an edit that came first."""
    started = edited is not None and bool(tries_of(reading(), edited.id))
    names = [row.problem for row in typed.rows]
    return render_template(
        "set_form.html",
        typed=typed,
        group=get_group(reading(), group_id),
        edited=edited,
        version=version,
        faults=dict(reversed(faults)),  # the first one of a place
        refusal=refusal,
        late=late,
        editors=editors,
        changes=side_by_side(late) if late else (),
        may_change=may_change(edited, started) if edited else "",
        fixed=started and edited is not None and _same_work(typed, as_typed(plan_now(edited))),
        modes=mode_words(),
        problems=services().library.problems,
        choice=choice(request.form),
        in_set={name: gettext("in the set") for name in names},
        earlier=[each for each in list_sets(reading()) if edited is None or each.problem_set.id != edited.id],
        previewed=shown_variants(names) if previewed else (),
        zone=f"{here(services().clock()):%Z}",
    )


def set_page(set_id: UUID, *, refusals: Sequence[str] = (), time_faults: Sequence[Fault] = ()) -> str:
    """A set with its learners and everything that can be done with it."""
    table = result_table(reading(), set_id, services().clock())
    problem_set, library = table.problem_set, services().library
    gone = [each.problem for each in table.problems if each.problem not in library.problems]
    return render_template(
        "set.html",
        problem_set=problem_set,
        group=get_group(reading(), problem_set.group_id),
        table=table,
        problems=library.problems,
        gone=gone,
        summary=summary(problem_set, len(table.problems)),
        state_words=state_words(problem_set),
        refusals=refusals,
        time_faults=dict(reversed(time_faults)),
        sent=request.form if time_faults else {},
        extensions=extensions_of(reading(), set_id),
        names={row.person.learner_id: row.person.name for row in table.rows},
        groups=[line.group for line in list_groups(reading())],
        paper=_paper_address(table) if not gone else "",
        modes=mode_words(),
        zone=f"{here(services().clock()):%Z}",
    )


def mode_words() -> dict[str, str]:
    """What is asked of a problem, by its mode."""
    said = (
        gettext("guided: every step"),
        gettext("faded: first steps, the rest worked"),
        gettext("unguided: answer only"),
    )
    return dict(zip(MODES, said, strict=True))


def plan_now(problem_set: ProblemSet) -> Plan:
    """The plan of a set as it is kept."""
    return plan_of(problem_set, problems_of(reading(), problem_set.id))


def side_by_side(late: Outdated) -> list[tuple[str, str, str, str]]:
    """Every field that either side has changed: its title, what it was, what they made of it, what was wanted here."""
    titles = {name: gettext(problem.title) for name, problem in services().library.problems.items()}
    theirs, own = ({each.field: each for each in changes(late.base, plan, titles)} for plan in (late.now, late.wanted))

    def made_of(side: dict[str, Change], name: str, old: str) -> str:
        return side[name].new if name in side else old

    return [
        (name, each.old, made_of(theirs, name, each.old), made_of(own, name, each.old))
        for name, each in (theirs | own).items()
    ]


def _same_work(typed: Typed, now: Typed) -> bool:
    """Whether a form leaves alone what a set that was started keeps."""
    work = [
        ([(row.problem, row.mode, row.id) for row in each.rows], each.texts["kind"], each.texts["numbers"])
        for each in (typed, now)
    ]
    return work[0] == work[1]


def _paper_address(table: ResultTable) -> str:
    """Papers with these problems: a version for each learner where each has numbers of their own."""
    names = [each.problem for each in table.problems]
    if not 1 <= len(names) <= papers.MOST_PROBLEMS:
        return ""
    versions = max(1, min(len(table.rows), papers.MOST_VERSIONS)) if table.problem_set.numbers == OWN else 1
    title = table.problem_set.title[: papers.LONGEST_TITLE]
    return url_for("papers.paper", problem=names, versions=versions, title=title)
