"""Signing in: codes that work once, throttling by name and address, and a guest's work brought along."""

from dataclasses import replace
from datetime import timedelta

import pytest
from set_shop import RIGHT, Shop
from werkzeug.security import generate_password_hash

from trainer.errors import TrainerError
from trainer.practice import accounts, groups, passphrases
from trainer.practice.accounts import SignInRefused, Throttled
from trainer.storage.accounts import account_of, find_account, get_account
from trainer.storage.attempts import attempts_of
from trainer.storage.evidence import evidence_of
from trainer.storage.groups import members_of
from trainer.storage.learners import add_learner, get_learner
from trainer.storage.set_tries import tries_of
from trainer.storage.web_sessions import find_web_session, start_web_session

PHRASE, HOME = "three word phrase", "10.0.0.7"


@pytest.fixture
def database(database, monkeypatch):
    """Hashing as it is, at a cost that tests can bear."""
    monkeypatch.setattr(passphrases, "METHOD", "scrypt:1024:8:1")
    passphrases._nobody.cache_clear()
    yield database
    passphrases._nobody.cache_clear()


@pytest.fixture
def ada(database, clock):
    """An account that has been opened."""
    with database.writing() as session:
        made = accounts.add_person(session, "Ada Pump", "learner", clock())
    return accounts.redeem(database, made.code, "", PHRASE, HOME, clock())


def fail(database, clock, times=1, name="Ada Pump", address=HOME):
    for _ in range(times):
        with pytest.raises(SignInRefused):
            accounts.sign_in(database, name, "wrong wrong wrong", address, clock())


# Codes


def test_codes_are_read_out_without_doubt():
    drawn = {accounts.new_code() for _ in range(500)}
    assert len(drawn) == 500
    signs = set("".join(drawn))
    assert signs.isdisjoint("IO01")
    assert len(signs) == 33
    assert all(len(code) == 9 and code[4] == "-" for code in drawn)


@pytest.mark.parametrize("typed", ["ABCD-2345", "abcd2345", " abcd 2345 ", "AB-CD-23-45"])
def test_a_code_may_be_typed_anyhow(typed):
    assert accounts.plain_code(typed) == "ABCD-2345"


def test_the_first_instructor_comes_by_a_code_of_a_fresh_database_once(database, clock):
    with database.writing() as session:
        code = accounts.first_code(session, clock())
    made = accounts.redeem(database, code, "Berend", PHRASE, HOME, clock())
    assert (made.name, made.role) == ("Berend", "instructor")
    with pytest.raises(SignInRefused):
        accounts.redeem(database, code, "Mallory", PHRASE, HOME, clock())
    with database.writing() as session:
        assert accounts.first_code(session, clock()) is None
        assert find_account(session, "Mallory") is None


def test_a_second_first_code_ends_the_one_before(database, clock):
    with database.writing() as session:
        old = accounts.first_code(session, clock())
    with database.writing() as session:
        new = accounts.first_code(session, clock())
    with pytest.raises(SignInRefused):
        accounts.redeem(database, old, "Berend", PHRASE, HOME, clock())
    assert accounts.redeem(database, new, "Berend", PHRASE, HOME, clock()).role == "instructor"


def test_a_code_holds_for_seven_days_and_is_not_spent_by_a_bad_passphrase(database, clock):
    with database.writing() as session:
        made = accounts.add_person(session, "Ada Pump", "learner", clock())
    for bad in ("short", "password", "ada pump"):
        with pytest.raises(TrainerError):
            accounts.redeem(database, made.code, "Ada Pump", bad, HOME, clock())
    clock.advance(timedelta(days=7) - timedelta(seconds=1))
    assert accounts.redeem(database, made.code, "", PHRASE, HOME, clock()).id == made.account.id
    with database.writing() as session:
        late = accounts.add_person(session, "Ben", "learner", clock())
    clock.advance(timedelta(days=7))
    with pytest.raises(SignInRefused):
        accounts.redeem(database, late.code, "", PHRASE, HOME, clock())


def test_a_code_ends_other_sessions_and_opens_no_disabled_account(database, clock, ada):
    with database.writing() as session:
        token = start_web_session(session, clock(), ada.learner_id)
        code = accounts.give_code(session, get_account(session, ada.id), clock())
    accounts.redeem(database, code, "", "another three words", HOME, clock())
    with database.writing() as session:
        assert find_web_session(session, token, clock()) is None
        account = get_account(session, ada.id)
        code = accounts.give_code(session, account, clock())
        accounts.disable(session, account, clock())
    with pytest.raises(SignInRefused):
        accounts.redeem(database, code, "", PHRASE, HOME, clock())


# Signing in


def test_a_name_is_known_by_any_capitals_and_the_passphrase_by_its_own(database, clock, ada):
    assert accounts.sign_in(database, "  ada  PUMP ", PHRASE, HOME, clock()).id == ada.id
    with pytest.raises(SignInRefused):
        accounts.sign_in(database, "Ada Pump", PHRASE.upper(), HOME, clock())


def test_who_is_unknown_disabled_or_without_passphrase_is_refused_alike(database, clock, ada):
    with database.writing() as session:
        accounts.add_person(session, "Ben", "learner", clock())
        accounts.disable(session, get_account(session, ada.id), clock())
    said = set()
    for name in ("Nobody", "Ben", "Ada Pump"):
        with pytest.raises(SignInRefused) as refused:
            accounts.sign_in(database, name, PHRASE, f"10.0.1.{len(said)}", clock())
        said.add(str(refused.value))
    assert len(said) == 1


