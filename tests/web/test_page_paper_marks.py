"""Marks from paper on the pages: a code, whose work, what was written, what is asked before it is replaced."""

import csv
import re
from dataclasses import replace
from datetime import date, timedelta
from html import unescape
from io import StringIO
from uuid import UUID

import pytest
from sqlalchemy import event, select
from web_visitors import Visitor, dump, right, services_of

from trainer.practice import groups, people
from trainer.practice.papers import draw_version
from trainer.storage.entries import entries_of
from trainer.storage.evidence import evidence_of
from trainer.storage.models import Attempt
from trainer.web.services import Services

NAMES = ("brine-chiller-current", "retort-cooling-trace", "canal-gate-excursions", "swimming-bath-first-power")
WISH = {"problem": list(NAMES), "seed": "17", "versions": "3", "title": "Week 1", "page": "A4"}
SCRIPT = "<script>alert(1)</script>{{7*7}}"


@pytest.fixture
def ina(app) -> Visitor:
    visitor = Visitor(app)
    visitor.become_instructor()
    return visitor


@pytest.fixture
def made(ina) -> None:
    assert ina.post("/papers/", **WISH).status_code == 303


@pytest.fixture
def version(library):
    return draw_version([library.problems[name] for name in NAMES], 17, 2)


@pytest.fixture
def member(app):
    """Put somebody into a group."""

    def member(name: str, group: str = "Night shift") -> UUID:
        found = services_of(app)
        with found.database.writing() as session:
            known = {line.group.name: line.group for line in groups.kept.list_groups(session)}
            into = known.get(group) or groups.make_group(session, group, found.clock())
            return people.add_person(session, name, found.clock(), group_id=into.id).account.learner_id

    return member


def text_of(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def answers(version, *places: int) -> dict[str, str]:
    """Right answers for the first steps of problems, by the names of their boxes."""
    form = {}
    for place in places:
        step = version.snapshots[place - 1].steps[0]
        cells = step.value if isinstance(step.value, tuple) else None
        for at, cell in enumerate(cells or ()):
            form[f"{place}-{step.name}-{at}"] = f"{cell:.3f}"
        if cells is None:
            number = step.kind == "number"
            form[f"{place}-{step.name}"] = right(version.snapshots[place - 1], step.name) if number else step.value
    return form


def keep(visitor, version, learner, **form):
    given = {"code": version.code, "learner": str(learner), "worked": "2026-02-26"}
    return visitor.post("/papers/marks/work", **(given | form))


def paper_attempts(app) -> list[Attempt]:
    with services_of(app).database.reading() as session:
        return list(session.scalars(select(Attempt).where(Attempt.source_kind == "paper").order_by(Attempt.id)))


def test_marks_from_paper_are_for_instructors(app, version):
    guest = Visitor(app)
    guest.become_guest()
    for address in ("/papers/marks", "/papers/marks/work", "/papers/marks.csv"):
        assert guest.get(address).status_code == 303
    assert guest.post("/papers/marks/work", code=version.code).status_code == 403
    assert guest.post("/papers/", **WISH).status_code == 403


def test_making_papers_keeps_what_they_are_and_shows_the_first(app, ina):
    answer = ina.post("/papers/", **WISH)
    assert answer.status_code == 303
    assert answer.location.startswith("/papers/paper?problem=brine-chiller-current&problem=")
    page = ina.page(answer.location)
    assert "Week 1" in page
    assert "/papers/marks?" in page


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"problem": []}, "Choose at least one problem"),
        ({"versions": "0"}, "1 to 100, not 0"),
        ({"title": "x" * 200}, "at most 80 characters"),
    ],
)
def test_papers_that_cannot_be_made_are_told_above_what_was_chosen(app, ina, wrong, said):
    ina.page("/papers/")
    before = dump(app)
    answer = ina.post("/papers/", **(WISH | wrong))
    page = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert said in page
    assert 'name="seed" type="number" value="17"' in page
    assert dump(app) == before


