"""People: one by one or from a list, codes shown once, their pages, and the whole record out and away."""

import json
import re
from io import BytesIO

import pytest
from sqlalchemy import select
from test_page_teaching import become, make_group, teacher, text_of
from web_visitors import BRINE, Visitor, count, dump, learners, services_of

from trainer.practice.accounts import CODE_VALID
from trainer.storage.groups import groups_of
from trainer.storage.models import Account, Attempt, Learner

__all__ = ["teacher"]
CODE = re.compile(r'<span class="join-code figures">([A-Z2-9]{4}-[A-Z2-9]{4})</span>')
WORDS = "seven copper bends"


def account(app, name: str) -> Account:
    with services_of(app).database.reading() as session:
        return session.scalars(select(Account).where(Account.name == name)).one()


def groups_in(app, learner) -> list[str]:
    with services_of(app).database.reading() as session:
        return [group.name for group in groups_of(session, learner)]


@pytest.fixture
def ada(app):
    """A learner in a group."""
    return make_group(app, "Kiln crew", 1)[1][0]


# One by one


def test_a_code_is_shown_once_and_opens_the_account(app, teacher, clock):
    group, _ = make_group(app, "Kiln crew")
    answer = teacher.post("/people/", name="  Ada   Pump ", role="learner", into=str(group.id))
    page = answer.get_data(as_text=True)
    (code,) = CODE.findall(page)
    assert answer.status_code == 200
    assert answer.headers["Cache-Control"] == "no-store"
    assert "Ada Pump" in page
    assert "http://localhost/code" in page
    assert f"{clock() + CODE_VALID:%Y-%m-%d %H:%M} UTC" in page
    assert groups_in(app, account(app, "Ada Pump").learner_id) == ["Kiln crew"]
    for address in ("/people/", f"/people/{account(app, 'Ada Pump').learner_id}"):
        assert code not in teacher.page(address)
    assert Visitor(app).post("/code", code=code, passphrase=WORDS, again=WORDS).status_code == 303


def test_loading_the_page_again_makes_nobody_twice(app, teacher):
    teacher.post("/people/", name="Ada Pump", role="instructor")
    before = dump(app)
    answer = teacher.post("/people/", name="ada pump", role="instructor")
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert "The name Ada Pump is taken." in page[page.index('id="error-name"') :]
    assert "its code is not shown twice" in page
    assert 'value="ada pump"' in page
    assert '<option value="instructor" selected>' in page
    assert dump(app) == before


@pytest.mark.parametrize(
    ("form", "status", "said"),
    [
        ({"name": ""}, 400, "1 to 80 characters"),
        ({"name": "x" * 81}, 400, "1 to 80 characters"),
        ({"name": "Ada", "role": "root"}, 400, "a learner or an instructor"),
        ({"name": "Ada", "into": "x"}, 404, "no such page"),
        ({"name": "Ada", "into": "0198c0de-0000-7000-8000-000000000000"}, 404, "no such group"),
    ],
)
def test_what_cannot_be_made_is_told_and_nobody_is_made(app, teacher, form, status, said):
    before = dump(app)
    answer = teacher.post("/people/", **form)
    assert answer.status_code == status
    assert said in answer.get_data(as_text=True)
    assert dump(app) == before


# From a list


def read(teacher, text: str = "", file: bytes | None = None, **form):
    data = {"csrf_token": teacher.csrf(), "text": text} | form
    if file is not None:
        data["file"] = (BytesIO(file), "people.csv")
    return teacher.client.post("/people/list", data=data, content_type="multipart/form-data")


def confirmed(page: str) -> str:
    """The text that the button to confirm sends."""
    text = re.search(r"<textarea name=\"text\" hidden>\n(.*?)</textarea>", page, re.S)[1]
    return text.replace("&#34;", '"').replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")


LIST = '\ufeffName;Group\r\nAda Pump;kiln CREW\r\n"Weir; Ben";\r\n'


