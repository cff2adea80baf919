"""PCs that know nothing of each other, a person who works on them, and files carried between them."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from set_shop import BOOSTER
from sqlalchemy.orm import Session

from trainer.clock import StoppedClock
from trainer.exchange.handovers import pack, unpack
from trainer.practice import attempts, reviews
from trainer.practice.handovers import OF_ATTEMPT, TABLES, Arrival, collect, hand_over
from trainer.settings import load_settings
from trainer.storage import reviews as kept_reviews
from trainer.storage.attempts import note_aid
from trainer.storage.database import Database
from trainer.storage.drafts import keep_draft
from trainer.storage.entries import entries_of
from trainer.storage.handovers import rows_with
from trainer.storage.learners import add_learner, change_learner, get_learner
from trainer.storage.models import Learner
from trainer.storage.records import record_of
from trainer.storage.schema import open_storage

CLOCK = StoppedClock(datetime(2026, 3, 2, 7, 30, tzinfo=UTC))
ORIGIN = UUID(int=7)


class Pc:
    """One installation."""

    def __init__(self, folder, name: str) -> None:
        self.name, self.database = name, open_storage(load_settings(folder / name, {}), CLOCK)
        self.tokens = 0

    def handed_over(self, learner_id: UUID) -> bytes:
        with self.database.reading() as session:
            return pack(hand_over(session, learner_id), CLOCK(), ORIGIN)

    def collect(self, content: bytes, into: UUID | None = None) -> Arrival:
        with self.database.writing() as session:
            return collect(session, unpack(content).carried, into)

    def state(self, learner_id: UUID) -> dict:
        """All rows of a person that travel, in one order."""
        return state_in(self.database, learner_id)

    def person(self, name: str = "Ada Pump") -> UUID:
        with self.database.writing() as session:
            return add_learner(session, name, CLOCK()).id

    def start(self, learner_id: UUID, mode: str = "guided") -> UUID:
        CLOCK.advance(timedelta(seconds=1))
        with self.database.writing() as session:
            return attempts.start(session, learner_id, BOOSTER, mode, CLOCK()).id

    def enter(self, learner_id: UUID, attempt_id: UUID, step: str, text: str, token: str = "") -> None:
        CLOCK.advance(timedelta(seconds=1))
        self.tokens += 1
        with self.database.writing() as session:
            known: Learner = get_learner(session, learner_id)
            token = token or f"{self.name}-{self.tokens}"
            attempts.enter(session, attempt_id, known, step, text, token, CLOCK())

    def __getattr__(self, name: str):
        """Any of the acts below, in a transaction of its own, a second later."""
        if name not in ACTS:
            raise AttributeError(name)

        def act(*given, **more):
            CLOCK.advance(timedelta(seconds=1))
            with self.database.writing() as session:
                return ACTS[name](session, *given, **more)

        return act


def state_in(database: Database, learner_id: UUID) -> dict:
    with database.reading() as session:
        record = record_of(session, learner_id)
    left_out = ("set_try_id", "set_problem_id")
    return {
        name: sorted(
            ({key: value for key, value in row.items() if key not in left_out} for row in record[name]), key=repr
        )
        for name in TABLES
    }


def _preferences(session: Session, learner_id: UUID, sign: str) -> None:
    change_learner(session, learner_id, CLOCK(), decimal_sign=sign)


def _solution(session: Session, attempt_id: UUID, learner_id: UUID) -> None:
    attempts.open_solution(session, attempt_id, learner_id, CLOCK())


def _answer(session: Session, complaint_id: UUID, text: str) -> None:
    reviews.answer(session, complaint_id, text, "Ina", CLOCK())


def _sign_off(session: Session, learner_id: UUID) -> UUID:
    signed = kept_reviews.add_sign_off(
        session, learner_id, "S3.2", by_name="Ina", remark="At the panel.", evidence={"value": 0.9}, at=CLOCK()
    )
    return signed.id


def _withdraw(session: Session, sign_off_id: UUID, reason: str) -> None:
    signed = kept_reviews.get_sign_off(session, sign_off_id)
    if signed.withdrawn is None:
        signed.withdrawn, signed.withdrawn_by, signed.withdrawn_reason = CLOCK(), "Ina", reason


def _witness(session: Session, learner_id: UUID) -> None:
    kept_reviews.add_witnessed(
        session,
        learner_id,
        "S3.2",
        what="Checked a loop at five points.",
        equipment="Loop 12",
        seen_by="Ina",
        seen_on=date(2026, 3, 2),
        entered_by="Ina",
        at=CLOCK(),
    )


ACTS = {
    "preferences": _preferences,
    "steps": lambda session, attempt_id, learner_id: attempts.open_steps(session, attempt_id, learner_id),
    "aid": lambda session, attempt_id: note_aid(session, attempt_id),
    "solution": _solution,
    "draft": lambda session, attempt_id, text: keep_draft(session, attempt_id, "value", text, CLOCK()),
    "remark": lambda session, attempt_id: reviews.remark(session, attempt_id, "Mind the zero.", "Ina", CLOCK()),
    "override": lambda session, attempt_id, value: kept_reviews.add_override(
        session, attempt_id, value, "Seen on paper.", "Ina", CLOCK()
    ),
    "complain": lambda session, attempt_id: kept_reviews.add_complaint(session, attempt_id, "Odd.", CLOCK()).id,
    "answer": _answer,
    "sign_off": _sign_off,
    "withdraw": _withdraw,
    "witness": _witness,
    "entries": lambda session, attempt_id: entries_of(session, attempt_id),
    "rows": lambda session, name, column, values: rows_with(session, name, column, values),
    "drafts": lambda session, attempt_id: rows_with(session, "draft", "attempt_id", [attempt_id]),
}
assert set(OF_ATTEMPT) <= set(TABLES)