def test_looking_for_problems_puts_no_token_into_the_address(ina):
    page = ina.page("/papers/")
    assert not re.search(r'<input[^>]+name="csrf_token"', page.partition("<main")[2])
    assert re.search(r'<button[^>]+formmethod="post" name="csrf_token" value="[^"]+"', page)


def test_a_code_leads_to_the_true_values(ina, made, version):
    page = text_of(ina.page(f"/papers/marks?code={version.code.lower().replace('-', '%20')}"))
    assert version.code in page
    for snapshot in version.snapshots:
        assert snapshot.title in page
    assert right(version.snapshots[0], "value").replace("-", "−") in page.replace("-", "−")


@pytest.mark.parametrize(
    ("code", "status", "said"),
    [
        ("222", 400, "9 letters and figures, not 3"),
        ("222-K25-J6S", 400, "a slip in it"),
        ("222-K25-J60", 400, "has the sign 0"),
        ("222-K25-J6R", 409, "have been changed since it was printed"),
        ("2A2-K25-J6R", 400, "a slip in it"),
    ],
)
def test_a_code_that_leads_nowhere_is_told_beside_the_box(ina, made, code, status, said):
    answer = ina.get(f"/papers/marks?code={code}")
    page = answer.get_data(as_text=True)
    assert answer.status_code == status
    assert said in page
    assert f'value="{code}"' in page
    assert 'aria-describedby="hint-code error-code"' in page


def test_a_paper_that_was_not_made_here_is_told_and_its_problems_can_be_given(ina, version):
    answer = ina.get(f"/papers/marks?code={version.code}")
    assert answer.status_code == 404
    assert "No paper with this code was made here" in answer.get_data(as_text=True)
    named = "&".join(f"problem={name}" for name in NAMES)
    assert "Brine chiller" in ina.page(f"/papers/marks?code={version.code}&{named}")
    assert ina.get(f"/papers/marks?code={version.code}&problem={NAMES[0]}").status_code == 409


def test_a_problem_that_is_gone_is_named(ina, made, version, library, monkeypatch):
    left = {name: problem for name, problem in library.problems.items() if name != NAMES[2]}
    monkeypatch.setattr(Services, "library", replace(library, problems=left))
    answer = ina.get(f"/papers/marks?code={version.code}")
    assert answer.status_code == 409
    assert "The problem canal-gate-excursions of this paper is no longer" in text_of(answer.get_data(as_text=True))


def test_members_of_groups_can_be_chosen_and_nobody_else(ina, made, version, member):
    ada = member("Ada Pump")
    page = ina.page(f"/papers/marks?code={version.code}")
    assert '<optgroup label="Night shift">' in page
    assert f'<option value="{ada}">Ada Pump</option>' in page
    assert ">Ina</option>" not in page
    stranger = UUID(int=5)
    assert ina.get(f"/papers/marks/work?code={version.code}&learner={stranger}").status_code == 404
    assert ina.get(f"/papers/marks/work?code={version.code}&learner=nobody").status_code == 404
    assert keep(ina, version, stranger, **answers(version, 1)).status_code == 404


def test_a_form_without_a_learner_goes_back_to_the_version(ina, made, version):
    answer = ina.get(f"/papers/marks/work?code={version.code}&learner=")
    assert (answer.status_code, answer.location) == (302, f"/papers/marks?code={version.code}&learner=")