def test_a_list_is_looked_at_then_made_whole(app, teacher):
    make_group(app, "Kiln crew")
    before = dump(app)
    answer = read(teacher, LIST)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 200
    assert "2 accounts would be made. Nobody has been made yet." in page
    rows = [text_of(row) for row in re.findall(r"<tr><th.*?</tr>", page)[1:]]
    assert rows == ["Ada Pump kiln CREW 2", "Weir; Ben none 3"]
    assert dump(app) == before

    made = teacher.post("/people/list/make", text=confirmed(page), into="")
    slips = made.get_data(as_text=True)
    assert (made.status_code, made.headers["Cache-Control"]) == (200, "no-store")
    assert len(set(CODE.findall(slips))) == 2
    assert text_of(slips).index("Ada Pump") < text_of(slips).index("Weir; Ben")
    assert groups_in(app, account(app, "Ada Pump").learner_id) == ["Kiln crew"]

    before = dump(app)
    again = teacher.post("/people/list/make", text=confirmed(page), into="")
    assert again.status_code == 400
    assert "Line 2: Ada Pump has an account already." in again.get_data(as_text=True)
    assert not CODE.findall(again.get_data(as_text=True))
    assert dump(app) == before


def test_who_is_given_no_group_gets_that_of_the_form(app, teacher):
    group, _ = make_group(app, "Kiln crew")
    page = read(teacher, "name\nAda Pump\n", into=str(group.id)).get_data(as_text=True)
    assert "Ada Pump Kiln crew 2" in text_of(page)
    assert f'name="into" value="{group.id}"' in page
    teacher.post("/people/list/make", text=confirmed(page), into=str(group.id))
    assert groups_in(app, account(app, "Ada Pump").learner_id) == ["Kiln crew"]


@pytest.mark.parametrize(
    "file", [LIST.encode(), LIST.encode("utf-16"), LIST.removeprefix("\ufeff").encode(), LIST[1:].encode("utf-16")]
)
def test_a_file_is_read_as_the_box_is(app, teacher, file):
    make_group(app, "Kiln crew")
    page = read(teacher, file=file).get_data(as_text=True)
    assert "2 accounts would be made" in page
    assert teacher.post("/people/list/make", text=confirmed(page)).status_code == 200
    assert account(app, "Weir; Ben").role == "learner"


@pytest.mark.parametrize(
    ("text", "file", "said"),
    [
        ("", None, ["The list is empty."]),
        ("Ada Pump\nBen", None, ["Line 1: no column is called name. The first line of a list is name, or name,group."]),
        ("name,mail\nAda,a", None, ["Line 1: the column &#39;mail&#39; is not known"]),
        ("name\nAda\nada", None, ["Line 3: ada stands in line 2 already."]),
        ("name,group\n,Nowhere", None, ["Line 2: A name has 1 to 80", "Line 2: there is no group Nowhere."]),
        ("name\n" + "\n".join(f"Person {n}" for n in range(10_000)), None, ["10001 lines", "at most 500 people"]),
        ("name\n" + "\n".join(f"P{n}" for n in range(501)), None, ["There are 501 people; at most 500 go at once."]),
        ("", "name\nJosé".encode("cp1252"), ["not text in UTF-8"]),
        ("", b"PK\3\4\0\0\0\0", ["not text in UTF-8"]),
        ("name\nAda", b"name\nBen", ["Give the lines or a file, not both"]),
    ],
)
def test_every_fault_is_told_the_lines_stay_and_nobody_is_made(app, teacher, text, file, said):
    before = dump(app)
    answer = read(teacher, text, file)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 400
    for sentence in said:
        assert sentence in page
    assert "would be made" not in page
    assert "people/list/make" not in page
    assert f"\n{text.replace(chr(10), chr(13) + chr(10))}</textarea>".replace("\r", "") in page.replace("\r", "")
    assert file or teacher.post("/people/list/make", text=text).status_code == 400
    assert dump(app) == before


def test_what_could_be_read_is_shown_beside_the_faults(teacher):
    page = read(teacher, "name\nAda Pump\nIna\n").get_data(as_text=True)
    assert "Nobody was made. One thing is to mend:" in page
    assert "Line 3: Ina has an account already." in page
    assert "2 people could be read." in page


def test_five_hundred_long_names_are_taken(app, teacher):
    """A list within its own limits is within those of a form, also in letters that take six bytes each there."""
    text = "name\n" + "\n".join(f"{n:03}" + "ø" * 77 for n in range(500))
    page = read(teacher, text).get_data(as_text=True)
    assert "500 accounts would be made" in page
    made = teacher.post("/people/list/make", text=text)
    assert (made.status_code, len(CODE.findall(made.get_data(as_text=True)))) == (200, 500)


