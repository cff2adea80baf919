"""Every fault as a page with one clear sentence, and the headers that every answer carries."""

from __future__ import annotations

import secrets
import traceback

from flask import Flask, Response, g, render_template, request
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, SecurityError

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.language import gettext
from trainer.storage.troubles import BUSY, DAMAGED, FULL, READ_ONLY, UNREACHABLE, trouble_of
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
        return _page(str(fault), 503 if trouble_of(fault) else status)

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
        g.fault = number = secrets.token_hex(4)
        if trouble := trouble_of(fault):
            app.logger.error("fault %s at %s %r: %s", number, request.method, request.path, _particulars(fault))
            return _page(_told_of(trouble).format(number=number), 503)
        g.trace = traceback.format_exc()
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


def _told_of(trouble: str) -> str:
    """What is wrong with the surroundings, and what whoever is at the browser can do."""
    return {
        FULL: gettext(
            "The disk of the PC that runs the trainer is full, so nothing of this was kept. Tell whoever looks after "
            "that PC; then go back, what you typed still stands there, and send it again. The log has it as {number}."
        ),
        READ_ONLY: gettext(
            "The trainer may not write to its data folder, so nothing of this was kept. Tell whoever looks after the "
            "PC that runs it; then go back, what you typed still stands there, and send it again. The log has it as "
            "{number}."
        ),
        BUSY: gettext(
            "Another program holds the trainer's database, so nothing of this was kept. Wait a moment, go back, what "
            "you typed still stands there, and send it again. The log has it as {number}."
        ),
        DAMAGED: gettext(
            "The trainer's database is damaged. Tell whoever looks after the PC that runs it: `trainer verify` tells "
            "more, `trainer restore` puts a backup in its place. The log has it as {number}."
        ),
        UNREACHABLE: gettext(
            "The trainer cannot reach its database at this moment, so nothing of this was kept. Tell whoever looks "
            "after the PC that runs it. The log has it as {number}."
        ),
    }[trouble]


def _particulars(fault: Exception) -> str:
    """One line for the log, without the statement."""
    return " ".join(str(getattr(fault, "orig", None) or fault).split())


def _sentence(status: int) -> str:
    return {
        403: gettext("This is not open to you."),
        404: gettext("There is no such page."),
        405: gettext("This address does not take such a request."),
        413: gettext("That is too large to be taken."),
    }.get(status, gettext("This request was not understood."))


def _page(sentence: str, status: int) -> tuple[str, int]:
    return render_template("fault.html", sentence=sentence, status=status), status
