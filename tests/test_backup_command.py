"""Backing up and restoring on the command line, beside a running server and without one."""

import os
import re
import signal
import sqlite3
import subprocess
import sys
import threading
import time
import urllib.request
import zipfile
from contextlib import closing
from datetime import timedelta

import pytest
from click.testing import CliRunner

from trainer.cli import main
from trainer.clock import utc_now
from trainer.settings import load_settings
from trainer.storage.learners import add_learner, list_learners
from trainer.storage.schema import open_storage

TRAINER = "from trainer.cli import main; main()"
WAIT = 30  # s

# A server with a page that takes its time, and says when it has begun.
SLOW = """
import sys, time
from pathlib import Path
from trainer.web.app import create_app
from trainer.web.server import _serve

app = create_app(Path(sys.argv[1]), port=0)

def slow():
    print("begun", flush=True)
    time.sleep(1.5)
    return "finished " + "x" * 200_000

app.add_url_rule("/slow", "slow", slow)
app.view_functions["slow"].open_to = "visitors"
_serve(app, app.extensions["trainer"])
"""


def begin(code, *words, folder, **environment):
    known = {key: value for key, value in os.environ.items() if not key.startswith("TRAINER_")}
    return subprocess.Popen(
        [sys.executable, "-c", code, *map(str, words)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=folder, env=known | environment,
    )  # fmt: skip


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Run a command to its end: exit code, what it says, and its faults."""
    monkeypatch.chdir(tmp_path)
    runner = CliRunner(env={"TRAINER_DATA": str(tmp_path / "data"), "TRAINER_DATABASE": None})

    def run(*words):
        found = runner.invoke(main, list(map(str, words)))
        assert found.exception is None or isinstance(found.exception, SystemExit), found.exception
        return found.exit_code, found.stdout, found.stderr

    return run


@pytest.fixture
def serving(tmp_path):
    begun = []

    def serving(*words, code=TRAINER, **environment):
        process = begin(code, *words, folder=tmp_path, **environment)
        begun.append(process)
        line = process.stdout.readline()
        address = re.search(r"http://127\.0\.0\.1:\d+/", line)
        assert address, process.stderr.read()
        return process, address[0]

    yield serving
    for process in begun:
        process.kill()
        process.communicate()


@pytest.fixture
def server(serving, tmp_path):
    return serving("serve", "--port", "0", "--data", tmp_path / "data")


def add(tmp_path, name) -> None:
    database = open_storage(load_settings(tmp_path / "data", {}))
    with database.writing() as session:
        add_learner(session, name, utc_now())
    database.close()


def names(tmp_path) -> list[str]:
    database = open_storage(load_settings(tmp_path / "data", {}))
    with database.reading() as session:
        found = [learner.name for learner in list_learners(session)]
    database.close()
    return found


def answered(address) -> str:
    with urllib.request.urlopen(address, timeout=WAIT) as answer:
        return answer.read().decode()


def test_a_backup_is_made_and_restored(run, tmp_path):
    add(tmp_path, "Ada Pump")
    code, out, err = run("backup", tmp_path / "week.zip")
    assert (code, err) == (0, "")
    assert re.fullmatch(r".*week\.zip: \d+ rows in \d+ tables, 0 files of problems .*; read back and sound\.\n", out)
    add(tmp_path, "Ben Weir")
    code, out, err = run("restore", tmp_path / "week.zip")
    assert (code, err) == (0, "")
    aside = re.search(r"What was there before is in (.*)\.\n", out)[1]
    assert names(tmp_path) == ["Ada Pump"]
    with closing(sqlite3.connect(os.path.join(aside, "trainer.db"))) as before:
        assert before.execute("SELECT count(*) FROM learner").fetchone() == (2,)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("backup", "week.zip"), "there is no database in "),
        (("backup", "missing/week.zip"), "there is no folder missing"),
        (("restore", "week.zip"), "there is no file week.zip"),
        (("restore", "letter.txt"), "letter.txt is no backup that can be restored: it is no database"),
    ],
)
def test_wrong_use_is_one_line(run, tmp_path, words, said):
    (tmp_path / "letter.txt").write_text("to the brewery\n" * 50)
    code, out, err = run(*words)
    assert (code, out, len(err.splitlines())) == (2, "", 1)
    assert said in err


def test_a_file_that_is_there_is_written_over_only_when_told(run, tmp_path):
    add(tmp_path, "Ada Pump")
    (tmp_path / "week.zip").write_text("the one before")
    code, _, err = run("backup", tmp_path / "week.zip")
    assert (code, err) == (2, f"{tmp_path / 'week.zip'} is there already; --force writes over it\n")
    assert (tmp_path / "week.zip").read_text() == "the one before"
    assert run("backup", tmp_path / "week.zip", "--force")[0] == 0
    assert zipfile.is_zipfile(tmp_path / "week.zip")


def test_a_backup_is_made_beside_a_server_and_a_restore_is_refused(server, run, tmp_path):
    _, address = server
    assert run("backup", tmp_path / "week.zip")[0] == 0
    code, out, err = run("restore", tmp_path / "week.zip")
    assert (code, out) == (2, "")
    assert err == (
        f"a server of the trainer already runs on {tmp_path / 'data'}; open the address that it has told, or stop it\n"
    )
    assert "<html" in answered(address)


def test_a_second_server_on_the_same_folder_is_refused(server, run):
    _, address = server
    code, out, err = run("serve", "--port", "0")
    assert (code, out, len(err.splitlines())) == (2, "", 1)
    assert "already runs on" in err
    assert "<html" in answered(address)


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no such signal here")
def test_a_server_that_was_killed_holds_nothing(server, serving, run, tmp_path):
    process, _ = server
    process.kill()
    process.wait(timeout=WAIT)
    _, address = serving("serve", "--port", "0", "--data", tmp_path / "data")
    assert "<html" in answered(address)
    assert run("verify")[0] == 0


def test_demos_run_beside_each_other(server, serving, tmp_path):
    addresses = [serving("serve", "--demo", "--port", "0", TRAINER_DATA=str(tmp_path / "data"))[1] for _ in range(2)]
    for address in addresses:
        assert "<html" in answered(address)
    assert not (tmp_path / "data" / "backups").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="a console signal is needed there")
@pytest.mark.parametrize("stop", [signal.SIGTERM, signal.SIGINT])
def test_a_request_under_way_is_finished_before_the_server_stops(serving, tmp_path, stop):
    process, address = serving(tmp_path / "data", code=SLOW)
    answers = []
    asking = threading.Thread(target=lambda: answers.append(answered(f"{address}slow")))
    asking.start()
    while process.stdout.readline() != "begun\n":
        pass
    began = time.monotonic()
    process.send_signal(stop)
    _, err = process.communicate(timeout=WAIT)
    asking.join(timeout=WAIT)
    assert (process.returncode, err) == (0, "")
    assert [len(answer) for answer in answers] == [len("finished ") + 200_000]
    assert timedelta(seconds=time.monotonic() - began) < timedelta(seconds=14)


# SQLite's file format: page 1 begins with a head of 100 bytes, and names of tables and their pages follow.
@pytest.mark.parametrize("table", ["sqlite_master", "alembic_version", "learner"])
def test_a_damaged_database_is_one_line(run, tmp_path, table):
    add(tmp_path, "Ada Pump")
    file = tmp_path / "data" / "trainer.db"
    with closing(sqlite3.connect(file)) as connection:
        size = connection.execute("PRAGMA page_size").fetchone()[0]
        root = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchone() or (1,)
    content = bytearray(file.read_bytes())
    start = (root[0] - 1) * size
    content[start + (100 if start == 0 else 0) : start + size] = b"\x5a" * (size - (100 if start == 0 else 0))
    file.write_bytes(content)
    for words in (("backup", "week.zip"), ("people", "add", "Ben Weir")):
        code, out, err = run(*words)
        assert (code, out, len(err.splitlines())) == (2, "", 1), err
        assert "malformed" in err
    assert run("verify")[0] in (1, 2)
    assert [path.name for path in tmp_path.iterdir()] == ["data"]
