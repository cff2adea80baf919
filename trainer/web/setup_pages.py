"""How a setup is written on its pages: the form by its questions, the plot of a run, the reference beside one's own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.bench.judging import SHARES, Judgment
from trainer.bench.requirements import Outcome
from trainer.bench.setup_forms import QUESTIONS, RELAYS, Field
from trainer.bench.setup_records import SetupRecord
from trainer.bench.templates import clock, quantity
from trainer.language import gettext
from trainer.practice.bench_tasks import shown, unit_of
from trainer.practice.commissioning import FORETOLD, HEAD, OWN, REASON, VALUE, Kept, OpenSetup
from trainer.practice.setup_copies import OpenCopy
from trainer.web.result_rows import percent
from trainer.web.visits import decimal_sign

NEVER = "-"


@dataclass(frozen=True)
class Row:
    """A setting on the form: what is asked, what stands in its box, why that is not read, its reasons."""

    path: str
    title: str
    unit: str
    options: tuple[str, ...]
    text: str
    error: str
    reasons: tuple[str, ...] = ()
    chosen: str = ""
    own: str = ""


@dataclass(frozen=True)
class Asked:
    """A question about the setup before its first run."""

    key: str
    text: str
    unit: str
    options: tuple[str, ...]
    typed: str
    error: str


@dataclass(frozen=True)
class Beside:
    """A setting that is not that of the reference: both, what serves as well, why the reference has it."""

    title: str
    own: str
    reference: str
    why: tuple[str, ...]
    serves: str


def form_groups(opened: OpenSetup) -> list[tuple[str, str, list[Row]]]:
    """The questions of the form, each with its settings; how many relays there are has buttons of its own."""
    errors = opened.draft.errors
    rows: dict[str, list[Row]] = {group: [] for group in QUESTIONS}
    for each in opened.fields:
        if each.path != RELAYS:
            text = opened.texts.get(VALUE + each.path, "")
            chosen, own = (opened.texts.get(kind + each.path, "") for kind in (REASON, OWN))
            error = errors.get(each.path, "")
            row = Row(each.path, gettext(each.title), unit_of(each), each.options, text, error)
            rows[each.group].append(_with_reasons(row, each, chosen, own))
    return [(group, gettext(title), rows[group]) for group, title in QUESTIONS.items()]


def _with_reasons(row: Row, field: Field, chosen: str, own: str) -> Row:
    known = chosen if chosen in field.reasons else ""
    return Row(row.path, row.title, row.unit, row.options, row.text, row.error, field.reasons, known, own)


def asked(opened: OpenSetup) -> list[Asked]:
    """What is to be foretold."""
    wrong = {key: why for key, _, why in opened.unforetold()}
    typed = opened.foretold
    return [
        Asked(
            FORETOLD + each.name,
            each.text,
            each.unit,
            each.options,
            typed.get(each.name, ""),
            wrong.get(FORETOLD + each.name, "") if typed.get(each.name, "").strip() else "",
        )
        for each in opened.task.questions
    ]


def outcome_lines(outcomes: tuple[Outcome, ...]) -> list[tuple[Outcome, str]]:
    """Each requirement with the time at which to look."""
    return [(each, clock(each.time) if each.time is not None else NEVER) for each in outcomes]


def score_rows(judged: Judgment) -> list[tuple[str, str, str]]:
    """Each part of what a setup is worth, with its share."""
    names = {
        "settings": (gettext("Settings: checks on paper, and what the channel did"), judged.settings),
        "reasons": (gettext("Reasons"), judged.reasoning),
        "reading": (gettext("Foretold before the first run"), judged.reading),
    }
    return [(names[part][0], percent(names[part][1]), percent(share)) for part, share in SHARES.items()]


def reason_rows(opened: OpenSetup, kept: Kept, judged: Judgment) -> list[tuple[str, str, str, tuple[str, ...], str]]:
    """Each reason: the setting, what was given, its verdict, the reasons that hold, the path."""
    given = kept.record.reasons
    return [
        (gettext(each.title), given.get(each.path, ""), each.verdict, each.right, each.path) for each in judged.reasons
    ]


def beside(opened: OpenSetup, record: SetupRecord) -> list[Beside]:
    """The settings in which a setup and the reference differ."""
    reference, decimal = opened.reference, decimal_sign()
    serves = {each.path: (each.low, each.high) for each in opened.task.spans}
    lines = []
    for each in _all_fields(opened, record, reference):
        own, wanted = (made.values.get(each.path) for made in (record, reference))
        if own == wanted:
            continue
        mine, theirs = (shown(each, value, decimal) if value is not None else NEVER for value in (own, wanted))
        why = each.right_reasons(opened.task, wanted) if wanted is not None else ()
        span = serves.get(each.path)
        told = _span(span, unit_of(each), decimal) if span else ""
        lines.append(Beside(gettext(each.title), mine, theirs, why, told))
    return lines


def _span(span: tuple[float, float], unit: str, decimal: str) -> str:
    low, high = (quantity(end).replace(".", decimal) for end in span)
    return gettext("{low} to {high} {unit} serves as well").format(low=low, high=high, unit=unit).replace("  ", " ")


def _all_fields(opened: OpenSetup, *records: SetupRecord) -> tuple[Field, ...]:
    return opened.with_relays(max(record.relays for record in records))


def record_groups(opened: OpenSetup, record: SetupRecord) -> list[tuple[str, list[tuple[str, str, str]]]]:
    """A record by its questions: each setting with its value and its reason."""
    decimal = decimal_sign()
    rows: dict[str, list[tuple[str, str, str]]] = {group: [] for group in QUESTIONS}
    for each in opened.with_relays(record.relays):
        value = record.values.get(each.path)
        text = shown(each, value, decimal) if value is not None else ""
        rows[each.group].append((gettext(each.title), text, gettext(record.reasons.get(each.path, ""))))
    return [(gettext(title), rows[group]) for group, title in QUESTIONS.items()]


def typed_form(form: Mapping[str, str], unprintable: Mapping[int, str]) -> dict[str, str]:
    """What stands in the boxes of a form that was sent, as it may be kept."""
    boxes = ("value.", "reason.", "own.", "foretold.", "mark.")
    return {
        key: text.translate(unprintable)
        for key, text in form.items()
        if key.startswith(boxes) or key in ("tag", "service")
    }


def copy_rows(opened: OpenCopy) -> list[tuple[str, str, Row]]:
    """The lines of a copy: the key of the box, what the approved record has, the box."""
    source, texts, errors = opened.sister.source, opened.texts, opened.draft.errors
    head = [
        (name, value, Row(name, gettext(HEAD[name]), "", (), texts[name], ""))
        for name, value in (("tag", source.tag), ("service", source.service))
    ]
    rows = []
    for each in opened.sister.fields:
        text, error = texts.get(VALUE + each.path, ""), errors.get(each.path, "")
        row = Row(each.path, gettext(each.title), unit_of(each), each.options, text, error)
        rows.append((VALUE + each.path, shown(each, source.values[each.path], opened.decimal), row))
    return head + rows
