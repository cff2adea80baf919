"""Every fault as a page with one clear sentence, and the headers that every answer carries."""

from __future__ import annotations

import secrets

from flask import Flask, Response, render_template, request
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, SecurityError

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.language import gettext
from trainer.web.visits import SessionEnded

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
        "connect-src 'self'; form-action 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
STATUS = ((NotFound, 404), (Conflict, 409), (SessionEnded, 403), (TrainerError, 400))


def install(app: Flask) -> None:
    """Answer every fault, expected or not, with a page."""

    @app.errorhandler(TrainerError)
    def _told(fault: TrainerError) -> tuple[str, int]:
        status = next(status for kind, status in STATUS if isinstance(fault, kind))
        return _page(str(fault), status)

    @app.errorhandler(CSRFError)
    def _forged(fault: CSRFError) -> tuple[str, int]:
        said = gettext(
            "This form is from an earlier visit or another window, so nothing was taken. Go back and reload it."
        )
        return _page(said, 403)

    @app.errorhandler(SecurityError)
    def _strange_host(fault: SecurityError) -> Response:
        said = gettext("The trainer answers at 127.0.0.1 and localhost only.")
        return Response(said, 400, mimetype="text/plain")  # a page has links, and without a host there are none

    @app.errorhandler(HTTPException)
    def _refused(fault: HTTPException) -> tuple[str, int]:
        return _page(_sentence(fault.code or 500), fault.code or 500)

    @app.errorhandler(Exception)
    def _unforeseen(fault: Exception) -> tuple[str, int]:
        number = secrets.token_hex(4)
        app.logger.exception("fault %s at %s %r", number, request.method, request.path)
        said = gettext("Something went wrong in the program; nothing was half-written. The log has it as {number}.")
        return _page(said.format(number=number), 500)

    @app.after_request
    def _headers(response: Response) -> Response:
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        if "Cache-Control" not in response.headers:
            response.headers["Cache-Control"] = "private, no-cache"
        return response


def _sentence(status: int) -> str:
    return {
        403: gettext("This is not open to you."),
        404: gettext("There is no such page."),
        405: gettext("This address does not take such a request."),
        413: gettext("That is too large to be taken."),
    }.get(status, gettext("This request was not understood."))


def _page(sentence: str, status: int) -> tuple[str, int]:
    return render_template("fault.html", sentence=sentence, status=status), status
