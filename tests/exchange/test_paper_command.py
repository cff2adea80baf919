"""The command that prints papers: what it writes, and what it says when it cannot."""

import os

import pytest
from click.testing import CliRunner

from trainer.cli import main
from trainer.errors import TrainerError
from trainer.exchange.files import save
from trainer.practice.papers import draw_version

PROBLEM = "booster-pump-pressure"


@pytest.fixture
def run(tmp_path):
    def run(*words):
        runner = CliRunner(env={"TRAINER_DATA": str(tmp_path / "data"), "TRAINER_DATABASE": None})
        return runner.invoke(main, ["paper", *map(str, words)])

    return run


def test_papers_are_printed_with_their_keys(run, tmp_path, library, pages_of):
    file = tmp_path / "week.pdf"
    answer = run("--problem", PROBLEM, "--versions", 3, "--seed", 17, "--title", "Week 3", file)
    assert answer.exit_code == 0, answer.output
    first, last = (draw_version([library.problems[PROBLEM]], 17, number).code for number in (1, 3))
    assert f"{first} to {last}" in answer.output
    text = "".join(pages_of(file.read_bytes()))
    assert text.count("Key: Week 3") == 3


def test_papers_are_printed_without_keys(run, tmp_path, pages_of):
    file = tmp_path / "week.pdf"
    assert run("--skill", "S3.2", "--no-key", file).exit_code == 0
    assert not any("Key:" in page for page in pages_of(file.read_bytes()))


def test_printing_again_gives_the_same_file(run, tmp_path):
    first, second = tmp_path / "a.pdf", tmp_path / "b.pdf"
    for file in (first, second):
        assert run("--problem", PROBLEM, "--versions", 2, "--seed", 9, file).exit_code == 0
    assert first.read_bytes() == second.read_bytes()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "Choose at least one problem"),
        (("--problem", "booster-pump-presure"), f"did you mean {PROBLEM}?"),
        (("--skill", "S99.9"), "No problem trains a skill S99.9"),
        (("--problem", PROBLEM, "--versions", "0"), "1 to 100, not 0"),
        (("--problem", PROBLEM, "--versions", "1000"), "1 to 100, not 1000"),
        (("--problem", PROBLEM, "--seed", "-1"), "The seed of the set is 0 to"),
        (("--problem", PROBLEM, "--title", "x" * 200), "at most 80 characters"),
        (("--problem", PROBLEM, "--page", "A9"), "A9"),
    ],
)
def test_wrong_use_is_told_and_writes_nothing(run, tmp_path, words, said):
    file = tmp_path / "week.pdf"
    answer = run(*words, file)
    assert answer.exit_code == 2
    assert said in answer.output
    assert "Traceback" not in answer.output
    assert not file.exists()


def test_a_file_that_is_there_is_kept_unless_forced(run, tmp_path):
    file = tmp_path / "week.pdf"
    file.write_text("mine")
    answer = run("--problem", PROBLEM, file)
    assert (answer.exit_code, file.read_text()) == (2, "mine")
    assert "--force" in answer.output
    assert run("--problem", PROBLEM, "--force", file).exit_code == 0
    assert file.read_bytes().startswith(b"%PDF")


def test_a_place_that_cannot_be_written_is_told(run, tmp_path):
    answer = run("--problem", PROBLEM, tmp_path / "nowhere" / "week.pdf")
    assert answer.exit_code == 2
    assert "there is no folder" in answer.output
    assert run("--problem", PROBLEM, tmp_path).exit_code == 2


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="a device that is always full is there on Linux only")
def test_a_full_disk_is_told():
    from pathlib import Path

    with pytest.raises(TrainerError, match="no space left"):
        save(b"%PDF" * 100_000, Path("/dev/full"), force=True)
