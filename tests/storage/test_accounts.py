from datetime import timedelta
from uuid import uuid4

import pytest
from sqlalchemy import select
from sqlalchemy.exc import IntegrityError

from trainer.errors import Conflict, NotFound
from trainer.storage import accounts
from trainer.storage.attempts import get_attempt
from trainer.storage.groups import add_group, members_of, put_member
from trainer.storage.learners import add_learner
from trainer.storage.models import SignInCode, SignInFailure
from trainer.storage.set_tries import add_extension, tries_of

WEEK = timedelta(days=7)


@pytest.fixture
def account(session, learner, clock):
    return accounts.add_account(session, learner, "Ada Pump", accounts.LEARNER, clock())


# Unicode, NFKC and full case folding: the ligature, full-width letters and the German sharp s are the plain letters
@pytest.mark.parametrize("name", ["ada pump", "  ADA   Pump ", "Ada Pump", "ada\tpump"])
def test_a_name_is_one_however_it_is_written(session, account, name):
    assert accounts.find_account(session, name).id == account.id
    assert accounts.name_key("Straße ﬁne") == accounts.name_key("STRASSE FINE")


def test_a_name_is_taken_once(session, account, clock):
    other = add_learner(session, "Ada pump", clock())
    with pytest.raises(Conflict, match="the name ada PUMP is taken"):
        accounts.add_account(session, other, "ada PUMP", accounts.LEARNER, clock())


def test_a_learner_has_one_account(session, account, learner, clock):
    with pytest.raises(IntegrityError):
        accounts.add_account(session, learner, "Second", accounts.LEARNER, clock())


def test_accounts_are_found(session, account, learner):
    assert accounts.get_account(session, account.id) is account
    assert accounts.account_of(session, learner.id) is account
    assert accounts.account_of(session, uuid4()) is None
    assert accounts.find_account(session, "Ben") is None
    assert accounts.names_taken(session) == {"ada pump"}
    with pytest.raises(NotFound):
        accounts.get_account(session, uuid4())


def test_who_can_instruct(session, account):
    assert not accounts.has_instructor(session)
    account.role = accounts.INSTRUCTOR
    session.flush()
    assert not accounts.has_instructor(session)  # has not chosen a passphrase
    account.passphrase_hash = "kept"
    session.flush()
    assert accounts.has_instructor(session)
    assert not accounts.other_instructors(session, account.id)
    assert accounts.other_instructors(session, uuid4())
    account.disabled = True
    session.flush()
    assert not accounts.has_instructor(session)


def test_a_code_is_kept_as_a_hash_works_once_and_ends_the_one_before(session, account, clock):
    accounts.add_code(session, "AAAA-2222", account.id, clock(), WEEK)
    accounts.add_code(session, "BBBB-3333", account.id, clock(), WEEK)
    (kept,) = session.scalars(select(SignInCode))
    assert b"BBBB" not in kept.code_hash
    assert accounts.codes_waiting(session, clock()) == {account.id: clock() + WEEK}
    assert accounts.use_code(session, "AAAA-2222", clock()) is None
    assert accounts.use_code(session, "BBBB-3333", clock()).account_id == account.id
    assert accounts.use_code(session, "BBBB-3333", clock()) is None
    assert accounts.codes_waiting(session, clock()) == {}


def test_a_code_expires(session, account, clock):
    accounts.add_code(session, "AAAA-2222", account.id, clock(), WEEK)
    assert accounts.use_code(session, "AAAA-2222", clock() + WEEK) is None
    assert accounts.codes_waiting(session, clock() + WEEK) == {}


def test_the_code_of_one_account_leaves_others_alone(session, account, clock):
    accounts.add_code(session, "AAAA-2222", None, clock(), WEEK)
    accounts.add_code(session, "BBBB-3333", account.id, clock(), WEEK)
    assert accounts.codes_waiting(session, clock()) == {account.id: clock() + WEEK}
    assert accounts.use_code(session, "AAAA-2222", clock()).account_id is None


def test_failures_are_counted_by_who_and_time_without_naming_anybody(session, clock):
    begun = clock()
    for _ in range(3):
        accounts.note_failure(session, "name ada", clock())
        clock.advance(timedelta(minutes=1))
    accounts.note_failure(session, "name ben", clock())
    assert accounts.failures_since(session, "name ada", begun - timedelta(minutes=1)) == (3, begun)
    assert accounts.failures_since(session, "name ada", begun) == (2, begun + timedelta(minutes=1))
    assert accounts.failures_since(session, "name cas", begun) == (0, None)
    assert all(b"ada" not in row.who for row in session.scalars(select(SignInFailure)))
    accounts.clear_failures(session, "name ada", begun)
    assert len(list(session.scalars(select(SignInFailure)))) == 1


def test_guests_in_groups_and_what_everybody_does(session, learner, attempt, account, clock):
    guest = add_learner(session, "Gus", clock())
    group = add_group(session, "Night shift", "AAAA-2222", clock())
    for who in (learner, guest):
        put_member(session, group.id, who.id, clock())
    assert [each.id for each in accounts.guests_in_groups(session)] == [guest.id]
    assert accounts.groups_by_learner(session) == {who.id: [(group.id, "Night shift")] for who in (learner, guest)}
    assert accounts.last_worked(session) == {learner.id: attempt.started}


def test_work_that_is_owned_anew_is_all_of_it(session, learner, start, clock):
    guest = add_learner(session, "Gus", clock())
    made = start(learner_id=guest.id)
    group = add_group(session, "Night shift", "AAAA-2222", clock())
    put_member(session, group.id, guest.id, clock())
    accounts.own_work(session, guest.id, learner.id)
    session.expire_all()
    assert get_attempt(session, made.id).learner_id == learner.id
    assert [member.learner_id for member in members_of(session, group.id)] == [learner.id]
    assert tries_of(session, uuid4()) == []
    with pytest.raises(IntegrityError):
        add_extension(session, uuid4(), learner.id, minutes=1, due=None, reason="", by_name="", at=clock())
