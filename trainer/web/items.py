"""What the results of a set say of its problems."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response, render_template, url_for

from trainer.figures import Theme
from trainer.learning.sample_sizes import learners_needed
from trainer.practice.problem_statistics import Study, study
from trainer.web import item_words
from trainer.web.plots import image, placed
from trainer.web.policy import open_to
from trainer.web.services import reading, services

pages = Blueprint("items", __name__)
TOLD_APART = (0.8, 0.7)  # two shares of full marks, to say how many learners it takes


@pages.get("/sets/<uuid:set_id>/items")
@open_to("instructors")
def show(set_id: UUID) -> str:
    """The problems of a set by what the first tries at it say of them."""
    found = _study(set_id)
    return render_template(
        "items.html",
        study=found,
        rows=item_words.problem_rows(found, services().library.problems),
        remarks=item_words.remarks(found),
        reliability=item_words.reliability(found),
        needed=learners_needed(*TOLD_APART),
        problems_plot=placed(
            "problem statistics",
            item_words.plotted_problems(found),
            lambda theme: url_for("items.problems_plot", set_id=set_id, theme=theme),
        ),
        totals_plot=placed(
            "totals",
            item_words.plotted_totals(found),
            lambda theme: url_for("items.totals_plot", set_id=set_id, theme=theme),
        ),
    )


@pages.get("/sets/<uuid:set_id>/items/problems-<any(light, dark, print):theme>.svg")
@open_to("instructors")
def problems_plot(set_id: UUID, theme: Theme) -> Response:
    """The problems one under another; there is none below twenty learners."""
    return image("problem statistics", item_words.plotted_problems(_study(set_id)), theme)


@pages.get("/sets/<uuid:set_id>/items/totals-<any(light, dark, print):theme>.svg")
@open_to("instructors")
def totals_plot(set_id: UUID, theme: Theme) -> Response:
    """How many learners have which total."""
    return image("totals", item_words.plotted_totals(_study(set_id)), theme)


def _study(set_id: UUID) -> Study:
    return study(reading(), set_id, services().library.problems)