def test_only_lists_may_be_that_long(app, teacher):
    before = dump(app)
    assert teacher.post("/people/", name="x" * 70_000).status_code == 413
    assert teacher.post("/people/list/make", text="x" * 1_100_000).status_code == 413
    assert dump(app) == before


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", "{{7*7}}", "=1+1", "</textarea><b>x"])
def test_names_of_a_list_are_shown_as_text(app, teacher, name):
    page = read(teacher, f"name\n{name}\n").get_data(as_text=True)
    made = teacher.post("/people/list/make", text=confirmed(page)).get_data(as_text=True)
    for shown in (page, made, teacher.page("/people/")):
        assert name.replace("<", "&lt;").replace(">", "&gt;") in shown
        assert not re.search(r"<script>alert|<b>x", shown)


# Everybody


def names(page: str) -> list[str]:
    return re.findall(r'<a href="/people/[-0-9a-f]{36}">([^<]+)</a>', page)


def test_people_are_found_by_group_and_state(app, teacher, visitor, clock):
    kiln, (first, _) = make_group(app, "Kiln crew", 2)
    make_group(app, "Dairy", 1)
    become(app, Visitor(app), first)
    visitor.post("/join", code=kiln.join_code, name="Gus")
    assert names(teacher.page("/people/")) == ["Dairy 0", "Gus", "Ina", "Kiln crew 0", "Kiln crew 1"]
    assert names(teacher.page(f"/people/?group={kiln.id}")) == ["Gus", "Kiln crew 0", "Kiln crew 1"]
    assert names(teacher.page("/people/?group=none")) == ["Ina"]
    assert names(teacher.page("/people/?state=waiting")) == ["Dairy 0", "Kiln crew 1"]
    assert names(teacher.page("/people/?state=active")) == ["Ina", "Kiln crew 0"]
    assert names(teacher.page(f"/people/?state=guest&group={kiln.id}")) == ["Gus"]
    page = teacher.page("/people/?state=disabled")
    assert names(page) == []
    assert "Nobody is like that." in page
    assert '<option value="disabled" selected>' in page


# One person


def test_a_person_s_page_tells_the_state_and_leads_on(app, teacher, ada):
    page = text_of(teacher.page(f"/people/{ada}"))
    assert "Kiln crew 0" in page
    assert "A code is good until" in page
    become(app, Visitor(app), ada)
    page = teacher.page(f"/people/{ada}")
    assert "Has chosen a passphrase. Nobody can see it" in page
    assert f'href="/people/{ada}/skills"' in page
    assert "scrypt" not in page


def test_a_new_code_is_shown_once_and_the_passphrase_is_replaced_by_it(app, teacher, ada):
    become(app, Visitor(app), ada)
    answer = teacher.post(f"/people/{ada}/code")
    (code,) = CODE.findall(answer.get_data(as_text=True))
    assert (answer.status_code, answer.headers["Cache-Control"]) == (200, "no-store")
    assert code not in teacher.page(f"/people/{ada}")
    other = "nine brass glands"
    assert Visitor(app).post("/code", code=code, passphrase=other, again=other).status_code == 303
    assert Visitor(app).post("/sign-in", name="Kiln crew 0", passphrase=WORDS).status_code == 400


def test_disabled_and_enabled_again(app, teacher, ada):
    learner = Visitor(app)
    become(app, learner, ada)
    assert teacher.post(f"/people/{ada}/disabled", disabled="yes").status_code == 303
    assert "Sign out" not in learner.page("/")
    page = teacher.page(f"/people/{ada}")
    assert "Cannot sign in. The work is kept." in page
    refused = teacher.post(f"/people/{ada}/code")
    assert refused.status_code == 409
    assert "enable it first" in refused.get_data(as_text=True)
    assert teacher.post(f"/people/{ada}/disabled", disabled="no").status_code == 303
    assert learner.post("/sign-in", name="Kiln crew 0", passphrase=WORDS).status_code == 303


def test_the_only_instructor_stays_one(app, teacher):
    ina = account(app, "Ina").learner_id
    key = json.loads(teacher.page(f"/people/{ina}/record.json"))["deletion_key"]
    before = dump(app)
    for way, form in (("disabled", {"disabled": "yes"}), ("role", {"role": "learner"}), ("delete", {"key": key})):
        answer = teacher.post(f"/people/{ina}/{way}", **form)
        assert answer.status_code == 409, way
        assert "This is the only instructor. Make another one first." in answer.get_data(as_text=True)
    assert dump(app) == before


def test_a_learner_is_made_an_instructor_and_back(app, teacher, ada):
    assert teacher.post(f"/people/{ada}/role", role="instructor").status_code == 303
    assert account(app, "Kiln crew 0").role == "instructor"
    assert teacher.post(f"/people/{ada}/role", role="learner").status_code == 303
    assert teacher.post(f"/people/{ada}/role", role="root").status_code == 400
    assert account(app, "Kiln crew 0").role == "learner"


