"""Signing in and out, by OWASP ASVS 5.0.0: V6.2, V6.3, V7.2, V7.4 and V3.7.2."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import func, select
from web_visitors import Visitor, count, services_of

from trainer.practice.accounts import add_person, first_code
from trainer.practice.passphrases import METHOD
from trainer.storage.accounts import find_account
from trainer.storage.models import Account, Attempt, SignInFailure, WebSession

WORDS = "seven copper bends"


@pytest.fixture
def person(app):
    """An account for Wim, and the code that opens it."""
    found = services_of(app)
    with found.database.writing() as session:
        return add_person(session, "Wim", "learner", found.clock())


def open_account(visitor: Visitor, code: str, name: str = "", passphrase: str = WORDS):
    return visitor.post("/code", code=code, name=name, passphrase=passphrase, again=passphrase)


def sign_in(visitor: Visitor, name: str = "Wim", passphrase: str = WORDS, **more):
    return visitor.post("/sign-in", name=name, passphrase=passphrase, **more)


def signed_in(visitor: Visitor) -> bool:
    return "Sign out" in visitor.page("/")


def test_a_fresh_folder_has_no_account_and_the_first_code_works_once(app, visitor):
    assert count(app, Account) == 0
    found = services_of(app)
    with found.database.writing() as session:
        code = first_code(session, found.clock())

    assert open_account(visitor, code.lower().replace("-", " "), "Greet").status_code == 303
    assert signed_in(visitor)
    with found.database.writing() as session:
        assert find_account(session, "greet").role == "instructor"
        assert first_code(session, found.clock()) is None
    again = open_account(Visitor(app), code, "Somebody else")
    assert again.status_code == 400
    assert count(app, Account) == 1


def test_a_code_opens_the_account_and_the_passphrase_lets_in_again(app, visitor, person):
    assert open_account(visitor, person.code).status_code == 303
    assert visitor.post("/sign-out").status_code == 303
    assert not signed_in(visitor)
    assert sign_in(visitor, "  wIM ").status_code == 303
    assert signed_in(visitor)


@pytest.mark.parametrize(
    ("passphrase", "said"),
    [
        ("short", "8 to 128 characters"),
        ("x" * 129, "8 to 128 characters"),
        ("password1", "among the first that are tried"),
        ("PassWord1", "among the first that are tried"),
    ],
)
def test_a_poor_passphrase_is_refused_and_the_code_not_spent(app, visitor, person, passphrase, said):
    answer = open_account(visitor, person.code, passphrase=passphrase)
    assert answer.status_code == 400
    assert said in answer.get_data(as_text=True)
    assert open_account(visitor, person.code).status_code == 303


def test_two_different_passphrases_are_refused(app, visitor, person):
    answer = visitor.post("/code", code=person.code, passphrase=WORDS, again=WORDS + ".")
    assert answer.status_code == 400
    assert "differ" in answer.get_data(as_text=True)


@pytest.mark.parametrize("passphrase", ["\N{GEAR}\N{WRENCH}" * 5, "a" * 72 + "b" * 20, "naïve ohms 4711"])
def test_any_characters_make_a_passphrase_and_none_is_cut(app, visitor, person, passphrase):
    open_account(visitor, person.code, passphrase=passphrase)
    visitor.post("/sign-out")
    assert sign_in(visitor, passphrase=passphrase[:72]).status_code == (303 if len(passphrase) <= 72 else 400)
    assert sign_in(visitor, passphrase=passphrase).status_code == 303


def test_passphrases_are_hashed_at_the_cost_that_is_asked(app, visitor, person):
    open_account(visitor, person.code)
    with services_of(app).database.reading() as session:
        assert find_account(session, "Wim").passphrase_hash.startswith(METHOD + "$")
    assert METHOD == "scrypt:32768:8:3"  # OWASP ASVS 5.0.0, appendix C


def test_the_sixth_bad_try_waits_and_others_do_not(app, visitor, person, clock):
    open_account(visitor, person.code)
    visitor.post("/sign-out")
    for _ in range(5):
        assert sign_in(visitor, passphrase="wrong words").status_code == 400
    blocked = sign_in(visitor)
    assert blocked.status_code == 429
    assert 0 < int(blocked.headers["Retry-After"]) <= 900
    elsewhere = Visitor(app)
    elsewhere.client.environ_base["REMOTE_ADDR"] = "192.0.2.7"
    assert sign_in(elsewhere, "Nobody", "wrong words").status_code == 400
    clock.advance(timedelta(minutes=16))
    assert sign_in(visitor).status_code == 303


def test_a_bad_try_does_not_tell_whether_the_name_is_known(app, visitor, person):
    def shown(answer) -> str:
        return re.sub(r'value="[^"]*"', "", answer.get_data(as_text=True))

    known = sign_in(visitor, "Wim", "wrong words")
    unknown = sign_in(visitor, "Nobody", "wrong words")
    assert (known.status_code, shown(known)) == (unknown.status_code, shown(unknown))


def test_signing_in_gives_a_new_session_and_signing_out_kills_it(app, visitor, person):
    visitor.become_guest()
    before = visitor.client.get_cookie("__Host-trainer").value
    open_account(visitor, person.code)
    within = visitor.client.get_cookie("__Host-trainer").value
    assert within != before
    visitor.post("/sign-out")
    for old in (before, within):
        replayed = Visitor(app)
        replayed.client.set_cookie("__Host-trainer", old)
        assert not signed_in(replayed)
        assert "Wim" not in replayed.page("/progress/")


def test_changing_the_passphrase_signs_out_everybody_else(app, visitor, person):
    open_account(visitor, person.code)
    other = Visitor(app)
    sign_in(other)
    answer = visitor.post("/passphrase", old=WORDS, passphrase="nine brass glands", again="nine brass glands")
    assert answer.status_code == 303
    assert signed_in(visitor)
    assert not signed_in(other)
    assert sign_in(other).status_code == 400
    assert sign_in(other, passphrase="nine brass glands").status_code == 303


def test_the_old_passphrase_is_asked_for_a_new_one(app, visitor, person):
    open_account(visitor, person.code)
    answer = visitor.post("/passphrase", old="guess of mine", passphrase="nine brass glands", again="nine brass glands")
    assert answer.status_code == 400
    visitor.post("/sign-out")
    assert sign_in(visitor).status_code == 303


def test_an_idle_browser_is_signed_out(app, visitor, person, clock):
    open_account(visitor, person.code)
    clock.advance(timedelta(minutes=59))
    assert signed_in(visitor)
    clock.advance(timedelta(minutes=59))
    assert signed_in(visitor)
    clock.advance(timedelta(minutes=61))
    assert not signed_in(visitor)


def test_pages_for_people_ask_to_sign_in_and_lead_back(app, visitor, person):
    asked = visitor.get("/passphrase")
    assert asked.status_code == 303
    assert asked.location == "/sign-in?next=/passphrase"
    assert visitor.post("/passphrase", old="x").status_code == 403
    open_account(visitor, person.code)
    visitor.post("/sign-out")
    assert sign_in(visitor, next="/passphrase").location == "/passphrase"


@pytest.mark.parametrize(
    "address", ["//evil.example", "https:evil.example", "\\\\evil.example", "/\\evil.example", "x"]
)
def test_nobody_is_led_away_after_signing_in(app, visitor, person, address):
    open_account(visitor, person.code)
    visitor.post("/sign-out")
    assert sign_in(visitor, next=address).location == "/"


def test_guests_may_bring_their_work_or_leave_it(app, visitor, person):
    visitor.start()
    other = Visitor(app)
    other.start()
    code = person.code
    assert visitor.post("/code", code=code, passphrase=WORDS, again=WORDS, bring="yes").status_code == 303
    sign_in(other)
    with services_of(app).database.reading() as session:
        owned = session.scalar(
            select(func.count()).select_from(Attempt).where(Attempt.learner_id == person.account.learner_id)
        )
    assert owned == 1


def test_no_passphrase_or_code_reaches_log_or_database(app, visitor, person, caplog):
    open_account(visitor, person.code)
    sign_in(visitor, passphrase="wrong words here")
    with services_of(app).database.reading() as session:
        kept = session.scalars(select(SignInFailure)).all()
    assert kept
    assert WORDS not in caplog.text
    assert person.code not in caplog.text
    text = "\n".join(services_of(app).database.file.read_bytes().decode("latin-1").split("\0"))
    assert WORDS not in text
    assert person.code not in text


def test_disabled_accounts_are_let_in_no_more(app, visitor, person):
    open_account(visitor, person.code)
    with services_of(app).database.writing() as session:
        find_account(session, "Wim").disabled = True
    visitor.post("/sign-out")
    assert sign_in(visitor).status_code == 400
    assert count_sessions(app) == 0


def count_sessions(app) -> int:
    with services_of(app).database.reading() as session:
        return session.scalar(select(func.count()).select_from(WebSession))