# OWASP ASVS 5.0.0, V6.3.1: failed tries are throttled; five in a quarter of an hour are this program's own limits
def test_the_sixth_try_waits_for_the_first_to_be_a_quarter_of_an_hour_old(database, clock, ada):
    for _ in range(5):
        fail(database, clock)
        clock.advance(timedelta(minutes=1))
    with pytest.raises(Throttled) as refused:
        accounts.sign_in(database, "Ada Pump", PHRASE, HOME, clock())
    assert refused.value.wait == 10 * 60
    clock.advance(timedelta(minutes=10))
    assert accounts.sign_in(database, "Ada Pump", PHRASE, HOME, clock()).id == ada.id


def test_others_are_not_kept_waiting(database, clock, ada):
    with database.writing() as session:
        code = accounts.add_person(session, "Ben", "learner", clock()).code
    accounts.redeem(database, code, "", PHRASE, "10.0.0.8", clock())
    fail(database, clock, 5)
    assert accounts.sign_in(database, "Ben", PHRASE, "10.0.0.8", clock()).name == "Ben"
    with pytest.raises(Throttled):
        accounts.sign_in(database, "Ada Pump", PHRASE, "10.0.0.9", clock())  # the name is looked after everywhere
    with pytest.raises(Throttled):
        accounts.sign_in(database, "Ben", PHRASE, HOME, clock())  # and the address for every name


def test_codes_are_throttled_by_address(database, clock):
    for _ in range(5):
        with pytest.raises(SignInRefused):
            accounts.redeem(database, "AAAA-AAAA", "", PHRASE, HOME, clock())
    with pytest.raises(Throttled):
        accounts.redeem(database, "AAAA-AAAA", "", PHRASE, HOME, clock())


def test_signing_in_forgets_the_failures_of_the_name(database, clock, ada):
    fail(database, clock, 4)
    accounts.sign_in(database, "Ada Pump", PHRASE, "10.0.0.8", clock())
    fail(database, clock, 4, address="10.0.0.9")
    assert accounts.sign_in(database, "Ada Pump", PHRASE, "10.0.0.10", clock()).id == ada.id


def test_a_hash_of_an_older_cost_is_renewed_at_sign_in(database, clock, ada):
    with database.writing() as session:
        get_account(session, ada.id).passphrase_hash = generate_password_hash(PHRASE, "scrypt:512:8:1")
    accounts.sign_in(database, "Ada Pump", PHRASE, HOME, clock())
    with database.reading() as session:
        assert get_account(session, ada.id).passphrase_hash.startswith("scrypt:1024:8:1$")


def test_another_passphrase_takes_the_old_one_and_ends_sessions(database, clock, ada):
    with database.writing() as session:
        token = start_web_session(session, clock(), ada.learner_id)
    with pytest.raises(SignInRefused):
        accounts.change_passphrase(database, ada, "not the old one", "another three words", clock())
    accounts.change_passphrase(database, ada, PHRASE, "another three words", clock())
    with database.reading() as session:
        assert find_web_session(session, token, clock()) is None
    with pytest.raises(SignInRefused):
        accounts.sign_in(database, "Ada Pump", PHRASE, HOME, clock())
    assert accounts.sign_in(database, "Ada Pump", "another three words", HOME, clock()).id == ada.id


# A guest's work


def test_a_guest_s_work_comes_along(session, clock, library, ada, database):
    shop = Shop(session, clock, library)
    person, guest = get_learner(session, ada.learner_id), add_learner(session, "", clock())
    groups.add_member(session, shop.group.id, person.id, clock())
    groups.join(session, guest, shop.group.join_code, clock(), "Gus")
    given = shop.open(tries=3)
    shop.work(person, given, RIGHT)
    shop.work(guest, given, RIGHT)
    shop.work(guest, given, {})
    accounts.take_over(session, guest, get_account(session, ada.id))
    session.expire_all()
    assert [(each.number, each.learner_id) for each in tries_of(session, given.id)] == [
        (n, person.id) for n in (1, 2, 3)
    ]
    assert (len(attempts_of(session, person.id)), attempts_of(session, guest.id)) == (6, [])
    assert len(evidence_of(session, person.id)) == 6
    assert [member.name for member in members_of(session, shop.group.id)] == ["Ada Pump"]


def test_the_work_of_who_has_an_account_is_not_taken_over(session, clock, library, ada):
    shop = Shop(session, clock, library)
    other = accounts.add_person(session, "Ben", "learner", clock()).account
    ben = get_learner(session, other.learner_id)
    groups.add_member(session, shop.group.id, ben.id, clock())
    shop.work(ben, shop.open(), RIGHT)
    accounts.take_over(session, ben, get_account(session, ada.id))
    accounts.take_over(session, None, get_account(session, ada.id))
    assert (len(attempts_of(session, ben.id)), attempts_of(session, ada.learner_id)) == (2, [])


def test_the_first_instructor_keeps_what_was_worked_as_a_guest(database, clock):
    with database.writing() as session:
        guest, code = add_learner(session, "", clock()), accounts.first_code(session, clock())
    made = accounts.redeem(database, code, "Berend", PHRASE, HOME, clock(), guest=guest.id)
    assert made.learner_id == guest.id
    with database.reading() as session:
        assert (get_learner(session, guest.id).name, account_of(session, guest.id).id) == ("Berend", made.id)


def test_the_code_of_an_account_is_no_name(clock, session):
    with pytest.raises(TrainerError, match="1 to 80"):
        accounts.check_name("a\x00b")
    assert accounts.check_name("  Ada   Pump ") == "Ada Pump"
    assert replace(accounts.add_person(session, "Cas", "learner", clock()), code="").account.passphrase_hash is None
