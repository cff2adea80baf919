"""People: one by one or from a list, new codes, disabling, and the whole record out and away."""

import json
from uuid import uuid4

import pytest
from set_shop import INSTRUCTOR, RIGHT, WRONG, Shop
from sqlalchemy import func, select

from trainer.errors import Conflict, NotFound, TrainerError
from trainer.practice import accounts, groups, people, reviews, signoffs, time_limits
from trainer.practice.person_records import delete_person, export_person
from trainer.storage.accounts import account_of, list_accounts
from trainer.storage.drafts import keep_draft
from trainer.storage.groups import get_group, group_by_code, groups_of, list_groups, members_of
from trainer.storage.learners import add_learner
from trainer.storage.models import Base, Learner
from trainer.storage.web_sessions import start_web_session


@pytest.fixture
def shop(session, clock, library) -> Shop:
    return Shop(session, clock, library)


@pytest.fixture
def instructor(session, clock):
    made = people.add_person(session, "Berend", clock(), role="instructor").account
    made.passphrase_hash = "kept"
    return made


def row_of(session, name, at):
    return next(row for row in people.list_people(session, at) if row.name == name)


# One by one


def test_a_person_is_made_with_a_code_shown_once(session, clock, shop):
    made = people.add_person(session, "  Ada   Pump ", clock(), group_id=shop.group.id)
    assert (made.account.name, made.account.role, len(made.code)) == ("Ada Pump", "learner", 9)
    row = row_of(session, "Ada Pump", clock())
    assert (row.role, row.state, row.groups) == ("learner", "waiting", ((shop.group.id, "Night shift"),))
    assert row.code_until == clock() + accounts.CODE_VALID
    with pytest.raises(Conflict, match="taken"):
        people.add_person(session, "ADA PUMP", clock())
    for name in ("", "x" * 81, "bell\a"):
        with pytest.raises(TrainerError, match="1 to 80 characters"):
            people.add_person(session, name, clock())
    with pytest.raises(TrainerError, match="a learner or an instructor"):
        people.add_person(session, "Root", clock(), role="root")


def test_forgotten_is_a_new_code(session, clock, database):
    made = people.add_person(session, "Ada Pump", clock())
    code = people.new_code(session, made.account.id, clock())
    session.commit()
    with pytest.raises(accounts.SignInRefused):
        accounts.redeem(database, made.code, "", "three word phrase", "10.0.0.1", clock())
    opened = accounts.redeem(database, code, "", "three word phrase", "10.0.0.1", clock())
    assert opened.id == made.account.id
    session.expire_all()
    assert row_of(session, "Ada Pump", clock()).state == "active"


def test_disabled_and_enabled(session, clock, instructor):
    ada = people.add_person(session, "Ada Pump", clock()).account
    people.disable(session, ada.id, clock())
    assert row_of(session, "Ada Pump", clock()).state == "disabled"
    with pytest.raises(Conflict, match="disabled"):
        people.new_code(session, ada.id, clock())
    people.disable(session, ada.id, clock(), disabled=False)
    assert row_of(session, "Ada Pump", clock()).state == "waiting"


def test_the_only_instructor_stays(session, clock, instructor):
    for refused in (
        lambda: people.disable(session, instructor.id, clock()),
        lambda: people.change_role(session, instructor.id, "learner", clock()),
        lambda: delete_person(
            session,
            instructor.learner_id,
            export_person(session, instructor.learner_id, clock())["deletion_key"],
        ),
    ):
        with pytest.raises(Conflict, match="only instructor"):
            refused()
    other = people.add_person(session, "Anke", clock()).account
    people.change_role(session, other.id, "instructor", clock())
    with pytest.raises(Conflict, match="only instructor"):  # Anke has not chosen a passphrase yet
        people.disable(session, instructor.id, clock())
    other.passphrase_hash = "kept"
    session.flush()
    assert people.change_role(session, instructor.id, "learner", clock()).role == "learner"


