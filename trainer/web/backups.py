"""Backups: when the last good one was made, a list to take from, and how to go back to one."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, send_file, url_for
from werkzeug.wrappers import Response

from trainer.errors import TrainerError
from trainer.exchange.backup_shelf import BEFORE_UPGRADE, BY_HAND, BY_HAND_KEPT, DAILY, DAYS, WEEKS, KeptBackup
from trainer.language import gettext
from trainer.storage.backup import KEPT
from trainer.units import format_number
from trainer.web.moments import DAY, MINUTE, distance
from trainer.web.policy import open_to
from trainer.web.services import services
from trainer.web.visits import decimal_sign

pages = Blueprint("backups", __name__, url_prefix="/backups")
OLD = 2 * DAY  # s after which the newest backup is called old


@pages.get("/")
@open_to("instructors")
def index() -> str:
    """The backups that there are."""
    now, shelf = services().clock(), services().backups
    kept = shelf.kept()
    age = abs((now - kept[0].made).total_seconds()) if kept else 0
    return render_template(
        "backups.html",
        here=services().database.file is not None,
        newest=kept[0] if kept else None,
        age=distance(kept[0].made, now) if age >= MINUTE else "",
        old=age > OLD,
        failure=shelf.failure,
        rows=[(each, _kind(each), _size(each)) for each in kept],
        folder=shelf.folder,
        numbers={"days": DAYS, "weeks": WEEKS, "by_hand": BY_HAND_KEPT, "upgrades": KEPT},
    )


@pages.post("/")
@open_to("instructors")
def make() -> Response:
    """Make one now."""
    services().backups.make()
    flash(
        gettext("The backup is made, read back and found sound. Take it along: a copy on another disk is worth more.")
    )
    return redirect(url_for("backups.index"), 303)


@pages.get("/<name>")
@open_to("instructors")
def download(name: str) -> Response:
    """A backup as a file."""
    found = services().backups.find(name)
    if found is None:
        flash(gettext("This backup is not there any more."))
        return redirect(url_for("backups.index"), 303)
    try:
        answer = send_file(found.path, "application/octet-stream", as_attachment=True, download_name=found.path.name)
    except OSError as fault:
        raise TrainerError(gettext("This backup cannot be read at this moment.")) from fault
    answer.headers["Cache-Control"] = "private, no-store"
    return answer


def _kind(each: KeptBackup) -> str:
    return {
        DAILY: gettext("of the day"),
        BY_HAND: gettext("made by hand"),
        BEFORE_UPGRADE: gettext("before an upgrade"),
    }[each.kind]


def _size(each: KeptBackup) -> str:
    return f"{format_number(each.size / 1e6, 1 if each.size >= 1e5 else 2, decimal_sign())} MB"