def test_every_kind_of_step_has_its_boxes_and_its_true_value(ina, made, version, member):
    page = ina.page(f"/papers/marks/work?code={version.code}&learner={member('Ada Pump')}")
    for number, snapshot in enumerate(version.snapshots, 1):
        for step in snapshot.steps:
            assert re.search(rf'name="{number}-{step.name}(-0)?"', page), step.name
        assert f'name="mark-{number}"' in page
    assert page.count("True: ") == sum(len(snapshot.steps) for snapshot in version.snapshots)
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_answers_are_marked_and_kept_with_the_day_of_the_paper(app, ina, made, version, member):
    ada = member("Ada Pump")
    first = version.snapshots[0]
    form = answers(version, 1, 3) | {"1-value": right(first, "value"), "mark-4": "50"}
    answer = keep(ina, version, ada, **form)
    assert (answer.status_code, answer.location) == (303, f"/papers/marks?code={version.code}")
    page = text_of(ina.page(answer.location))
    assert "Kept: Ada Pump, 50 %." in page  # (1 + 0 + 1/2 + 1/2)/4
    kept = paper_attempts(app)
    assert [attempt.value for attempt in kept] == [1.0, 0.0, 0.5, 0.5]
    assert {attempt.finished.date() for attempt in kept} == {date(2026, 2, 26)}
    with services_of(app).database.reading() as session:
        assert [entry.text for entry in entries_of(session, kept[0].id)] == [
            right(first, each.name) for each in first.steps
        ]
        assert [row.evidence for row in evidence_of(session, ada) if row.skill == "S3.2"] == [True]


def test_the_learner_finds_it_among_the_sheets_with_the_solution(app, ina, made, version, member):
    guest = Visitor(app)
    learner = guest.become_guest()
    found = services_of(app)
    with found.database.writing() as session:
        group = groups.make_group(session, "Night shift", found.clock())
        groups.add_member(session, group.id, learner, found.clock())
    assert keep(ina, version, learner, **answers(version, 1)).status_code == 303
    attempt = paper_attempts(app)[0]
    assert f"/sheets/{attempt.id}/solution" in guest.page("/progress/")
    assert "You entered" in guest.page(f"/sheets/{attempt.id}/solution")
    assert guest.enter(f"/sheets/{attempt.id}", "value", "1").status_code == 409
    assert Visitor(app).get(f"/sheets/{attempt.id}").status_code == 403
    other = Visitor(app)
    other.become_guest()
    assert other.get(f"/sheets/{attempt.id}").status_code == 404


def test_what_cannot_be_taken_is_shown_again_with_its_sentence_and_nothing_is_kept(app, ina, made, version, member):
    ada = member("Ada Pump")
    ina.page("/")
    before = dump(app)
    form = {"1-fraction": "abc", "1-value": "7", "mark-2": "120", "worked": "2026-03-03"}
    answer = keep(ina, version, ada, **form)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 400
    for said in ("abc is not a number", "A plain mark is a number from 0 to 100 %", "today, 2026-03-02"):
        assert said in page
    for typed in ('value="abc"', 'value="7"', 'value="120"', 'value="2026-03-03"'):
        assert typed in page
    assert dump(app) == before


@pytest.mark.parametrize("worked", ["", "yesterday", "2026-02-30", "2026-03-03"])
def test_a_day_that_is_none_or_to_come_is_told(ina, made, version, member, worked):
    answer = keep(ina, version, member("Ada Pump"), worked=worked, **answers(version, 1))
    assert answer.status_code == 400
    assert "The date lies between 2000-01-01 and today" in answer.get_data(as_text=True)


def test_all_boxes_are_shown_as_they_were_typed(ina, made, version, member):
    several, order = version.snapshots[2].steps[1], version.snapshots[3].steps[1]
    options = sorted(order.options)
    form = {f"3-{several.name}": [several.options[0], several.options[2]], "mark-4": "5 mA"}
    form |= {f"4-{order.name}-{at}": str(len(options) - at) for at in range(len(options))}
    page = keep(ina, version, member("Ada Pump"), **form).get_data(as_text=True)
    for option in form[f"3-{several.name}"]:
        assert f'name="3-{several.name}" value="{option}" checked' in page
    assert page.count(" selected>") == len(options)