def test_a_new_name_is_taken_or_told_beside_the_box(app, teacher, ada):
    assert teacher.post(f"/people/{ada}/name", name=" Ada  Pump ").status_code == 303
    assert "<h1>Ada Pump</h1>" in teacher.page(f"/people/{ada}")
    for name, status, said in (("ina", 409, "The name Ina is taken."), ("", 400, "1 to 80 characters")):
        answer = teacher.post(f"/people/{ada}/name", name=name)
        page = answer.get_data(as_text=True)
        assert answer.status_code == status
        assert said in page[page.index('id="error-name"') :]
        assert f'value="{name}"' in page
    assert account(app, "Ada Pump").learner_id == ada


def test_groups_of_a_person_come_and_go(app, teacher, ada):
    dairy, _ = make_group(app, "Dairy")
    assert teacher.post(f"/people/{ada}/groups", group=str(dairy.id)).status_code == 303
    assert groups_in(app, ada) == ["Dairy", "Kiln crew"]
    assert teacher.post(f"/people/{ada}/groups/out", group=str(dairy.id)).status_code == 303
    assert groups_in(app, ada) == ["Kiln crew"]
    assert teacher.post(f"/people/{ada}/groups", group="x").status_code == 404


def test_a_guest_is_given_an_account_and_keeps_the_work(app, teacher, visitor):
    group, _ = make_group(app, "Kiln crew")
    visitor.post("/join", code=group.join_code, name="Gus")
    visitor.start()
    (guest,) = (each for each in learners(app) if groups_in(app, each))
    page = teacher.page(f"/people/{guest}")
    assert "works as a guest" in page
    assert teacher.post(f"/people/{guest}/disabled", disabled="yes").status_code == 409
    (code,) = CODE.findall(teacher.post(f"/people/{guest}/code").get_data(as_text=True))
    elsewhere = Visitor(app)
    assert elsewhere.post("/code", code=code, passphrase=WORDS, again=WORDS).status_code == 303
    assert BRINE.partition("-")[0].capitalize() in elsewhere.page("/progress/")
    assert account(app, "Gus").learner_id == guest


def test_nobody_has_no_page(app, teacher):
    nobody = "/people/0198c0de-0000-7000-8000-000000000000"
    for page in ("", "/record.json", "/delete"):
        assert teacher.get(nobody + page).status_code == 404
    before = dump(app)
    for way in ("code", "name", "role", "disabled", "delete"):
        assert teacher.post(f"{nobody}/{way}", name="Any", role="learner", key="AAAA-AAAA").status_code == 404, way
    assert dump(app) == before


# The record


def test_a_record_is_taken_out_before_it_is_deleted(app, teacher, ada):
    learner = Visitor(app)
    become(app, learner, ada)
    learner.start()
    answer = teacher.get(f"/people/{ada}/record.json")
    kept = json.loads(answer.get_data(as_text=True))
    assert answer.headers["Content-Disposition"] == f"attachment; filename=record-{ada}.json"
    assert answer.headers["Cache-Control"] == "no-store"
    assert (kept["name"], len(kept["record"]["attempt"])) == ("Kiln crew 0", 1)
    assert "scrypt" not in answer.get_data(as_text=True)
    before = dump(app)
    for key in ("", "AAAA-AAAA"):
        refused = teacher.post(f"/people/{ada}/delete", key=key)
        page = refused.get_data(as_text=True)
        assert refused.status_code == 409
        assert "with the key of its export" in page[page.index('id="error-key"') :]
    assert dump(app) == before
    learner.start()
    assert teacher.post(f"/people/{ada}/delete", key=kept["deletion_key"]).status_code == 409  # changed since
    kept = json.loads(teacher.page(f"/people/{ada}/record.json"))
    done = teacher.post(f"/people/{ada}/delete", key=kept["deletion_key"].lower())
    assert (done.status_code, done.location) == (303, "/people/")
    assert "The record of Kiln crew 0 is deleted." in teacher.page("/people/")
    assert teacher.get(f"/people/{ada}").status_code == 404
    assert (count(app, Account), count(app, Attempt), count(app, Learner)) == (1, 0, 1)


def test_asking_deletes_nothing(app, teacher, ada):
    before = dump(app)
    page = teacher.page(f"/people/{ada}/delete")
    assert f'href="/people/{ada}/record.json"' in page
    assert "It cannot be undone." in page
    assert dump(app) == before
