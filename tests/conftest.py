"""What every test may ask for."""

import os
from collections.abc import Callable

import pytest


@pytest.fixture(scope="session")
def needs() -> Callable[[str, object, str], None]:
    """Skip a test for which a tool is missing; with TRAINER_TEST_ALL=1 that is a failure."""

    def needs(what: str, present: object, reason: str) -> None:
        if present:
            return
        said = f"{what} is missing: {reason}"
        if os.environ.get("TRAINER_TEST_ALL") == "1":
            pytest.fail(said)
        pytest.skip(said)

    return needs


@pytest.fixture(scope="session")
def node_modules() -> str:
    """The folder with the packages of npm: they are tools of tests, not of the program."""
    return os.environ.get("TRAINER_NODE_MODULES", "node_modules")
