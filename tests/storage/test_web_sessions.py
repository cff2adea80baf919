from datetime import timedelta

import pytest
from sqlalchemy import text

from trainer.storage.learners import add_learner
from trainer.storage.web_sessions import (
    clear_web_sessions,
    end_web_session,
    end_web_sessions_of,
    find_web_session,
    give_web_session,
    start_web_session,
    touch_due,
    touch_web_session,
)


def kept(session) -> int:
    return session.scalar(text("SELECT count(*) FROM web_session"))


def test_a_token_finds_its_session(session, learner, clock):
    token = start_web_session(session, clock(), learner.id)

    assert find_web_session(session, token, clock()).learner_id == learner.id
    assert find_web_session(session, token + "x", clock()) is None
    assert find_web_session(session, "", clock()) is None
    assert find_web_session(session, "\udcff", clock()) is None


def test_tokens_are_long_and_never_the_same(session, clock):
    tokens = {start_web_session(session, clock()) for _ in range(50)}

    assert len(tokens) == 50
    assert min(map(len, tokens)) == 43  # 256 bits, six to a letter


def test_the_token_is_not_in_the_database(tmp_path, database, clock):
    with database.writing() as session:
        token = start_web_session(session, clock())
    stored = b"".join(path.read_bytes() for path in tmp_path.glob("trainer.db*"))

    assert token.encode() not in stored


@pytest.mark.parametrize(
    ("away", "alive"),
    [(timedelta(days=14) - timedelta(seconds=1), True), (timedelta(days=14), False)],
)
def test_a_guest_may_stay_away_fourteen_days(session, clock, away, alive):
    token = start_web_session(session, clock())
    clock.advance(away)

    assert (find_web_session(session, token, clock()) is not None) is alive


def test_a_session_in_use_lasts_180_days_and_no_more(session, clock):
    token = start_web_session(session, clock())
    for _ in range(179):
        clock.advance(timedelta(days=1))
        touch_web_session(session, token, clock())
    assert find_web_session(session, token, clock()) is not None

    clock.advance(timedelta(days=1))
    touch_web_session(session, token, clock())
    assert find_web_session(session, token, clock()) is None


def test_limits_may_be_tighter(session, clock):
    token = start_web_session(session, clock(), idle=timedelta(minutes=30), absolute=timedelta(hours=1))
    clock.advance(timedelta(minutes=29))
    touch_web_session(session, token, clock(), idle=timedelta(minutes=30))
    clock.advance(timedelta(minutes=29))
    assert find_web_session(session, token, clock()) is not None

    touch_web_session(session, token, clock(), idle=timedelta(minutes=30))
    clock.advance(timedelta(minutes=2))
    assert find_web_session(session, token, clock()) is None


def test_a_touch_is_written_at_most_once_a_minute(session, clock):
    begun = clock()
    token = start_web_session(session, begun)
    clock.advance(timedelta(seconds=59))
    found = find_web_session(session, token, clock())
    assert not touch_due(found, clock())
    touch_web_session(session, token, clock())
    assert found.last_seen == begun

    clock.advance(timedelta(seconds=1))
    assert touch_due(found, clock())
    touch_web_session(session, token, clock())
    session.expire_all()
    assert found.last_seen == clock()


def test_a_touch_does_not_wake_an_ended_session(session, clock):
    token = start_web_session(session, clock())
    clock.advance(timedelta(days=15))
    touch_web_session(session, token, clock())

    assert find_web_session(session, token, clock()) is None


def test_a_guest_becomes_a_learner_once(session, learner, clock):
    other = add_learner(session, "Ben Weir", clock())
    token = start_web_session(session, clock())
    give_web_session(session, token, learner.id)
    give_web_session(session, token, other.id)

    assert find_web_session(session, token, clock()).learner_id == learner.id


def test_an_ended_session_is_dead(session, clock):
    token, other = start_web_session(session, clock()), start_web_session(session, clock())
    end_web_session(session, token)

    assert find_web_session(session, token, clock()) is None
    assert find_web_session(session, other, clock()) is not None


def test_all_sessions_of_a_learner_end_but_this_one(session, learner, clock):
    here, elsewhere = (start_web_session(session, clock(), learner.id) for _ in range(2))
    guest = start_web_session(session, clock())
    end_web_sessions_of(session, learner.id, but=here)
    assert [find_web_session(session, token, clock()) is not None for token in (here, elsewhere, guest)] == [
        True,
        False,
        True,
    ]

    end_web_sessions_of(session, learner.id)
    assert find_web_session(session, here, clock()) is None


def test_sessions_past_a_limit_are_cleared(session, clock):
    start_web_session(session, clock())
    clock.advance(timedelta(days=10))
    start_web_session(session, clock())
    clock.advance(timedelta(days=5))
    clear_web_sessions(session, clock())

    assert kept(session) == 1