def test_a_new_name_is_the_record_s_too(session, clock):
    ada, ben = (people.add_person(session, name, clock()).account for name in ("Ada", "Ben"))
    people.rename(session, ada.learner_id, "Ada Weir", clock())
    assert session.get(Learner, ada.learner_id).name == "Ada Weir"
    assert people.rename(session, ada.learner_id, "ADA WEIR", clock()).name == "ADA WEIR"
    with pytest.raises(Conflict, match=r"The name Ben is taken\."):
        people.rename(session, ada.learner_id, "ben", clock())
    assert ben.name == "Ben"


# From a list


def test_a_list_is_made_whole(session, clock, shop):
    text = '\ufeffName;Group\r\nAda Pump;night SHIFT\r\n\r\n"Weir, Ben";\r\n'
    assert [(line.line, line.name, line.group) for line in people.read_list(session, text).lines] == [
        (2, "Ada Pump", "night SHIFT"),
        (4, "Weir, Ben", ""),
    ]
    assert list_accounts(session) == []  # reading it makes nobody
    made = people.add_list(session, text, clock())
    assert [each.account.name for each in made] == ["Ada Pump", "Weir, Ben"]
    assert len({each.code for each in made}) == 2
    assert [member.name for member in members_of(session, shop.group.id)] == ["Ada Pump"]


def test_who_is_given_no_group_gets_that_of_the_form(session, clock, shop):
    people.add_list(session, "name\nAda\nBen\n", clock(), group_id=shop.group.id)
    assert [member.name for member in members_of(session, shop.group.id)] == ["Ada", "Ben"]


def test_every_fault_of_a_list_is_told_by_its_line_and_nobody_is_made(session, clock, shop):
    people.add_person(session, "Ada Pump", clock())
    archived = groups.make_group(session, "Old course", clock())
    groups.archive_group(session, archived.id, clock())
    text = "\n".join(
        (
            "name,group",
            "ada pump,",
            "Ben,Nowhere",
            "BEN,",
            ",Night shift",
            "x" * 81,
            "Cas,Night shift,extra",
            "Dirk,Old course",
        )
    )
    with pytest.raises(people.ListRefused) as refused:
        people.add_list(session, text, clock())
    assert list(refused.value.faults) == [
        "Line 2: ada pump has an account already.",
        "Line 3: there is no group Nowhere.",
        "Line 4: BEN stands in line 3 already.",
        "Line 5: A name has 1 to 80 characters that can be printed.",
        "Line 6: A name has 1 to 80 characters that can be printed.",
        "Line 7: 3 cells, but the first line has 2. A name with a comma stands in quotation marks.",
        "Line 8: there is no group Old course.",
    ]
    assert [each.name for each in list_accounts(session)] == ["Ada Pump"]


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        ("", ["The list is empty."]),
        ("\n \n", ["The list is empty."]),
        ("name\n", ["There is nobody on the list."]),
        (
            "Ada Pump\nBen\n",
            [
                "Line 1: no column is called name. The first line of a list is name, or name,group.",
                "Line 1: the column 'ada pump' is not known; the columns are name and group.",
            ],
        ),
        ("name,e-mail\nAda,a\n", ["Line 1: the column 'e-mail' is not known; the columns are name and group."]),
        ("name,name\nAda,Ada\n", ["Line 1: the column name is there twice."]),
        ('name\nAda\n"Ben\n', ["Line 3: a quotation mark is not closed or stands alone."]),
        ("name\n" + "\n".join(f"P{n}" for n in range(501)), ["There are 501 people; at most 500 go at once."]),
        (
            "name\n" + "x" * 100_000,
            ["The list has 2 lines and more than 100000 characters; at most 500 people go at once."],
        ),
    ],
)
def test_lists_that_are_none(session, text, faults):
    assert list(people.read_list(session, text).faults) == faults


def test_five_hundred_people_at_once(session, clock):
    assert len(people.add_list(session, "name\n" + "\n".join(f"P{n}" for n in range(500)), clock())) == 500


def test_a_name_that_looks_like_a_formula_is_a_name(session, clock):
    (made,) = people.add_list(session, "name\n<b>=1+1</b>\n", clock())
    assert made.account.name == "<b>=1+1</b>"


