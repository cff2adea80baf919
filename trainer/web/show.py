"""How values, formulas and standings are written on a page."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from flask import Flask, url_for
from markupsafe import Markup

from trainer import language
from trainer.clock import day, here, moment
from trainer.content.formulas import mathml
from trainer.language import gettext
from trainer.learning.standing import KEPT, NOT_STARTED, PRACTICING, READY, REFRESH_DUE, Standing
from trainer.practice.bench_tasks import title_of
from trainer.storage.attempts import BRIEF, HUNT
from trainer.units import convert, format_number, format_quantity
from trainer.web.services import services
from trainer.web.visits import account, decimal_sign, learner, temperature_unit
from trainer.worksheets.draw import decimals_of
from trainer.worksheets.kinds import Kind
from trainer.worksheets.snapshot import KeptGiven, KeptStep, written

SIGNS = {
    NOT_STARTED: ("○", ""),
    PRACTICING: ("◐", "follows"),
    READY: ("●", "right"),
    KEPT: ("◉", "right"),
    REFRESH_DUE: ("↻", "follows"),
}
OTHER = {"°C": "°F", "°F": "°C"}


def install(app: Flask) -> None:
    """Give the templates what they need to write values."""
    app.jinja_env.filters["formula"] = formula
    app.jinja_env.filters["gettext"] = gettext
    app.jinja_env.filters |= {"moment": moment, "day": day, "instant": instant, "number": plain}

    @app.context_processor
    def _names() -> dict[str, Any]:
        return {
            "language": language.current(),
            "learner": learner(),
            "account": account(),
            "work_title": work_title,
            "work_link": work_link,
        }


def work_title(kind: str, source: str) -> str:
    """What an attempt is called: its problem, or its channel on the bench; the bare name of what is no longer there."""
    library = services().library
    if kind == BRIEF:
        return title_of(library.bench, source) or source
    known = library.bench.rigs if kind == HUNT else library.problems
    return gettext(known[source].title) if source in known else source


def work_link(kind: str, attempt_id: UUID, closed: bool = False) -> str:
    """Where a learner's own attempt goes on, or is looked back at."""
    if kind == HUNT:
        return url_for("hunts.hunt", hunt_id=attempt_id)
    if kind == BRIEF:
        return url_for("commissioning.task", task_id=attempt_id)
    return url_for("practice.solution" if closed else "practice.sheet", attempt_id=attempt_id)


def formula(latex: str, words: str = "") -> Markup:
    """A formula as MathML, with the same in words for those who hear the page."""
    return Markup(mathml(latex, words or None)) if latex else Markup("")  # noqa: S704 - filtered to MathML Core


def plain(value: float) -> str:
    """A number with as many digits as it needs."""
    return format_number(value, decimals_of(value), decimal_sign())


def instant(at: datetime) -> str:
    """A moment to the second."""
    return f"{here(at):%Y-%m-%d %H:%M:%S}"


def value(kind: Kind, kept: Any, decimals: int) -> str:
    """A value as this person reads it, without its unit."""
    return written(kind, kept, decimals, decimal_sign())


def step_value(step: KeptStep) -> str:
    """The true value of a step."""
    return value(step.kind, step.value, step.decimals)


def given_row(given: KeptGiven) -> tuple[str, Markup, str, str, bool]:
    """A given as a row of the list: title, symbol, value, unit, and whether it is words rather than figures."""
    title, shown = gettext(given.title), value(given.kind, given.value, given.decimals)
    return title, formula(given.symbol, title), shown, given.unit, given.kind not in ("number", "row")


def in_other_unit(step: KeptStep) -> str:
    """A temperature in the unit that this person thinks in, where the step has the other one."""
    if step.kind != "number" or OTHER.get(step.unit) != temperature_unit():
        return ""
    there = convert(step.value, step.unit, temperature_unit())
    return format_quantity(there, step.decimals, temperature_unit(), decimal_sign())


def tolerance(step: KeptStep) -> str:
    """How far off a right value may be."""
    if step.kind not in ("number", "row"):
        return ""
    amount = format_quantity(step.tolerance, decimals_of(step.tolerance), step.unit, decimal_sign())
    return gettext("within {amount}").format(amount=amount)


def standing_parts(standing: Standing) -> tuple[str, str, str]:
    """A standing as word, sign and kind."""
    sign, kind = SIGNS[standing.stage]
    return gettext(standing.stage), sign, kind
