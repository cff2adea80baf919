from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from trainer.clock import StoppedClock
from trainer.settings import load_settings
from trainer.storage.attempts import start_attempt
from trainer.storage.database import Database
from trainer.storage.entries import NewMark
from trainer.storage.learners import add_learner
from trainer.storage.models import Attempt, Learner
from trainer.storage.schema import open_storage


@pytest.fixture
def clock() -> StoppedClock:
    return StoppedClock(datetime(2026, 3, 2, 7, 30, tzinfo=UTC))


@pytest.fixture
def database(tmp_path, clock) -> Iterator[Database]:
    opened = open_storage(load_settings(tmp_path, {}), clock)
    yield opened
    opened.close()


@pytest.fixture
def session(database) -> Iterator[Session]:
    with database.new_session(writing=True) as opened:
        yield opened


@pytest.fixture
def learner(session, clock) -> Learner:
    return add_learner(session, "Ada Pump", clock())


@pytest.fixture
def start(session, learner, clock) -> Callable[..., Attempt]:
    def start(**changes) -> Attempt:
        wanted = {
            "learner_id": learner.id,
            "at": clock(),
            "source": "cold-store-reading",
            "seed": 7,
            "worksheet": "reading-from-current",
            "worksheet_version": 1,
            "skill": "scaling",
            "mode": "unguided",
            "snapshot": {"title": "Cold store", "givens": [{"name": "current", "value": 11.2, "unit": "mA"}]},
        }
        return start_attempt(session, **(wanted | changes))

    return start


@pytest.fixture
def attempt(start) -> Attempt:
    return start()


@pytest.fixture
def right() -> NewMark:
    return NewMark("right", 1.0, "Right.", {"right": 0.45, "tolerance": 0.001})


@pytest.fixture
def wrong() -> NewMark:
    return NewMark("slip", 0.0, "Take off the live zero first.", {"right": 0.45, "tolerance": 0.001}, "no live zero")


@pytest.fixture
def unread() -> NewMark:
    return NewMark("unread", None, "A number is wanted.", {"right": 0.45, "tolerance": 0.001})


@pytest.fixture
def statements(database) -> list[str]:
    """What is sent to the database, in order."""
    sent: list[str] = []

    def listen(_connection, _cursor, statement, *_rest) -> None:
        sent.append(statement)

    for engine in (database.readers, database.writer):
        event.listen(engine, "before_cursor_execute", listen)
    return sent
