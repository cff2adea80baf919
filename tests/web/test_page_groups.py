"""A group and its code: members in and out, names, the archive, and joining it as a visitor."""

import re
from datetime import timedelta

import pytest
from test_page_teaching import become, make_group, make_sets, teacher, text_of
from web_visitors import Visitor, dump, learners, services_of

from trainer.practice import groups
from trainer.storage.groups import get_group, members_of
from trainer.storage.learners import get_learner

__all__ = ["teacher"]


def members(app, group) -> list[str]:
    with services_of(app).database.reading() as session:
        return [member.name for member in members_of(session, group.id)]


def code_of(app, group) -> str:
    with services_of(app).database.reading() as session:
        return get_group(session, group.id).join_code


@pytest.fixture
def group(app):
    return make_group(app, "Kiln crew")[0]


# The instructor's pages


def test_the_code_is_there_to_be_read_out_and_to_be_renewed(app, teacher, group):
    before = code_of(app, group)
    for address in (f"/groups/{group.id}", f"/groups/{group.id}/board"):
        page = teacher.page(address)
        assert f'<p class="join-code figures">{before}</p>' in page
        assert "http://localhost/join" in page
    assert teacher.post(f"/groups/{group.id}/code").status_code == 303
    page = teacher.page(f"/groups/{group.id}")
    assert before not in page
    assert code_of(app, group) in page
    assert "admits nobody any more" in page


def test_people_are_put_in_and_taken_out(app, teacher, group):
    _, outside = make_group(app, "Dairy", 3)
    address = f"/groups/{group.id}"
    assert teacher.page(address).count('type="checkbox" name="learner"') == 3
    posted = teacher.client.post(
        f"{address}/members", data={"csrf_token": teacher.csrf(), "learner": [str(each) for each in outside[:2]]}
    )
    assert posted.status_code == 303
    assert members(app, group) == ["Dairy 0", "Dairy 1"]
    page = teacher.page(address)
    assert page.count('type="checkbox" name="learner"') == 1
    assert f'href="/people/{outside[0]}"' in page
    assert teacher.post(f"{address}/members/out", learner=str(outside[0])).status_code == 303
    assert members(app, group) == ["Dairy 1"]


@pytest.mark.parametrize("learner", ["x", "0198c0de-0000-7000-8000-000000000000"])
@pytest.mark.parametrize("way", ["members", "members/out"])
def test_nobody_there_is_put_in_or_out(app, teacher, group, learner, way):
    before = dump(app)
    answer = teacher.post(f"/groups/{group.id}/{way}", learner=learner)
    assert answer.status_code == (303 if way == "members/out" and learner != "x" else 404)
    assert dump(app) == before


def test_a_new_name_is_taken_or_told(app, teacher, group):
    make_group(app, "Dairy")
    address = f"/groups/{group.id}"
    assert teacher.post(f"{address}/name", name="Kiln crew, spring").status_code == 303
    assert "<h1>Kiln crew, spring</h1>" in teacher.page(address)
    for name, status, said in (("dairy", 409, "There is a group Dairy already"), ("", 400, "1 to 80 characters")):
        answer = teacher.post(f"{address}/name", name=name)
        page = answer.get_data(as_text=True)
        assert (answer.status_code, said in page, f'value="{name}"' in page) == (status, True, True)
        assert "<h1>Kiln crew, spring</h1>" in page


def test_an_archived_group_admits_nobody_until_it_is_taken_out(app, teacher, group):
    address, code = f"/groups/{group.id}", code_of(app, group)
    assert teacher.post(f"{address}/archive", archived="yes").status_code == 303
    page = teacher.page(address)
    assert "This group is archived" in page
    assert code not in page
    assert code not in teacher.page(f"{address}/board")
    refused = Visitor(app).post("/join", code=code, name="Gus")
    assert refused.status_code == 400
    teacher.post(f"{address}/archive", archived="no")
    assert Visitor(app).post("/join", code=code, name="Gus").status_code == 303


def test_its_sets_and_slips_are_a_click_away(app, teacher, group):
    given = make_sets(app, group)
    page = teacher.page(f"/groups/{group.id}")
    for address in (f"/sets/{given.id}", f"/groups/{group.id}/sets/new", f"/groups/{group.id}/slips"):
        assert f'href="{address}"' in page


def test_there_is_no_page_of_a_group_that_is_none(app, teacher):
    nowhere = "/groups/0198c0de-0000-7000-8000-000000000000"
    for address in (nowhere, f"{nowhere}/board"):
        assert teacher.get(address).status_code == 404
    for way in ("name", "code", "archive", "members", "members/out"):
        answer = teacher.post(f"{nowhere}/{way}", name="Any", learner="0198c0de-0000-7000-8000-000000000000")
        assert answer.status_code == 404, way


# Joining


def test_a_visitor_joins_as_a_guest_and_keeps_the_work(app, visitor, group):
    code = code_of(app, group)
    answer = visitor.post("/join", code=f" {code.lower().replace('-', ' ')} ", name="  Gus   Gland ")
    assert answer.status_code == 303
    assert "You are in the group Kiln crew." in visitor.page(answer.location)
    assert members(app, group) == ["Gus Gland"]
    sheet = visitor.start()
    assert sheet in visitor.page("/progress/")
    assert "You are in: Kiln crew" in text_of(visitor.page("/join"))
    assert len(learners(app)) == 1


