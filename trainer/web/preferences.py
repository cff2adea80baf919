"""How this person reads and writes numbers."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.storage.learners import change_learner
from trainer.web.policy import open_to
from trainer.web.services import services, writing
from trainer.web.visits import decimal_sign, learner_or_guest, temperature_unit

pages = Blueprint("preferences", __name__, url_prefix="/preferences")
CHOICES = {"decimal_sign": (".", ","), "temperature_unit": ("°C", "°F")}


@pages.get("/")
@open_to("visitors")
def edit() -> str:
    """The preferences as they stand."""
    return render_template("preferences.html", decimal_sign=decimal_sign(), temperature_unit=temperature_unit())


@pages.post("/")
@open_to("visitors")
def keep() -> Response:
    """Keep the preferences."""
    chosen = {key: request.form.get(key, "") for key in CHOICES}
    for key, options in CHOICES.items():
        if chosen[key] not in options:
            raise TrainerError(gettext("Choose one of the options shown."))
    with writing() as session:
        person = learner_or_guest(session)
        change_learner(
            session,
            person.id,
            services().clock(),
            decimal_sign=chosen["decimal_sign"],
            temperature_unit=chosen["temperature_unit"],
        )
    flash(gettext("Kept."))
    return redirect(url_for("preferences.edit"), 303)
