"""A bank as text: pasted or taken from a file, looked at whole, stored if it is sound."""

from __future__ import annotations

from flask import flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.content.own_banks import LARGEST_BANK, BankChanged, OwnBank, check_name, kept_text, read_bank, texts_of
from trainer.errors import Conflict, TrainerError
from trainer.figures import draw
from trainer.language import gettext
from trainer.practice import own_problems as own
from trainer.practice.bank_checks import faults_of
from trainer.web.services import services, writing
from trainer.web.sheets import figure_values
from trainer.worksheets.snapshot import Snapshot

FAULTS_SHOWN = 100


def text_page(
    name: str,
    text: str | None = None,
    seen: str | None = None,
    faults: list[str] | None = None,
    refusal: str = "",
    now: str = "",
) -> str:
    """The page with the text of a bank; ``faults`` of what was typed, none where it has not been looked at."""
    data = services().settings.data
    bank = read_bank(data, name) if name and text is None else OwnBank(name, text or "", seen or "")
    if text is None and (number := request.args.get("version", 0, type=int)):
        bank = OwnBank(name, kept_text(data, name, number), bank.seen)
    known = texts_of(data, name) if request.view_args else []
    return render_template(
        "own_bank.html",
        bank=bank,
        faults=faults[:FAULTS_SHOWN] if faults else faults,
        more=max(0, len(faults or ()) - FAULTS_SHOWN),
        refusal=refusal,
        now=now,
        fixed=bool(request.view_args),
        versions=known,
        largest=LARGEST_BANK // 1024,
    )


def take_text(name: str) -> str | tuple[str, int] | Response:
    """Check what was sent, and store it if that is asked for and it is sound; what was typed stays."""
    wanted, seen = name or request.form.get("name", "").strip(), request.form.get("seen", "")
    try:
        text = _sent_text()
        check_name(wanted)
    except TrainerError as fault:
        return text_page(wanted, request.form.get("text", ""), seen, [str(fault)]), 400
    bank = OwnBank(wanted, text, seen)
    try:
        if faults := faults_of(bank, services().library, _try_figure):
            return text_page(wanted, text, seen, faults), 400
        if request.form.get("do") != "keep":
            return text_page(wanted, text, seen, [])
        return _stored(bank)
    except BankChanged as late:
        now = read_bank(services().settings.data, wanted)
        return text_page(wanted, text, now.seen, None, str(late), now.text), 409
    except Conflict as late:
        return text_page(wanted, text, seen, None, str(late)), 409
    except TrainerError as fault:
        return text_page(wanted, text, seen, None, str(fault)), 400


def _stored(bank: OwnBank) -> tuple[str, int] | Response:
    found = services()
    with writing() as session:
        faults = own.store_text(session, found.settings.data, bank.name, bank.text, bank.seen, found.library)
    if faults:
        return text_page(bank.name, bank.text, bank.seen, faults), 400
    flash(gettext("Bank {name} is stored; learners can work its problems now.").format(name=bank.name))
    return redirect(url_for("own_problems.index", _anchor=f"bank-{bank.name}"), 303)


def _sent_text() -> str:
    """The file that was sent, else what stands in the box.

    Raises
    ------
    TrainerError
        It is no text in UTF-8.
    """
    sent = request.files.get("file")
    raw = sent.read(LARGEST_BANK + 1) if sent else b""
    if not raw:
        return request.form.get("text", "").replace("\r\n", "\n")
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as fault:
        raise TrainerError(gettext("The file is no text in UTF-8.")) from fault


def _try_figure(kept: Snapshot) -> None:
    """Draw the figure of a variant as a learner would meet it."""
    if kept.figure is not None:
        draw(kept.figure.name, figure_values(kept, "open"), "open")
        draw(kept.figure.name, figure_values(kept, "solved"), "solved")
