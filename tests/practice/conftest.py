import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import event

from trainer.clock import StoppedClock
from trainer.content.library import Library, read_library
from trainer.practice import attempts
from trainer.settings import load_settings
from trainer.storage.database import Database
from trainer.storage.entries import entries_of
from trainer.storage.learners import add_learner
from trainer.storage.schema import open_storage
from trainer.worksheets.draw import Fixed
from trainer.worksheets.problem import Problem

WORKSHEETS = read_library().worksheets

sys.path.append(str(Path(__file__).parent))  # for set_shop

MILLIAMPERES = ("signal", "signal_low", "signal_high")


@pytest.fixture
def clock() -> StoppedClock:
    return StoppedClock(datetime(2026, 3, 2, 7, 30, tzinfo=UTC))


@pytest.fixture
def database(tmp_path, clock) -> Iterator[Database]:
    opened = open_storage(load_settings(tmp_path, {}), clock)
    yield opened
    opened.close()


@pytest.fixture
def session(database):
    with database.new_session(writing=True) as opened:
        yield opened


@pytest.fixture
def learner(session, clock):
    return add_learner(session, "Ada Pump", clock())


@pytest.fixture(scope="session")
def library() -> Library:
    return read_library()


@pytest.fixture
def booster() -> Problem:
    """4-20 mA over 0-250 kPa at 11.20 mA: 0.45 and 112.5 kPa by hand; with the live zero left in 0.56 and 140."""
    values = {"lower": 0.0, "upper": 250.0, "signal_low": 4.0, "signal_high": 20.0, "signal": 11.2}
    return Problem(
        id="booster",
        worksheet=WORKSHEETS["value-from-signal"],
        title="Booster pump",
        text="A meter reads {signal}.",
        level="F",
        place="water works",
        draws=tuple(Fixed(name, value) for name, value in values.items()),
        skill="S3.2",
        units={"lower": "kPa", "upper": "kPa"} | dict.fromkeys(MILLIAMPERES, "mA"),
    )


@pytest.fixture
def statements(database) -> list[str]:
    """What is sent to the database, in order."""
    sent: list[str] = []

    def listen(_connection, _cursor, statement, *_rest) -> None:
        sent.append(statement)

    for engine in (database.readers, database.writer):
        event.listen(engine, "before_cursor_execute", listen)
    return sent


class Work:
    """One attempt and its learner."""

    def __init__(self, session, learner, clock, problem, mode) -> None:
        self.session, self.learner, self.clock = session, learner, clock
        self.attempt = attempts.start(session, learner.id, problem, mode, clock())
        self.worksheets = WORKSHEETS
        self._tokens = count(1)

    def enter(self, step, text, token=""):
        self.clock.advance(timedelta(seconds=20))
        token = token or f"form-{next(self._tokens)}"
        when = self.clock()
        return attempts.enter(self.session, self.attempt.id, self.learner, step, text, token, when, self.worksheets)

    @property
    def entries(self):
        return entries_of(self.session, self.attempt.id)

    @property
    def sheet(self):
        self.session.refresh(self.attempt)
        return attempts.sheet_of(self.attempt, self.entries)

    @property
    def states(self):
        return {row.step.name: row.state for row in self.sheet.rows}


@pytest.fixture
def work(session, learner, clock, booster):
    def begin(mode="guided", problem=booster, who=learner) -> Work:
        return Work(session, who, clock, problem, mode)

    return begin
