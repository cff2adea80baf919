"""Who may use an endpoint: each says so, and one that does not may be used by nobody."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal, TypeVar

from flask import Flask, abort, request

Who = Literal["visitors"]
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
    """Refuse every request to an endpoint that does not say who may use it."""

    @app.before_request
    def _refuse_undeclared() -> None:
        if request.endpoint and policy_of(app, request.endpoint) is None:
            abort(403)