def test_work_that_is_kept_is_shown_and_asked_about_before_it_is_replaced(app, clock, ina, made, version, member):
    ada = member("Ada Pump")
    keep(ina, version, ada, **answers(version, 1))
    clock.advance(timedelta(minutes=5))
    page = text_of(ina.page(f"/papers/marks/work?code={version.code}&learner={ada}"))
    assert "Kept already" in page
    assert "typed in on 2026-03-02 07:30 UTC: 12.5 % in all" in page
    ina.page("/")
    before = dump(app)
    answer = keep(ina, version, ada, **answers(version, 3))
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert "Work of Ada Pump on version" in page
    assert 'name="3-lengths-0" value="6.000"' in page
    assert dump(app) == before
    assert keep(ina, version, ada, again="yes", **answers(version, 1, 3)).status_code == 303
    kept = paper_attempts(app)
    assert len(kept) == 8
    assert [attempt.evidence for attempt in kept] == [False] * 4 + [True, False, True, False]
    assert "typed 2 times, the newest counts" in text_of(ina.page(f"/papers/marks?code={version.code}"))


def test_results_come_as_a_file(ina, made, version, member):
    keep(ina, version, member("Ada Pump"), **answers(version, 1))
    keep(ina, version, member("=1+1"), **{f"mark-{at}": "80" for at in range(1, 5)})
    for address in ("/papers/marks.csv", f"/papers/marks.csv?code={version.code}"):
        answer = ina.get(address)
        assert (answer.status_code, answer.mimetype) == (200, "text/csv")
        rows = list(csv.DictReader(StringIO(answer.data.decode("utf-8-sig"), newline="")))
        assert [(row["name"], row["number"], row["mark"], row["from"]) for row in rows] == [
            *(("'=1+1", str(at), "0.8", "plain mark") for at in range(1, 5)),
            ("Ada Pump", "1", "0.5", "answers"),
            *(("Ada Pump", str(at), "0", "left empty") for at in range(2, 5)),
        ]
        assert {row["paper"] for row in rows} == {"Week 1"}


def test_versions_with_marks_are_listed_and_lead_back(ina, made, version, member):
    keep(ina, version, member("Ada Pump"), **answers(version, 1))
    page = ina.page("/papers/marks")
    (address,) = re.findall(r'href="(/papers/marks\?paper=[^"]+)"', page)
    assert version.code in ina.page(unescape(address))
    assert ina.get("/papers/marks?paper=none&version=2").status_code == 404
    assert ina.get(f"{unescape(address)}00000").status_code == 404


def test_names_and_titles_are_shown_as_text(ina, version, member):
    ina.post("/papers/", **(WISH | {"title": SCRIPT}))
    ada = member(SCRIPT, SCRIPT)
    keep(ina, version, ada, **answers(version, 1))
    for address in (
        "/papers/marks",
        f"/papers/marks?code={version.code}",
        f"/papers/marks/work?code={version.code}&learner={ada}",
    ):
        page = ina.page(address)
        assert "&lt;script&gt;alert(1)&lt;/script&gt;{{7*7}}" in page
        assert "<script>alert" not in page
    answer = ina.get(f"/papers/marks?code={SCRIPT}")
    assert "<script>alert" not in answer.get_data(as_text=True)


def statements(app, visitor, address: str) -> int:
    sent: list[str] = []

    def listen(_connection, _cursor, statement, *_rest) -> None:
        sent.append(statement)

    readers = services_of(app).database.readers
    event.listen(readers, "before_cursor_execute", listen)
    assert visitor.get(address).status_code == 200
    event.remove(readers, "before_cursor_execute", listen)
    return len(sent)


def test_pages_take_the_same_queries_for_any_number_of_learners(app, clock, ina, made, version, member):
    counts, ada = [], member("Ada Pump")
    pages = (
        "/papers/marks",
        f"/papers/marks?code={version.code}",
        f"/papers/marks/work?code={version.code}&learner={ada}",
    )
    for number in (1, 5):
        for each in range(number):
            keep(ina, version, member(f"{number}.{each}", f"Group {number}.{each}"), **answers(version, 1))
        keep(ina, version, ada, again="yes", **answers(version, 1))
        counts.append([statements(app, ina, page) for page in pages])
    assert counts[0] == counts[1]
    assert max(counts[0]) <= 8
