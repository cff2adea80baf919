"""Results, statistics, people and learning records as files, sent while they are made."""

from __future__ import annotations

from collections.abc import Iterator
from uuid import UUID

from flask import Blueprint, Response, stream_with_context

from trainer.exchange.csv_files import Table, csv_chunks
from trainer.exchange.statements import statement_lines
from trainer.exchange.tables import item_table, people_table, result_table
from trainer.practice import results as practice_results
from trainer.practice.people import list_people
from trainer.storage.problem_sets import get_set
from trainer.storage.set_records import attempt_records
from trainer.web.policy import open_to
from trainer.web.services import reading, services

pages = Blueprint("exports", __name__)


@pages.get("/sets/<uuid:set_id>/results.csv")
@open_to("instructors")
def results(set_id: UUID) -> Response:
    """The results of a set: learners by problems."""
    found = practice_results.result_table(reading(), set_id, services().clock())
    return csv_response(f"results {found.problem_set.title}", result_table(found))


@pages.get("/sets/<uuid:set_id>/items.csv")
@open_to("instructors")
def items(set_id: UUID) -> Response:
    """What first tries at a set say of its problems."""
    title = get_set(reading(), set_id).title
    places, report = practice_results.items(reading(), set_id)
    return csv_response(f"problems {title}", item_table(places, report, services().library.problems))


@pages.get("/people.csv")
@open_to("instructors")
def people() -> Response:
    """Everybody with an account, and the guests in groups."""
    return csv_response("people", people_table(list_people(reading(), services().clock())))


@pages.get("/sets/<uuid:set_id>/statements.jsonl")
@open_to("instructors")
def statements(set_id: UUID) -> Response:
    """The work handed in, as statements of a learning record, one a line."""
    found = get_set(reading(), set_id)
    lines = statement_lines(found, attempt_records(reading(), set_id))
    return _sent(f"statements {found.title}.jsonl", lines, "application/jsonl")


def csv_response(name: str, table: Table) -> Response:
    """A table as a file for spreadsheets."""
    return _sent(f"{name}.csv", csv_chunks(*table), "text/csv")


def _sent(name: str, chunks: Iterator[bytes], kind: str) -> Response:
    """A file to keep rather than to look at; the session that it is read with stays open until it is sent."""
    answer = Response(stream_with_context(chunks), mimetype=kind)
    answer.headers.set("Content-Disposition", "attachment", filename=file_name(name))
    return answer


def file_name(text: str) -> str:
    """A name that every file system takes.

    Examples
    --------
    >>> file_name('results Week 1: a/b "c".csv'), file_name("../../x.csv")
    ('results-Week-1-a-b-c.csv', 'x.csv')
    """
    stem, _, ending = text.rpartition(".")
    kept = "".join(sign if sign.isalnum() and sign.isascii() else " " for sign in stem)
    return f"{'-'.join(kept.split())[:80] or 'file'}.{ending}"
