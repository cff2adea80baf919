"""Signing in and out, opening an account by its code, changing the passphrase."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask import session as cookie
from werkzeug.wrappers import Response

from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.practice import accounts
from trainer.practice.accounts import SignInRefused, Throttled
from trainer.storage.attempts import attempts_of
from trainer.storage.learners import get_learner
from trainer.storage.models import Account
from trainer.storage.web_sessions import end_web_session
from trainer.web.policy import open_to
from trainer.web.services import reading, services, writing
from trainer.web.visits import VISIT, account, account_required, learner, welcome

pages = Blueprint("accounts", __name__)


@pages.get("/sign-in")
@open_to("visitors")
def sign_in() -> str:
    """The form to sign in."""
    return _form("sign_in.html")


@pages.post("/sign-in")
@open_to("visitors")
def let_in() -> tuple[str, int] | Response:
    """Sign in, or say that it was not to be."""
    name, passphrase = request.form.get("name", ""), request.form.get("passphrase", "")
    try:
        found = accounts.sign_in(services().database, name, passphrase, _address(), services().clock())
    except (SignInRefused, Throttled) as fault:
        return _refused("sign_in.html", fault)
    return _enter(found)


@pages.get("/code")
@open_to("visitors")
def code() -> str:
    """The form for a code that was handed out."""
    return _form("code.html")


@pages.post("/code")
@open_to("visitors")
def redeem() -> tuple[str, int] | Response:
    """Open an account by its code and choose a passphrase."""
    form = request.form
    try:
        if form.get("passphrase", "") != form.get("again", ""):
            raise TrainerError(gettext("The two passphrases differ."))
        found = accounts.redeem(
            services().database,
            form.get("code", ""),
            form.get("name", ""),
            form.get("passphrase", ""),
            _address(),
            services().clock(),
        )
    except TrainerError as fault:
        return _refused("code.html", fault)
    return _enter(found)


@pages.post("/sign-out")
@open_to("visitors")
def sign_out() -> Response:
    """End this browser's session; the next person finds the form to sign in."""
    if token := cookie.get(VISIT):
        with writing() as session:
            end_web_session(session, token)
    cookie.clear()
    return redirect(url_for("accounts.sign_in"), 303)


@pages.get("/passphrase")
@open_to("people")
def passphrase() -> str:
    """The form to change the passphrase."""
    return _form("passphrase.html")


@pages.post("/passphrase")
@open_to("people")
def change_passphrase() -> tuple[str, int] | Response:
    """Change the passphrase; all other browsers are signed out."""
    known, form = account_required(), request.form
    try:
        if form.get("passphrase", "") != form.get("again", ""):
            raise TrainerError(gettext("The two passphrases differ."))
        accounts.change_passphrase(
            services().database, known, form.get("old", ""), form.get("passphrase", ""), services().clock()
        )
    except TrainerError as fault:
        return _refused("passphrase.html", fault)
    flash(gettext("The passphrase is changed; other browsers are signed out."))
    return _enter(known)


def _enter(found: Account) -> Response:
    """A new session of the account in this browser, with the work done here before if that is wished."""
    guest = learner()
    with writing() as session:
        if request.form.get("bring"):
            accounts.take_over(session, guest, found)
        welcome(session, get_learner(session, found.learner_id), found)
    return redirect(_next(), 303)


def _next() -> str:
    """The page asked for before signing in, if it is one of ours."""
    wanted = request.form.get("next", "")
    inside = wanted.startswith("/") and not wanted.startswith("//") and wanted.isprintable() and "\\" not in wanted
    return wanted if inside else url_for("home.index")


def _form(template: str, error: str = "") -> str:
    guest = learner() if account() is None else None
    work = bool(guest and attempts_of(reading(), guest.id, limit=1))
    wanted = request.values.get("next", "")
    name, idle = request.form.get("name", ""), services().settings.idle_minutes
    return render_template(template, error=error, work=work, next=wanted, name=name, idle=idle)


def _refused(template: str, fault: TrainerError) -> tuple[str, int] | Response:
    status = 429 if isinstance(fault, Throttled) else 400
    response = Response(_form(template, str(fault)), status, mimetype="text/html")
    if isinstance(fault, Throttled):
        response.headers["Retry-After"] = str(fault.wait)
    return response


def _address() -> str:
    return request.remote_addr or "unknown"
