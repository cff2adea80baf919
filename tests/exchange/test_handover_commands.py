"""The commands that carry a record between PCs, as a person runs them."""

import re
from uuid import UUID

import pytest
from click.testing import CliRunner
from handover_shop import Pc

from trainer.cli import main
from trainer.practice.verification import faults_of


@pytest.fixture
def pc(tmp_path):
    opened = Pc(tmp_path, "workshop")
    yield opened
    opened.database.close()


@pytest.fixture
def run(tmp_path):
    def run(*words, pc="workshop"):
        runner = CliRunner(env={"TRAINER_DATA": None, "TRAINER_DATABASE": None})
        return runner.invoke(main, [*map(str, words), "--data", str(tmp_path / pc)])

    return run


@pytest.fixture
def learner(pc) -> UUID:
    made = pc.person("Ada Pump")
    pc.enter(made, pc.start(made), "fraction", "0.56")
    return made


@pytest.fixture
def stick(tmp_path, run, learner):
    file = tmp_path / "ada.handover"
    answer = run("handover", "ada  PUMP", file)
    assert (answer.exit_code, answer.output) == (0, f"{file}: Ada Pump, 1 sheets.\n")
    return file


def test_a_record_goes_from_one_folder_to_another(run, stick, learner, pc, tmp_path):
    answer = run("collect", stick, pc="site")
    assert answer.exit_code == 0, answer.output
    assert answer.output.splitlines() == [
        f"Ada Pump is new here, without an account; the record is {learner}.",
        "- 1 sheet",
        "- 1 entry",
    ]
    again = run("collect", stick, pc="site")
    assert again.output.endswith("- all of it is here already\n")
    there = Pc(tmp_path, "site")
    assert there.state(learner) == pc.state(learner)
    assert faults_of(there.database).faults == []
    there.database.close()


def test_a_dry_run_says_what_would_come_and_keeps_nothing(run, stick, learner, tmp_path):
    answer = run("collect", stick, "--dry-run", pc="site")
    assert answer.exit_code == 0
    assert "- 1 sheet\n- 1 entry\nNothing was kept.\n" in answer.output
    there = Pc(tmp_path, "site")
    assert there.state(learner)["learner"] == []
    there.database.close()


def test_the_record_of_the_same_person_can_be_named(run, stick, tmp_path):
    there = Pc(tmp_path, "site")
    own = there.person("Ada P.")
    answer = run("collect", stick, "--into", "Ada P.", pc="site")
    assert answer.exit_code == 0, answer.output
    assert f"the record is {own}." in answer.output
    assert len(there.state(own)["attempt"]) == 1
    refused = run("collect", stick, pc="site")
    assert refused.exit_code == 2
    assert "stands here under the record of Ada P." in refused.output
    there.database.close()


def test_a_person_is_found_by_id_and_of_two_with_one_name_only_so(run, pc, learner, tmp_path):
    pc.person("ADA Pump")
    refused = run("handover", "Ada Pump", tmp_path / "x.handover")
    assert refused.exit_code == 2
    assert re.match("2 people are called Ada Pump; say which by the id: ", refused.output)
    assert str(learner) in refused.output
    assert not (tmp_path / "x.handover").exists()
    assert run("handover", learner, tmp_path / "x.handover").exit_code == 0


def test_what_cannot_be_done_is_one_line_and_exit_code_2(run, stick, tmp_path):
    broken = tmp_path / "broken.handover"
    broken.write_bytes(stick.read_bytes()[:-30])
    for words, said in (
        (("handover", "Nobody", tmp_path / "n.handover"), "nobody here is called Nobody"),
        (("handover", UUID(int=3), tmp_path / "n.handover"), "there is no such learner"),
        (("handover", "Ada Pump", stick), "is there already; --force writes over it"),
        (("handover", "Ada Pump", tmp_path / "no" / "n.handover"), "there is no folder"),
        (("collect", tmp_path / "none.handover"), "cannot be read: no such file"),
        (("collect", broken), "damaged or was cut off"),
        (("collect", stick, "--into", "Nobody"), "nobody here is called Nobody"),
    ):
        answer = run(*words)
        assert answer.exit_code == 2, words
        assert said in answer.output
        assert len(answer.output.splitlines()) == 1
    assert run("handover", "Ada Pump", stick, "--force").exit_code == 0
