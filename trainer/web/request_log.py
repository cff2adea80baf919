"""A line for every request in a log of the data folder: when, who by id, what, and how it went.

Each line is JSON, so nothing that came from outside can begin a line of its own. What was typed, queries, cookies and
names are not in it. A file is full at five megabytes; the five before it stay.
"""

from __future__ import annotations

import json
import logging
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from logging.handlers import RotatingFileHandler

from flask import Flask, Response, g, request

from trainer.clock import as_utc
from trainer.web.services import services

FOLDER, FILE = "logs", "requests.log"
LARGEST, OLDER = 5_000_000, 5


class _Lines(RotatingFileHandler):
    """A log that must not stop the work: what cannot be written is left out."""

    def handleError(self, record: logging.LogRecord) -> None:
        """Go on."""


@contextmanager
def logged(app: Flask) -> Iterator[None]:
    """Log every request to the end of the block, unless the settings say no."""
    found = app.extensions["trainer"]
    if found.settings.request_log == "off":
        yield
        return
    folder = found.settings.data / FOLDER
    with suppress(OSError):
        folder.mkdir(mode=0o700, exist_ok=True)
    lines = _Lines(folder / FILE, maxBytes=LARGEST, backupCount=OLDER, encoding="utf-8", delay=True)
    log = logging.Logger("trainer.requests")  # of this application alone, so it is not taken from the common ones
    log.addHandler(lines)

    def begin() -> None:
        g.begun = time.perf_counter()

    def end(response: Response) -> Response:
        log.info("%s", _line(response))
        return response

    # Before all others and after them: what they take is part of it.
    app.before_request_funcs.setdefault(None, []).insert(0, begin)
    app.after_request_funcs.setdefault(None, []).insert(0, end)
    with closing(lines):
        yield


def _line(response: Response) -> str:
    line = {
        "at": as_utc(services().clock()).isoformat(timespec="milliseconds"),
        "who": str(vars(found)["id"]) if (found := g.get("learner")) and "id" in vars(found) else None,
        "method": request.method,
        "path": request.path,
        "status": response.status_code,
        "ms": round(1000 * (time.perf_counter() - g.begun), 1) if "begun" in g else None,
    }
    for name in ("fault", "trace"):  # as the page of a fault names it
        if name in g:
            line[name] = g.get(name)
    return json.dumps(line)
