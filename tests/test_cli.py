"""The command line: every command, its exit codes, and what it says when it is used wrongly."""

import json
import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import urllib.request
from functools import partial
from pathlib import Path

import pytest
from click.testing import CliRunner

from trainer.cli import main
from trainer.content import library
from trainer.content.folders import shipped
from trainer.content.library import read_library

PROBLEM = "booster-pump-pressure"
BANK = """
[[problem]]
id = "own-kiln-current"
worksheet = "value-from-signal"
title = "Own kiln"
level = "F"
place = "kiln"
text = "A meter shows {signal}."
givens = { lower = 0, upper = 250, signal_low = 4, signal_high = 20, signal = { low = 12.7, high = 18.8, step = 0.1 } }
units = { lower = "kPa", upper = "kPa", signal_low = "mA", signal_high = "mA", signal = "mA" }
"""


@pytest.fixture
def run(tmp_path):
    def run(*words):
        return CliRunner(env={"TRAINER_DATA": str(tmp_path / "data"), "TRAINER_DATABASE": None}).invoke(
            main, list(words)
        )

    return run


def trainer(*words, folder, **environment):
    """Run the program as a person would."""
    command = [sys.executable, "-c", "from trainer.cli import main; main()", *words]
    known = {key: value for key, value in os.environ.items() if not key.startswith("TRAINER_")}
    return subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=folder, env=known | environment
    )


def ended(*words, folder, **environment):
    process = trainer(*words, folder=folder, **environment)
    out, err = process.communicate(timeout=60)
    return process.returncode, out, err


# Help


@pytest.mark.parametrize("command", [None, *sorted(main.commands)])
def test_help_reads(run, command):
    found = run(*([command] if command else []), "--help")
    assert found.exit_code == 0
    assert found.output.startswith("Usage: ")
    listed = found.output.partition("Options:")[0] if command else found.output
    assert re.search(r"^  [A-Z][^\n]{15,}", listed, re.M)
    assert "--help" in found.output


