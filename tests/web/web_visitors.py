"""A browser without a screen, and the ways in which tests of the pages use it."""

import re
import sqlite3
from uuid import UUID

from flask import Flask
from sqlalchemy import select

from trainer.practice import attempts
from trainer.practice.accounts import add_person
from trainer.storage.entries import KeptEntry, entries_of
from trainer.storage.models import Attempt, Learner
from trainer.units import format_number
from trainer.web.services import Services
from trainer.worksheets.snapshot import Snapshot

TOKENS = re.compile(r'(name="(?:csrf|form)_token" value=")[^"]+')
BRINE = "brine-chiller-current"


def services_of(app: Flask) -> Services:
    return app.extensions["trainer"]


def dump(app: Flask) -> str:
    """The whole database as text."""
    with sqlite3.connect(services_of(app).database.file) as connection:
        return "\n".join(connection.iterdump())


def count(app: Flask, table: type) -> int:
    with services_of(app).database.reading() as session:
        return len(session.scalars(select(table.id)).all())


def entries(app: Flask, sheet: str) -> list[KeptEntry]:
    with services_of(app).database.reading() as session:
        return entries_of(session, attempt_of(sheet))


class Visitor:
    """A browser: its cookies, and the forms of the pages it has seen."""

    def __init__(self, app: Flask) -> None:
        self.app, self.client = app, app.test_client()

    def get(self, address: str, **more):
        return self.client.get(address, buffered=True, **more)

    def page(self, address: str) -> str:
        answer = self.get(address)
        assert answer.status_code == 200, (address, answer.status_code)
        return answer.get_data(as_text=True)

    def csrf(self) -> str:
        return csrf_in(self.page("/preferences/"))

    def post(self, address: str, _csrf: str | None = "own", **form):
        token = self.csrf() if _csrf == "own" else _csrf
        return self.client.post(address, data=form | ({"csrf_token": token} if token is not None else {}))

    def become_guest(self) -> UUID:
        """Make a guest by a first form, and tell who it is."""
        before = learners(self.app)
        assert self.post("/preferences/", decimal_sign=".", temperature_unit="°C").status_code == 303
        self.page("/preferences/")  # which says once that they are kept
        (new,) = learners(self.app) - before
        return new

    def become_instructor(self) -> None:
        """Open an instructor's account by its code."""
        found = services_of(self.app)
        with found.database.writing() as session:
            made = add_person(session, "Ina", "instructor", found.clock())
        words = "four tinned ferrules"
        assert self.post("/code", code=made.code, passphrase=words, again=words).status_code == 303

    def start(self, problem: str = BRINE, mode: str = "guided") -> str:
        """Start a sheet and give its address."""
        answer = self.post(f"/problems/{problem}/start", mode=mode)
        assert answer.status_code == 303, answer.get_data(as_text=True)
        return answer.location

    def enter(self, sheet: str, step: str, text: str, token: str = "", **form):
        self.typed = getattr(self, "typed", 0) + 1
        form = {"step": step, "entry": text, "form_token": token or f"form-{self.typed}"} | form
        return self.post(f"{sheet}/entries", **form)


def learners(app: Flask) -> set[UUID]:
    with services_of(app).database.reading() as session:
        return set(session.scalars(select(Learner.id)))


def start_with_seed(app: Flask, learner: UUID, problem: str, mode: str, seed: int) -> str:
    found = services_of(app)
    with found.database.writing() as session:
        attempt = attempts.start(session, learner, found.library.problems[problem], mode, found.clock(), seed)
    return f"/sheets/{attempt.id}"


def attempt_of(sheet: str) -> UUID:
    return UUID(sheet.rpartition("/")[2])


def snapshot_of(app: Flask, sheet: str) -> Snapshot:
    with services_of(app).database.reading() as session:
        kept = session.scalars(select(Attempt.snapshot).where(Attempt.id == attempt_of(sheet))).one()
    return Snapshot.from_json(kept)


def right(snapshot: Snapshot, step: str, decimal: str = ".") -> str:
    """The right text for a step that asks for a number."""
    asked = snapshot.step(step)
    return format_number(asked.value, asked.decimals, decimal)


def csrf_in(page: str) -> str:
    return re.search(r'name="csrf_token" value="([^"]+)', page)[1]


def without_tokens(page: str) -> str:
    return TOKENS.sub(r"\1", page)
