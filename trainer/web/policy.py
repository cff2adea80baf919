"""Who may use an endpoint: each says so, and one that does not may be used by nobody."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal, TypeVar

from flask import Flask, abort, redirect, request, url_for
from werkzeug.wrappers import Response

from trainer.storage.accounts import INSTRUCTOR
from trainer.web.visits import account

Who = Literal["visitors", "people", "instructors"]
View = TypeVar("View", bound=Callable[..., Any])


def open_to(who: Who) -> Callable[[View], View]:
    """Declare who may use a view."""

    def declare(view: View) -> View:
        view.open_to = who  # type: ignore[attr-defined]
        return view

    return declare


def policy_of(app: Flask, endpoint: str) -> Who | None:
    """Who may use an endpoint; None where it does not say."""
    if endpoint == "static":
        return "visitors"
    return getattr(app.view_functions[endpoint], "open_to", None)


def install(app: Flask) -> None:
    """Refuse every request to an endpoint that is not open to who asks, or does not say to whom it is open."""

    @app.before_request
    def _check() -> Response | None:
        if request.endpoint is None:
            return None
        who, known = policy_of(app, request.endpoint), account()
        if who is None:
            abort(403)
        if who == "visitors":
            return None
        if known is None:
            return _to_sign_in()
        if who == "instructors" and known.role != INSTRUCTOR:
            abort(403)
        return None


def _to_sign_in() -> Response:
    """To the form to sign in, and back to a page that was asked for; what was sent in a form is not taken."""
    if request.method != "GET":
        abort(403)
    return redirect(url_for("accounts.sign_in", next=request.full_path.rstrip("?")), 303)