def test_help_comes_without_heavy_imports(tmp_path):
    heavy = ["numpy", "flask", "sqlalchemy", "matplotlib", "cheroot", "alembic", "latex2mathml", "markdown_it"]
    code = (
        "import sys; from trainer.cli import main\n"
        "try: main(['--help'])\n"
        f"except SystemExit: print([name for name in {heavy!r} if name in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=tmp_path)
    assert found.stdout.splitlines()[0].startswith("Usage: ")
    assert found.stdout.splitlines()[-1] == "[]"


def test_no_command_and_a_wrong_one(run):
    assert run("--version").output.startswith("trainer, version ")
    assert run("darw").exit_code == 2
    assert run("draw", PROBLEM, "--sead", "3").exit_code == 2


# problems, draw


def test_problems(run):
    listed = run("problems")
    assert listed.exit_code == 0
    assert re.search(rf"^{PROBLEM} +S3\.2 +F  Booster pump: pressure from the loop current$", listed.stdout, re.M)
    rows = json.loads(run("problems", "--json").stdout)
    assert [row["id"] for row in rows] == list(read_library().problems)
    assert all(list(row) == ["id", "strand", "skill", "level", "title", "worksheet"] for row in rows)
    assert all(row["strand"] == row["skill"].split(".")[0] for row in rows)


def test_draw(run):
    found = run("draw", PROBLEM, "--seed", "7")
    assert found.exit_code == 0
    assert "loop meter reads" in found.stdout
    assert "1. Fraction of span (fraction)\n2. Process value (value)\n" in found.stdout
    assert run("draw", PROBLEM, "--seed", "7").stdout == found.stdout
    assert run("draw", PROBLEM, "--seed", "8").stdout != found.stdout


def test_draw_in_json_and_with_the_solution(run):
    found = json.loads(run("draw", PROBLEM, "--seed", "7", "--json").stdout)
    assert list(found) == ["problem", "seed", "worksheet", "text", "givens", "steps", "slips"]
    givens = {name: given["value"] for name, given in found["givens"].items()}
    fraction = (givens["signal"] - 4) / 16
    assert [step["value"] for step in found["steps"]] == pytest.approx([fraction, fraction * givens["upper"]])
    solved = run("draw", PROBLEM, "--seed", "7", "--solution").stdout
    assert f"1. Fraction of span (fraction): {fraction:.3f}\n" in solved


def test_every_kind_of_step_is_printed(run):
    kinds = {step.kind: key for key, each in read_library().problems.items() for step in each.worksheet.steps.values()}
    for key in kinds.values():
        found = run("draw", key, "--seed", "1", "--solution")
        assert found.exit_code == 0
        steps = [line for line in found.stdout.splitlines() if re.match(r"\d+\. ", line)]
        assert steps
        assert all(re.search(r": [^(\[]", line) for line in steps)


# mark


def answers(run, seed=7):
    found = json.loads(run("draw", PROBLEM, "--seed", str(seed), "--json").stdout)
    return {step["name"]: step["value"] for step in found["steps"]}, found


def test_mark(run):
    values, drawn = answers(run)
    right = run("mark", PROBLEM, "--seed", "7", *(f"{name}={value}" for name, value in values.items()))
    assert (right.exit_code, right.stdout.splitlines()[-1]) == (0, "All right.")
    slip = next(slip for slip in drawn["slips"] if slip["name"] == "no_live_zero")
    wrong = run(
        "mark", PROBLEM, "--seed", "7", *(f"{name}={value}" for name, value in slip["values"].items()), "--json"
    )
    assert wrong.exit_code == 0  # a wrong answer is no failure of the program
    found = json.loads(wrong.stdout)
    assert found["right"] is False
    assert {name: step["verdict"] for name, step in found["steps"].items()} == {"fraction": "slip", "value": "follows"}
    assert list(found["steps"]["fraction"]) == ["verdict", "mark", "message", "slip"]


def test_a_text_may_be_negative_or_empty_or_hold_an_equals_sign(run):
    found = json.loads(run("mark", PROBLEM, "--seed", "7", "fraction=-0.5", "value=a=b", "--json").stdout)
    assert [step["verdict"] for step in found["steps"].values()] == ["wrong", "unread"]
    assert (
        json.loads(run("mark", PROBLEM, "--seed", "7", "value=", "--json").stdout)["steps"]["value"]["verdict"]
        == "unread"
    )


# Wrong use: one line, exit code 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ("draw", "booster-pump-presure", "--seed", "7"),
            f"no problem is called booster-pump-presure; did you mean {PROBLEM}?",
        ),
        (("mark", "nothing-like-it", "--seed", "7", "value=1"), "no problem is called nothing-like-it"),
        (("mark", PROBLEM, "--seed", "7", "valeu=1"), f"{PROBLEM} has no step valeu; its steps are fraction, value"),
        (("mark", PROBLEM, "--seed", "7", "112.5"), "112.5 is not STEP=TEXT"),
        (("mark", PROBLEM, "--seed", "7", "value=1", "value=2"), "value is given twice"),
    ],
)
def test_bad_input_is_one_line(run, words, said):
    found = run(*words)
    assert (found.exit_code, found.stdout) == (2, "")
    assert found.stderr.splitlines()[-1] == said


@pytest.mark.parametrize("seed", ["-1", "x", "1.5", "9007199254740993", ""])
def test_a_seed_is_a_whole_number(run, seed):
    found = run("draw", PROBLEM, "--seed", seed)
    assert found.exit_code == 2
    assert "'--seed'" in found.stderr
    assert run("draw", PROBLEM).exit_code == 2
    assert run("mark", PROBLEM, "--seed", "7").exit_code == 2


# check


@pytest.fixture
def quick(monkeypatch):
    """No draws: whether those of each problem are sound is looked at elsewhere."""
    monkeypatch.setattr(library, "check", partial(library.check, seeds=0))


