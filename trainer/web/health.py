"""Whether the trainer works, for a program that watches it: nobody signs in, and nothing is written."""

from __future__ import annotations

import os
import shutil

from flask import Blueprint, Response, jsonify

from trainer.storage.health import FINE, database_state
from trainer.web.policy import open_to
from trainer.web.services import services

pages = Blueprint("health", __name__)
LEAST_FREE = 20_000_000  # bytes; with less the next entries may find no room


@pages.get("/healthz")
@open_to("visitors")
def check() -> tuple[Response, int]:
    """Each part with "ok" or what is wrong with it; 503 where any is."""
    parts = {"database": database_state(services().database), "disk": _disk(), "backups": _backups()}
    sound = all(state == FINE for state in parts.values())
    return jsonify(status=FINE if sound else "failing", **parts), 200 if sound else 503


def _disk() -> str:
    folder = services().settings.data
    try:
        free = shutil.disk_usage(folder).free
    except OSError:
        return "the data folder cannot be reached"
    if not os.access(folder, os.W_OK):
        return "the data folder cannot be written to"
    return FINE if free >= LEAST_FREE else "almost full"


def _backups() -> str:
    return "the newest could not be made" if services().backups.failure else FINE