# Everybody


def test_everybody_with_groups_states_and_guests(session, clock, shop, instructor):
    ada = people.add_person(session, "Ada", clock(), group_id=shop.group.id).account
    guest = add_learner(session, "", clock())
    groups.join(session, guest, shop.group.join_code, clock(), "Guest Gus")
    add_learner(session, "", clock())  # a browser that has joined nothing is nobody
    clock.advance(accounts.CODE_VALID)
    rows = people.list_people(session, clock())
    assert [(row.name, row.role, row.state, [name for _, name in row.groups]) for row in rows] == [
        ("Ada", "learner", "code expired", ["Night shift"]),
        ("Berend", "instructor", "active", []),
        ("Guest Gus", "guest", "active", ["Night shift"]),
    ]
    assert (rows[0].account_id, rows[2].account_id, rows[0].last_worked) == (ada.id, None, None)


def test_as_many_queries_for_ten_people_as_for_three_hundred(session, clock, database, shop, statements):
    counts = []
    for upto in (10, 300):
        names = [f"P{n}" for n in range(len(list_accounts(session)), upto)]
        people.add_list(session, "name\n" + "\n".join(names), clock(), group_id=shop.group.id)
        session.commit()
        counts.append([])
        for look in (
            lambda reader: people.list_people(reader, clock()),
            lambda reader: members_of(reader, shop.group.id),
            list_groups,
        ):
            statements.clear()
            with database.reading() as reader:
                found = look(reader)
            counts[-1].append(len([each for each in statements if each.startswith("SELECT")]))
            assert len(found) in (upto, 1)
    assert counts == [[5, 1, 1], [5, 1, 1]]


# Groups


def test_a_group_has_one_name_and_a_code(session, clock, shop):
    assert len(shop.group.join_code) == 9
    with pytest.raises(Conflict, match="There is a group Night shift already"):
        groups.make_group(session, " NIGHT  shift", clock())
    assert groups.rename_group(session, shop.group.id, "Night Shift", clock()).name == "Night Shift"
    groups.archive_group(session, shop.group.id, clock())
    with pytest.raises(Conflict, match="archived group Night Shift"):
        groups.make_group(session, "night shift", clock())
    assert (list_groups(session), len(list_groups(session, archived=True))) == ([], 1)
    with pytest.raises(NotFound):
        get_group(session, uuid4())


def test_a_code_admits_until_it_is_renewed_or_the_group_archived(session, clock, shop):
    guest, code = add_learner(session, "", clock()), shop.group.join_code
    with pytest.raises(TrainerError, match="A name has 1 to 80"):
        groups.join(session, guest, code, clock())
    assert members_of(session, shop.group.id) == []
    groups.join(session, guest, f" {code.lower().replace('-', ' ')} ", clock(), "Gus")
    assert (guest.name, [member.name for member in members_of(session, shop.group.id)]) == ("Gus", ["Gus"])
    renewed = groups.renew_code(session, shop.group.id, clock()).join_code
    for refused in (code, "", "AAAA-AAAA"):
        with pytest.raises(NotFound, match="That code admits to no group"):
            groups.join(session, guest, refused, clock())
    assert group_by_code(session, renewed).id == shop.group.id
    groups.archive_group(session, shop.group.id, clock())
    with pytest.raises(NotFound):
        groups.join(session, guest, renewed, clock())


def test_who_leaves_keeps_the_row_and_may_come_back(session, clock, shop, learner):
    groups.add_member(session, shop.group.id, learner.id, clock())
    groups.remove_member(session, shop.group.id, learner.id, clock())
    assert (members_of(session, shop.group.id), groups_of(session, learner.id)) == ([], [])
    (past,) = members_of(session, shop.group.id, past=True)
    assert (past.learner_id, past.ended) == (learner.id, clock())
    groups.add_member(session, shop.group.id, learner.id, clock())
    assert [member.joined for member in members_of(session, shop.group.id)] == [past.joined]


# The whole record


