from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest
from flask import Flask
from web_visitors import Visitor, services_of

from trainer.clock import StoppedClock
from trainer.content.library import Library, read_library
from trainer.web import app as web_app


@pytest.fixture(scope="session")
def library() -> Library:
    return read_library()


@pytest.fixture
def clock() -> StoppedClock:
    return StoppedClock(datetime(2026, 3, 2, 7, 30, tzinfo=UTC))


@pytest.fixture
def make_app(tmp_path, clock, library, monkeypatch) -> Iterator[Callable[..., Flask]]:
    """Make an application in the test's folder; the shipped content is read once for all tests."""
    made: list[Flask] = []
    for name in ("DATA", "DATABASE", "HOST"):
        monkeypatch.delenv(f"TRAINER_{name}", raising=False)

    def make_app(own: bool = False, **settings) -> Flask:
        with monkeypatch.context() as patch:
            if not own:
                patch.setattr(web_app, "read_library", lambda _folder: library)
            app = web_app.create_app(tmp_path, clock=clock, **{"zone": "UTC"} | settings)
        made.append(app)
        return app

    yield make_app
    for app in made:
        services_of(app).database.close()


@pytest.fixture
def app(make_app) -> Flask:
    return make_app()


@pytest.fixture
def visitor(app) -> Visitor:
    return Visitor(app)
