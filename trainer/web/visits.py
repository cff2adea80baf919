"""Who is at the browser: a web session in the database, named by a token in a signed cookie.

A visitor has none. The first entry, or the first preference, makes a guest, whose work this browser finds again.
"""

from __future__ import annotations

from datetime import timedelta

from flask import Flask, g, request
from flask import session as cookie
from sqlalchemy.orm import Session

from trainer.clock import live_in
from trainer.errors import TrainerError
from trainer.language import choose, gettext
from trainer.storage.accounts import INSTRUCTOR, get_account
from trainer.storage.learners import add_learner, get_learner
from trainer.storage.models import Account, Learner
from trainer.storage.web_sessions import (
    GUEST_IDLE,
    end_web_session,
    find_web_session,
    start_web_session,
    touch_due,
    touch_web_session,
)
from trainer.web.services import reading, services, writing

VISIT = "visit"
NOBODY = ("static", "health.check")  # answer everybody alike, so who asks is not looked up


class SessionEnded(TrainerError):
    """A form from a browser whose session has ended."""


def install(app: Flask) -> None:
    """Find out who is at the browser before each request."""

    @app.before_request
    def _recognize() -> None:
        g.learner = g.account = None
        choose(services().settings.language)
        live_in(services().zone)
        if request.endpoint not in NOBODY and (token := cookie.get(VISIT)):
            _find(token)


def _find(token: str) -> None:
    now = services().clock()
    found = find_web_session(reading(), token, now)
    if found is None or found.learner_id is None:
        return
    known = get_account(reading(), found.account_id) if found.account_id else None
    if known is not None and known.disabled:  # whose sign-in was on its way when that was done
        return
    g.learner, g.account = get_learner(reading(), found.learner_id), known
    choose(g.learner.language)
    if touch_due(found, now):
        with writing() as session:
            touch_web_session(session, token, now, idle=_idle(g.account))


def _idle(known: Account | None) -> timedelta:
    """A guest's browser is its only key; who has an account can sign in again, so a shared PC signs out sooner."""
    return timedelta(minutes=services().settings.idle_minutes) if known else GUEST_IDLE


def learner() -> Learner | None:
    """The learner at this browser, if it is known."""
    found: Learner | None = g.learner
    return found


def account() -> Account | None:
    """The account that is signed in at this browser."""
    found: Account | None = g.account
    return found


def is_instructor() -> bool:
    """Whether an instructor is signed in at this browser."""
    found = account()
    return found is not None and found.role == INSTRUCTOR


def account_required() -> Account:
    """The account that is signed in; pages that ask for it are open to people or instructors only."""
    found = account()
    if found is None:
        raise SessionEnded(gettext("You are signed out; sign in again."))
    return found


def learner_required() -> Learner:
    """The learner at this browser.

    Raises
    ------
    SessionEnded
        There is none: the session has ended since the page was shown.
    """
    found = learner()
    if found is None:
        raise SessionEnded(
            gettext("This browser's session has ended, so nothing was taken. Start a sheet to go on working.")
        )
    return found


def learner_or_guest(session: Session) -> Learner:
    """The learner at this browser, or a new guest with this browser as its key."""
    found = learner()
    if found is not None:
        return found
    settings, now = services().settings, services().clock()
    guest = add_learner(
        session,
        "",
        now,
        decimal_sign=settings.decimal_sign,
        temperature_unit=settings.temperature_unit,
        language=settings.language,
    )
    _remember(start_web_session(session, now, guest.id))
    g.learner = guest
    return guest


def welcome(session: Session, who: Learner, known: Account | None = None) -> None:
    """Sign somebody in at this browser: a new session and a new cookie, and the old session is ended."""
    if token := cookie.get(VISIT):
        end_web_session(session, token)
    cookie.clear()
    idle, account_id = _idle(known), known.id if known else None
    _remember(start_web_session(session, services().clock(), who.id, account_id, idle=idle))
    g.learner, g.account = who, known


def _remember(token: str) -> None:
    cookie.permanent = True
    cookie[VISIT] = token


def decimal_sign() -> str:
    """The decimal sign that this person reads and writes."""
    found = learner()
    return found.decimal_sign if found else services().settings.decimal_sign


def temperature_unit() -> str:
    """The temperature unit that this person thinks in."""
    found = learner()
    return found.temperature_unit if found else services().settings.temperature_unit