@pytest.fixture
def own(tmp_path, quick):
    (tmp_path / "own" / "question_banks").mkdir(parents=True)
    bank = tmp_path / "own" / "question_banks" / "own.toml"
    bank.write_text(BANK, "utf-8")
    return bank


def shipped_faults(run):
    return [line for line in run("check").stderr.splitlines() if not re.fullmatch(r"\d+ faults?\.", line)]


def test_check_of_the_shipped_content(run, quick):
    found = run("check")
    assert found.stderr == ""
    assert found.exit_code == 0
    assert re.fullmatch(r"\d+ problems and \d+ lessons are sound\.\n", found.stdout)


def test_check_of_one_s_own_folder(run, own):
    before = shipped_faults(run)
    for folder in (own.parent.parent, own.parent):
        found = run("check", str(folder))
        assert [line for line in found.stderr.splitlines()[:-1] if line not in before] == []
    own.write_text(
        BANK.replace('level = "F"', 'level = "X"').replace("250", '"high"') + "[[problem]]\nid = 3\n", "utf-8"
    )
    for folder in (own.parent.parent, own.parent):
        found = run("check", str(folder))
        lines = found.stderr.splitlines()
        assert (found.exit_code, found.stdout) == (1, "")
        assert len(lines) == len(set(lines))
        assert lines[-1] == f"{len(lines) - 1} faults."
        assert "own.toml: own-kiln-current: level = X: is not known (F, W, A)" in lines
        assert "own.toml: own-kiln-current: givens.upper = high: is a number" in lines
        assert "own.toml: 3: id = 3: is a text" in lines


def test_check_of_what_is_no_toml(run, own):
    own.write_text("[[problem", "utf-8")
    found = run("check", str(own.parent.parent))
    assert found.exit_code == 1
    assert (
        sum(line.startswith("own.toml: file = own.toml: cannot be read: ") for line in found.stderr.splitlines()) == 1
    )


def test_check_looks_into_the_data_folder(run, own, tmp_path):
    (tmp_path / "data").symlink_to(own.parent.parent)
    own.write_text("[[problem", "utf-8")
    assert "own.toml: file" in run("check").stderr
    assert "own.toml: file" in run("check", "--data", str(own.parent.parent)).stderr


def test_check_of_nothing(run, quick, tmp_path):
    (tmp_path / "empty").mkdir()
    found = run("check", str(tmp_path / "empty"))
    assert (found.exit_code, found.stdout) == (2, "")
    assert "holds no question_banks or lessons folder, no bank and no lesson" in found.stderr
    assert run("check", str(tmp_path / "missing")).exit_code == 2


def test_the_shipped_content_itself_is_no_second_copy(run, quick):
    wanted = run("check").stderr
    assert run("check", str(shipped("question_banks"))).stderr == wanted
    assert run("check", str(shipped("lessons"))).stderr == wanted


def test_a_broken_bank_of_one_s_own_leaves_the_rest_usable(run, own, tmp_path):
    own.write_text("[[problem", "utf-8")
    found = run("problems", "--data", str(own.parent.parent))
    assert found.exit_code == 0
    assert "own.toml: file = own.toml: cannot be read" in found.stderr
    assert PROBLEM in found.stdout


def test_one_s_own_problems_are_drawn(run, own):
    assert run("draw", "own-kiln-current", "--seed", "3", "--data", str(own.parent.parent)).exit_code == 0


def test_from_another_folder(tmp_path):
    code, out, err = ended("draw", PROBLEM, "--seed", "7", folder=tmp_path, TRAINER_DATA=str(tmp_path / "d"))
    assert (code, err) == (0, "")
    assert "Fraction of span" in out
    assert not (tmp_path / "d").exists()  # drawing writes nothing


def test_settings_that_cannot_be_used_are_one_line(run, tmp_path):
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "config.toml").write_text("port = 'x'", "utf-8")
    found = run("problems")
    assert (found.exit_code, found.stdout, len(found.stderr.splitlines())) == (2, "", 1)
    assert "port must be a whole number" in found.stderr


