"""A real browser against a real server; nothing may leave this machine."""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from course_walk import Desk, Person

CODE = re.compile(r"\b[0-9A-Z]{4}-[0-9A-Z]{4}\b")
ARGUMENTS = ("--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu")
HERE = "127.0.0.1"


class Server:
    """A server of the program in a process of its own."""

    def __init__(self, data: Path, *options: str) -> None:
        clean = {key: value for key, value in os.environ.items() if not key.startswith("TRAINER_")}
        command = [sys.executable, "-c", "from trainer.cli import main; main()", "serve", "--port", "0"]
        self.process = subprocess.Popen(
            [*command, "--data", str(data), *options],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env=clean,
        )
        line = self.process.stdout.readline()
        found = re.search(r"http://\S+/", line)
        if found is None:
            self.stop()
            pytest.fail(f"the server did not start: {line!r} {self.told}")
        self.address = found[0]

    def stop(self) -> None:
        self.process.terminate()
        _, self.told = self.process.communicate(timeout=20)


@pytest.fixture(scope="session")
def demo_server(tmp_path_factory) -> Iterator[Server]:
    server = Server(tmp_path_factory.mktemp("demo"), "--demo")
    yield server
    server.stop()


@pytest.fixture(scope="session")
def server(tmp_path_factory) -> Iterator[Server]:
    """One server for tests that do not stop it: each browser profile is a guest of its own."""
    server = Server(tmp_path_factory.mktemp("shared"))
    yield server
    server.stop()


@pytest.fixture
def serve(tmp_path) -> Iterator[Callable[..., Server]]:
    """Start a server on the test's folder; again after it was stopped, if need be."""
    started: list[Server] = []

    def serve(*options: str) -> Server:
        started.append(Server(tmp_path / "data", *options))
        return started[-1]

    yield serve
    for server in started:
        if server.process.poll() is None:
            server.stop()


@pytest.fixture(scope="session")
def chromium(needs) -> Iterator[object]:
    found = next(
        (path for path in ("/usr/bin/chromium", shutil.which("chromium")) if path and Path(path).exists()), None
    )
    needs("chromium", found, "the browser that the pages are walked in")
    sync_api = pytest.importorskip("playwright.sync_api")
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=list(ARGUMENTS))
        yield browser
        browser.close()


@pytest.fixture
def open_page(chromium) -> Iterator[Callable[..., object]]:
    """Open a page in a new browser profile, and at the end see that it was quiet and stayed on this machine."""
    contexts, left, said = [], [], []

    def guard(route) -> None:
        if urlsplit(route.request.url).hostname == HERE:
            route.continue_()
        else:
            left.append(route.request.url)
            route.abort()

    def open_page(expected: tuple[str, ...] = (), **options):
        context = chromium.new_context(**({"viewport": {"width": 1366, "height": 768}} | options))
        contexts.append(context)
        context.route("**/*", guard)
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.on("pageerror", lambda fault: said.append(str(fault)))
        page.on("console", lambda line: _heard(line, expected, said))
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert left == []
    assert said == []


@pytest.fixture
def desk(serve, open_page) -> Desk:
    """The first instructor of a fresh folder, made by the code that the server prints."""
    server = serve()
    found = CODE.search(server.process.stdout.readline())
    instructor = Person("Gerda Vos", open_page())
    instructor.open_account(server.address, found[0], first=True)
    return Desk(server.address, instructor.page, open_page)


def _heard(line, expected: tuple[str, ...], said: list[str]) -> None:
    if line.type in ("error", "warning") and not any(each in line.text for each in expected):
        said.append(line.text)


@pytest.fixture(scope="session")
def axe(needs, node_modules) -> str:
    """The source of the accessibility checker."""
    source = Path(node_modules) / "axe-core" / "axe.min.js"
    needs("axe-core", source.is_file(), "npm install axe-core, and name its folder in TRAINER_NODE_MODULES")
    return source.read_text("utf-8")