def test_a_guest_who_has_worked_joins_with_that_work(app, visitor, group):
    sheet, (guest,) = visitor.start(), learners(app)
    assert visitor.post("/join", code=code_of(app, group), name="Gus").status_code == 303
    assert learners(app) == {guest}
    assert visitor.get(sheet).status_code == 200


def test_who_is_signed_in_joins_by_the_own_name(app, visitor, group):
    _, (learner,) = make_group(app, "Dairy", 1)
    become(app, visitor, learner)
    assert "You join as Dairy 0." in text_of(visitor.page("/join"))
    assert visitor.post("/join", code=code_of(app, group), name="Somebody else").status_code == 303
    assert members(app, group) == ["Dairy 0"]


def test_looking_at_the_form_makes_nobody(app, visitor, group):
    before = dump(app)
    visitor.page("/join")
    assert dump(app) == before


@pytest.mark.parametrize(
    ("name", "status", "said"), [("", 400, "1 to 80 characters"), ("x" * 81, 400, "1 to 80"), ("gus", 409, "already")]
)
def test_a_name_that_cannot_be_one_makes_nobody_and_what_was_typed_stays(app, visitor, group, name, status, said):
    Visitor(app).post("/join", code=code_of(app, group), name="Gus")
    before = learners(app)
    answer = visitor.post("/join", code=code_of(app, group), name=name)
    page = answer.get_data(as_text=True)
    assert answer.status_code == status
    assert said in page[page.index('id="error-name"') :]
    assert f'value="{code_of(app, group)}"' in page
    assert f'value="{name}"' in page
    assert learners(app) == before
    assert visitor.post("/join", code=code_of(app, group), name="Gus the second").status_code == 303


def test_a_wrong_code_makes_nobody_and_what_was_typed_stays(app, visitor, group):
    answer = visitor.post("/join", code="AAAA-AAAA", name="Gus")
    page = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert "That code admits to no group." in page[page.index('id="error-code"') :]
    assert 'value="AAAA-AAAA"' in page
    assert 'value="Gus"' in page
    assert learners(app) == set()


# OWASP ASVS 5.0.0, V6.3.1: guessing is slowed down.
def test_the_sixth_wrong_code_waits_and_others_do_not(app, visitor, group, clock):
    code = code_of(app, group)
    for _ in range(5):
        assert visitor.post("/join", code="AAAA-AAAA", name="Gus").status_code == 400
    blocked = visitor.post("/join", code=code, name="Gus")
    assert blocked.status_code == 429
    assert 0 < int(blocked.headers["Retry-After"]) <= 900
    assert "Too many tries." in blocked.get_data(as_text=True)
    assert members(app, group) == []
    elsewhere = Visitor(app)
    elsewhere.client.environ_base["REMOTE_ADDR"] = "192.0.2.7"
    assert elsewhere.post("/join", code=code, name="Ada").status_code == 303
    assert visitor.post("/sign-in", name="Nobody", passphrase="wrong words").status_code == 400  # not held up by it
    clock.advance(timedelta(minutes=16))
    assert visitor.post("/join", code=code, name="Gus").status_code == 303


def test_who_gets_in_clears_the_mistypes_of_that_pc(app, group):
    code = code_of(app, group)
    for number in range(3):
        visitor = Visitor(app)
        for _ in range(4):
            assert visitor.post("/join", code="AAAA-AAAA", name="Gus").status_code == 400
        assert visitor.post("/join", code=code, name=f"Gus {number}").status_code == 303


def test_the_next_guest_of_a_shared_pc_begins_anew(app, visitor, group):
    code = code_of(app, group)
    visitor.post("/join", code=code, name="Gus")
    page = visitor.page("/join")
    assert "You join as Gus." in text_of(page)
    assert re.search(r"<h2>Not Gus\?</h2>", page)
    answer = visitor.post("/sign-out")
    assert answer.location == "/sign-in"
    assert 'href="/join"' in visitor.page(answer.location)
    assert 'name="name"' in visitor.page("/join")
    assert visitor.post("/join", code=code, name="Ada").status_code == 303
    assert members(app, group) == ["Ada", "Gus"]


def test_a_shared_pc_is_told_when_it_signs_out_by_itself(make_app):
    for minutes, said in ((30, "after 30 minutes without you"), (1, "after 1 minute without you")):
        assert said in Visitor(make_app(idle_minutes=minutes)).page("/sign-in")


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", "{{7*7}}"])
def test_a_guest_s_name_is_shown_as_text(app, teacher, visitor, group, name):
    visitor.post("/join", code=code_of(app, group), name=name)
    (guest,) = (each for each in learners(app) if each_name(app, each) == name)
    for who, address in ((visitor, "/join"), (teacher, f"/groups/{group.id}"), (teacher, f"/people/{guest}")):
        page = who.page(address)
        assert name.replace("<", "&lt;").replace(">", "&gt;") in page
        assert "<script>alert" not in page


def each_name(app, learner) -> str:
    with services_of(app).database.reading() as session:
        return get_learner(session, learner).name


def test_a_code_that_admits_is_looked_at_before_anybody_waits_for_a_writer(app, group, clock):
    """Nothing is written for a code that is right until there is somebody to put in."""
    before = dump(app)
    groups.admit(services_of(app).database, code_of(app, group), "192.0.2.7", clock())
    assert dump(app) == before
