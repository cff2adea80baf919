"""The application: made from a data folder and settings, nothing global."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Any

from flask import Flask
from flask_wtf.csrf import CSRFProtect

from trainer import language
from trainer.clock import Clock, utc_now
from trainer.content.library import read_library
from trainer.settings import load_settings
from trainer.storage.schema import open_storage
from trainer.storage.secret import secret_key
from trainer.web import (
    accounts,
    backups,
    commissioning,
    exports,
    faults,
    figures,
    groups,
    handovers,
    health,
    home,
    hunts,
    items,
    kept,
    lessons,
    mixed,
    own_problems,
    paper_marks,
    papers,
    people,
    policy,
    practice,
    preferences,
    progress,
    reference,
    results,
    room,
    sets,
    show,
    signoffs,
    skills,
    teaching,
    tries,
    visits,
)
from trainer.web.services import Services, close_reading

LOOPBACK = ("127.0.0.1", "localhost", "::1")
LARGEST_FORM = 64 * 1024
LEARNING = (home, accounts, skills, practice, mixed, hunts, commissioning, tries, lessons, reference)
PERSONAL = (progress, preferences, figures, kept, handovers)
TEACHING = (teaching, people, groups, sets, results, room, items, signoffs, papers, paper_marks, own_problems)
LOOKING_AFTER = (exports, backups, health)


def create_app(data: Path | None = None, *, clock: Clock = utc_now, demo: bool = False, **settings: Any) -> Flask:
    """Make the application.

    Parameters
    ----------
    data : Path, optional
        Data folder; without it the environment's, else the one for data of this user.
    clock : callable
        Gives the time, in UTC.
    demo : bool
        Whether visitors may work as any of the invented learners.
    settings
        Override config.toml and the environment.
    """
    chosen = load_settings(data, **settings)
    app = Flask(__name__)
    local = chosen.host in LOOPBACK
    app.config.update(
        MAX_CONTENT_LENGTH=LARGEST_FORM,
        MAX_FORM_MEMORY_SIZE=LARGEST_FORM,
        PERMANENT_SESSION_LIFETIME=timedelta(days=180),
        SESSION_COOKIE_NAME="__Host-trainer" if local else "trainer",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_SECURE=local,
        SESSION_REFRESH_EACH_REQUEST=False,
        TRUSTED_HOSTS=list(LOOPBACK) if local else None,
        WTF_CSRF_TIME_LIMIT=None,
        WTF_CSRF_SSL_STRICT=False,
    )
    database = open_storage(chosen, clock)
    app.secret_key = secret_key(chosen.data)
    app.extensions["trainer"] = Services(chosen, database, read_library(chosen.data), clock, demo)
    for fault in app.extensions["trainer"].library.faults:
        app.logger.warning("left out: %s", fault)
    app.jinja_env.add_extension("jinja2.ext.i18n")
    app.jinja_env.install_gettext_callables(language.gettext, language.ngettext, newstyle=False)  # type: ignore[attr-defined]
    visits.install(app)  # first: the page that refuses a form shows who is at the browser, too
    CSRFProtect(app)
    for part in (policy, faults, show):
        part.install(app)
    app.teardown_appcontext(close_reading)
    for page in (*LEARNING, *PERSONAL, *TEACHING, *LOOKING_AFTER):
        app.register_blueprint(page.pages)
    return app
