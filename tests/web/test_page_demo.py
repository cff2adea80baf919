"""The invented training shop: the same every time, with something to see on every page, and only in the demo."""

import re

import pytest
from sqlalchemy import select
from web_visitors import Visitor, learners, services_of

from trainer.practice.demo import INSTRUCTOR, PEOPLE, fill
from trainer.settings import load_settings
from trainer.storage.entries import entries_of
from trainer.storage.learners import list_learners
from trainer.storage.models import Attempt, Learner
from trainer.storage.schema import open_storage


def filled(app):
    found = services_of(app)
    fill(found.database, found.library, found.clock())
    return app


def work_in(database) -> list[tuple]:
    """All work but that of the quiz, whose numbers are new each time as the ids are."""
    rows = []
    with database.reading() as session:
        wanted = select(Attempt, Learner.name).join(Learner, Learner.id == Attempt.learner_id)
        wanted = wanted.where(Attempt.set_try_id.is_(None))
        for attempt, name in session.execute(wanted.order_by(Learner.name, Attempt.started)):
            kept = [(entry.step, entry.text, entry.verdict, entry.mark) for entry in entries_of(session, attempt.id)]
            rows.append((name, attempt.source, attempt.seed, attempt.mode, attempt.started, attempt.value, kept))
    return rows


def test_it_is_the_same_every_time(tmp_path, clock, library):
    shops = []
    for name in ("one", "two"):
        database = open_storage(load_settings(tmp_path / name, {}), clock)
        fill(database, library, clock())
        shops.append(work_in(database))
        database.close()
    assert shops[0] == shops[1]
    assert len(shops[0]) == sum(person[-1] for person in PEOPLE)
    assert {entry[2] for row in shops[0] for entry in row[-1]} >= {"right", "slip"}


@pytest.mark.parametrize("number", range(len(PEOPLE)))
def test_every_page_has_something_to_show(make_app, number):
    app = filled(make_app(demo=True))
    with services_of(app).database.reading() as session:
        person = [each for each in list_learners(session) if each.name != INSTRUCTOR][number]
    visitor = Visitor(app)
    home = visitor.page("/")
    assert all(f">{name}</button>" in home for name, *_ in PEOPLE)
    answer = visitor.post(f"/demo/{person.id}")
    assert (answer.status_code, answer.location) == (303, "/progress/")
    progress = visitor.page("/progress/")
    assert f"My progress: {person.name}" in progress
    assert progress.count("<tr>") > 6
    assert re.search(r"practicing|ready", visitor.page("/skills/"))
    for address in set(re.findall(r'href="(/sheets/[^"]+)"', progress)):
        assert visitor.get(address, follow_redirects=True).status_code == 200  # a sheet of the quiz leads to it


def test_working_as_somebody_is_for_the_demo_only(make_app):
    app = filled(make_app())
    person = min(learners(app))
    visitor = Visitor(app)
    assert visitor.post(f"/demo/{person}").status_code == 404
    assert "The training shop" not in visitor.page("/")
    assert "Nothing has been worked" in visitor.page("/progress/")


def test_nobody_is_not_somebody_to_work_as(make_app):
    visitor = Visitor(make_app(demo=True))
    assert visitor.post("/demo/0198c0de-0000-7000-8000-000000000000").status_code == 404


def test_a_new_name_has_a_new_session(make_app):
    """What one name did is not seen by the next one in the same browser."""
    app = filled(make_app(demo=True))
    with services_of(app).database.reading() as session:
        first, second, *_ = list_learners(session)
    visitor = Visitor(app)
    visitor.post(f"/demo/{first.id}")
    sheet = visitor.start()
    visitor.post(f"/demo/{second.id}")
    assert visitor.get(sheet).status_code == 404
