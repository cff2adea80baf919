"""A database file is held by one server at a time, and free again however that one ends."""

import subprocess
import sys

import pytest

from trainer.errors import Conflict, TrainerError
from trainer.storage.serving import serving_alone

HOLD = """
import sys
from pathlib import Path
from trainer.storage.serving import serving_alone
with serving_alone(Path(sys.argv[1])):
    print("held", flush=True)
    sys.stdin.read()
"""


@pytest.fixture
def other(tmp_path):
    """Another process that holds the file."""
    command = [sys.executable, "-c", HOLD, str(tmp_path / "trainer.db")]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout.readline() == "held\n"
        yield process
        process.kill()


def held_again(file) -> bool:
    with serving_alone(file):
        return True


def test_a_second_one_is_refused_with_a_sentence(tmp_path, other):
    with pytest.raises(Conflict, match=f"a server of the trainer already runs on {tmp_path}; open the address"):
        held_again(tmp_path / "trainer.db")
    assert held_again(tmp_path / "another.db")


@pytest.mark.parametrize("end", ["killed", "stopped"])
def test_it_is_free_when_the_holder_is_gone(tmp_path, other, end):
    other.kill() if end == "killed" else other.stdin.close()
    other.wait(timeout=20)
    assert held_again(tmp_path / "trainer.db")
    assert held_again(tmp_path / "trainer.db")


def test_it_is_refused_within_a_process_too(tmp_path):
    with serving_alone(tmp_path / "trainer.db"), pytest.raises(Conflict):
        held_again(tmp_path / "trainer.db")
    assert held_again(tmp_path / "trainer.db")


def test_a_database_server_needs_none():
    assert held_again(None)


def test_a_folder_that_is_not_there_is_a_sentence(tmp_path):
    with pytest.raises(TrainerError, match="cannot be written: unable to open"):
        held_again(tmp_path / "missing" / "trainer.db")
