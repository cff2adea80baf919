"""Pages with nothing, one and hundreds of sheets behind them; the number of queries does not grow."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import event
from web_visitors import BRINE, Visitor, services_of

from trainer.storage.attempts import finish_attempt, start_attempt
from trainer.worksheets.snapshot import snapshot

PAGES = ("/", "/skills/", "/skills/S3.2", "/lessons/", "/progress/", "/preferences/")


def with_attempts(app, number: int) -> Visitor:
    """A guest with finished sheets, every fifth left half-done."""
    visitor = Visitor(app)
    guest, found = visitor.become_guest(), services_of(app)
    kept = snapshot(found.library.problems[BRINE].variant(5)).to_json()
    with found.database.writing() as session:
        for seed in range(number):
            at = found.clock() + timedelta(minutes=seed)
            attempt = start_attempt(
                session, guest, at, source=BRINE, seed=seed, worksheet=kept["worksheet"],
                worksheet_version=kept["version"], skill="S3.2", mode="guided", snapshot=kept,
            )  # fmt: skip
            if seed % 5:
                finish_attempt(session, attempt.id, at + timedelta(seconds=40), value=0.5, evidence=True)
    return visitor


@pytest.mark.parametrize("number", [0, 1, 300])
def test_every_page_answers(app, number):
    visitor = with_attempts(app, number)
    for address in PAGES:
        assert visitor.get(address).status_code == 200


@pytest.mark.parametrize(("number", "pages"), [(1, 1), (30, 1), (31, 2), (300, 10)])
def test_every_sheet_is_found_by_leafing(app, number, pages):
    visitor, address, seen, leafed = with_attempts(app, number), "/progress/", [], 0
    while address:
        page = visitor.page(address)
        seen += re.findall(r'href="(/sheets/[^"]+)"', page)
        leafed += 1
        older = re.search(r'href="(/progress/\?before=[^"]+)"', page)
        address = older and older[1]
    assert (leafed, len(seen), len(set(seen))) == (pages, number, number)


@pytest.mark.parametrize("before", ["", "x", "0198c0de-0000-7000-8000-000000000000"])
def test_a_place_to_leaf_from_that_there_is_not_is_no_fault(app, before):
    visitor = with_attempts(app, 2)
    assert visitor.get(f"/progress/?before={before}").status_code == 200


def statements(app, visitor, address: str) -> int:
    sent: list[str] = []

    def listen(_connection, _cursor, statement, *_rest) -> None:
        sent.append(statement)

    engine = services_of(app).database.readers
    event.listen(engine, "before_cursor_execute", listen)
    visitor.page(address)
    event.remove(engine, "before_cursor_execute", listen)
    return len(sent)


@pytest.mark.parametrize("address", PAGES)
def test_the_number_of_queries_does_not_grow(app, address):
    few, many = with_attempts(app, 10), with_attempts(app, 300)
    assert 0 < statements(app, few, address) == statements(app, many, address) <= 8
