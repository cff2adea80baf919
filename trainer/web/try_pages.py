"""Pages of a try: what each of them shows, and what is seen of one that takes nothing any more."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any
from uuid import UUID

from flask import abort, render_template, url_for
from sqlalchemy.orm import Session

from trainer.practice import hand_ins, results, reviews, tries
from trainer.practice.tries import HANDED_IN, TryProblem, TryView
from trainer.storage.models import Learner
from trainer.web.practice import figure_address
from trainer.web.result_rows import cell_parts, percent, state_parts
from trainer.web.services import reading, services, writing
from trainer.web.sheets import figure_of, listed_givens
from trainer.web.try_sheets import Sent, box_rows, done_rows, late_texts, over, time_left
from trainer.web.visits import decimal_sign, learner_required


@contextmanager
def working(known: Learner) -> Iterator[Session]:
    """A session to write with; whatever comes of it, tries of this learner whose time is over are then handed in."""
    try:
        with writing() as session:
            yield session
    finally:
        settle(known)


def settle(known: Learner) -> None:
    """Hand in the tries of a learner whose time is over."""
    now = services().clock()
    if hand_ins.unsettled(reading(), now, learner_id=known.id):
        with writing() as session:
            hand_ins.settle(session, now, services().library.worksheets, learner_id=known.id)


def look(try_id: UUID) -> TryView:
    """A try of the learner at this browser."""
    return tries.look(reading(), learner_required().id, try_id, services().clock())


def problem_of(view: TryView, number: int) -> TryProblem:
    """The problem at a place, counted from 1."""
    if not 1 <= number <= len(view.problems):
        abort(404)
    return view.problems[number - 1]


def of_try(view: TryView) -> dict[str, Any]:
    """What every page of a try shows of it."""
    return {"view": view, "problem_set": view.problem_set, "set_try": view.set_try, "left": time_left(view)}


def of_sheet(view: TryView, problem: TryProblem, number: int, form: Any = "open") -> dict[str, Any]:
    """What every page of a sheet shows of it."""
    kept = problem.sheet.snapshot
    return of_try(view) | {
        "number": number,
        "attempt": problem.attempt,
        "sheet": problem.sheet,
        "kept": kept,
        "text": kept.text(decimal_sign()),
        "givens": listed_givens(kept),
        "figure": figure_of(kept, form, figure_address(problem.attempt)),
        "enter_address": url_for("tries.enter", try_id=view.set_try.id, number=number),
        "said_here": reviews.said_of(reading(), problem.attempt.id),
        "percent": percent,
    }


def done_page(view: TryView, problem: TryProblem, number: int) -> str:
    """A sheet that was handed in."""
    _, cells = results.try_result(reading(), view.set_try)
    rows = done_rows(problem, view.shows_solutions)
    cell = cells.get(problem.place.id)
    return render_template(
        "set_done.html", rows=rows, value=cell.value if cell else None, **of_sheet(view, problem, number)
    )


def result_page(view: TryView) -> str:
    """What came of a try."""
    total, cells = results.try_result(reading(), view.set_try)
    passed = total is not None and results.passed(view.problem_set, total)
    told = {
        "total": total,
        "cells": cells,
        "state": state_parts(results.PASSED if passed else results.NOT_PASSED),
        "cell_parts": cell_parts,
        "percent": percent,
    }
    return render_template("try_result.html", **told, **of_try(view))


def over_page(view: TryView, late: Sequence[tuple[str, str]] = (), fault: str = "") -> str:
    """What is seen of a try whose time is over; ``late`` is what came after it."""
    return render_template("try_over.html", late=late, fault=fault, **of_try(view))


def again(try_id: UUID, number: int, sent: Sent, fault: str = "") -> str:
    """The sheet once more with what was typed; of a try that takes nothing any more, what came too late."""
    view = look(try_id)
    problem = problem_of(view, number)
    if over(view) or view.state == HANDED_IN:
        return over_page(view, late_texts(problem, sent.typed), fault)
    rows = box_rows(problem, sent.typed, sent.faults)
    return render_template("set_boxes.html", rows=rows, fault=fault, **of_sheet(view, problem, number))