@pytest.fixture
def whole(session, clock, shop, library):
    """A person with a row in every table there is."""
    made = people.add_person(session, "Ada Pump", clock(), group_id=shop.group.id).account
    ada = session.get(Learner, made.learner_id)
    given = shop.open(minutes=60)
    done = shop.work(ada, given, RIGHT)
    attempt = shop.attempts(done)["booster"]
    reviews.override(session, attempt.id, 0.5, "Typing", INSTRUCTOR, clock())
    reviews.remark(session, attempt.id, "Good.", INSTRUCTOR, clock())
    reviews.complain(session, attempt.id, ada.id, "Unit?", clock())
    reviews.kept.add_remarking(
        session,
        attempt.id,
        value_before=1.0,
        value_after=1.0,
        snapshot={},
        reason="Key",
        by_name=INSTRUCTOR,
        at=clock(),
    )
    time_limits.extend(session, given.id, ada.id, minutes=5, reason="Ill", by_name=INSTRUCTOR, at=clock())
    keep_draft(session, attempt.id, "value", "11", clock())
    signoffs.sign_off(session, library, ada.id, "S3.2", INSTRUCTOR, clock(), "Word.")
    signoffs.witness(
        session,
        library,
        ada.id,
        "S3.2",
        what="Range",
        equipment="Bench",
        seen_by="Anke",
        seen_on=clock().date(),
        by_name=INSTRUCTOR,
        at=clock(),
    )
    start_web_session(session, clock(), ada.id)
    made.passphrase_hash = "scrypt:kept"
    session.flush()
    return ada


OTHERS = {"study_group", "problem_set", "set_problem", "set_edit", "sign_in_failure", "paper"}  # nobody's own


def counts(session):
    return {
        name: session.scalar(select(func.count()).select_from(table)) for name, table in Base.metadata.tables.items()
    }


def test_the_record_holds_every_table_and_nothing_that_lets_anybody_in(session, clock, whole):
    assert {name for name, number in counts(session).items() if not number} == {"sign_in_failure", "paper"}
    exported = json.loads(json.dumps(export_person(session, whole.id, clock())))
    assert set(exported["record"]) == set(Base.metadata.tables) - OTHERS - {"web_session", "sign_in_code"}
    assert all(exported["record"].values())
    assert exported["name"] == "Ada Pump"
    assert exported["record"]["attempt"][0]["snapshot"]["problem"] == "booster"
    assert {entry["text"] for entry in exported["record"]["entry"]} == {"0.45", "112.5", "0.25", "2.5"}
    assert "scrypt" not in json.dumps(exported)


def test_a_record_is_deleted_whole_with_the_key_of_its_newest_export(session, clock, whole, shop, library):
    other = shop.learner("Ben")
    kept = shop.work(other, shop.open(title="Week 2"), WRONG)
    before = export_person(session, other.id, clock())
    key = export_person(session, whole.id, clock())["deletion_key"]
    for wrong in ("", "AAAA-AAAA", before["deletion_key"]):
        with pytest.raises(Conflict, match="key of its export"):
            delete_person(session, whole.id, wrong)
    reviews.remark(session, shop.attempts(kept)["booster"].id, "Of another.", INSTRUCTOR, clock())
    signoffs.sign_off(session, library, whole.id, "S3.2", INSTRUCTOR, clock(), "One more.")
    with pytest.raises(Conflict, match="changed since"):
        delete_person(session, whole.id, key)
    delete_person(session, whole.id, export_person(session, whole.id, clock())["deletion_key"].lower())
    session.commit()
    session.expire_all()
    left = counts(session)
    owned = set(Base.metadata.tables) - OTHERS
    expected = {table: len(rows) for table, rows in export_person(session, other.id, clock())["record"].items()}
    assert {table: left[table] for table in owned} == dict.fromkeys(owned, 0) | expected
    assert account_of(session, whole.id) is None
    with pytest.raises(NotFound):
        export_person(session, whole.id, clock())
    with pytest.raises(NotFound):
        delete_person(session, whole.id, key)