# serve


@pytest.fixture
def serving(tmp_path):
    begun = []

    def serving(*words, **environment):
        process = trainer("serve", "--port", "0", *words, folder=tmp_path, **environment)
        begun.append(process)
        return process

    yield serving
    for process in begun:
        process.kill()
        process.communicate()


def answered(line):
    """The first page of the server that says its address in a line."""
    with urllib.request.urlopen(re.search(r"http://127\.0\.0\.1:\d+/", line)[0], timeout=20) as answer:
        assert answer.status == 200
        return answer.read().decode()


@pytest.mark.skipif(sys.platform == "win32", reason="a console signal is needed there")
@pytest.mark.parametrize("stop", [signal.SIGTERM, signal.SIGINT])
def test_serve_says_where_answers_and_stops(serving, tmp_path, stop):
    process = serving("--data", str(tmp_path / "data"))
    line = process.stdout.readline()
    address = re.search(r"http://127\.0\.0\.1:(\d+)/", line)
    assert address, process.stderr.read()
    assert str(tmp_path / "data") in line
    assert "<html" in answered(line)
    process.send_signal(stop)
    out, err = process.communicate(timeout=20)
    assert (process.returncode, err) == (0, "")
    assert "http://" not in out  # the address was told once
    assert (tmp_path / "data" / "trainer.db").is_file()


def test_a_port_in_use_is_one_line(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        code, out, err = ended("serve", "--port", str(port), "--data", str(tmp_path / "data"), folder=tmp_path)
    assert (code, out) == (2, "")
    assert err == f"cannot listen on 127.0.0.1 port {port} (it is in use); choose another with --host and --port\n"


@pytest.mark.skipif(not Path("/proc/self").is_dir(), reason="needs a folder in which nobody can make one")
def test_a_data_folder_that_cannot_be_made_is_one_line(tmp_path):
    code, out, err = ended("serve", "--port", "0", "--data", "/proc/self/trainer", folder=tmp_path)
    assert (code, out, len(err.splitlines())) == (2, "", 1)
    assert err.startswith("the data folder /proc/self/trainer cannot be written to (")
    assert err.endswith("; name another with --data or TRAINER_DATA\n")


def test_a_data_folder_below_a_file_is_one_line(tmp_path):
    (tmp_path / "file").write_text("", "utf-8")
    code, out, err = ended("serve", "--port", "0", "--data", str(tmp_path / "file" / "data"), folder=tmp_path)
    assert (code, out, len(err.splitlines())) == (2, "", 1)
    assert "not a directory" in err


def test_a_database_of_a_newer_program_is_one_line(serving, tmp_path):
    first = serving("--data", str(tmp_path / "data"))
    answered(first.stdout.readline())
    first.send_signal(signal.SIGTERM)
    first.communicate(timeout=20)
    with sqlite3.connect(tmp_path / "data" / "trainer.db") as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    code, out, err = ended("serve", "--port", "0", "--data", str(tmp_path / "data"), folder=tmp_path)
    assert (code, out, len(err.splitlines())) == (2, "", 1)
    assert "newer version of this program (schema 9999" in err


def test_the_demo_keeps_nothing_and_ignores_the_database_of_the_environment(serving, tmp_path):
    process = serving("--demo", TMPDIR=str(tmp_path), TRAINER_DATABASE="sqlite:////nowhere/at/all.db")
    line = process.stdout.readline()
    assert line.startswith("Demo at http://127.0.0.1:"), process.stderr.read()
    assert [each.name[:13] for each in Path(tmp_path).glob("trainer-demo-*")] == ["trainer-demo-"]
    answered(line)
    process.send_signal(signal.SIGTERM)
    _, err = process.communicate(timeout=20)
    assert (process.returncode, err) == (0, "")
    assert list(Path(tmp_path).glob("trainer-demo-*")) == []
