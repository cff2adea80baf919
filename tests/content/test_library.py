"""All content together: shipped and one's own, checked with every fault at once."""

import pytest

from trainer.content.folders import shipped
from trainer.content.library import SEEDS_CHECKED, check, check_draws, read_library, read_with
from trainer.errors import TrainerError
from trainer.worksheets.draw import Choice, Fixed, Grid
from trainer.worksheets.problem import Problem
from trainer.worksheets.worksheet import Worksheet

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
LESSON = """+++
skill = "S90.1"
title = "Own"
can = "Do it."
level = "F"
safety = false
cautions = []
sources = ["common practice"]
+++
## What it is for

Something.
"""


@pytest.fixture
def own(tmp_path):
    (tmp_path / "question_banks").mkdir()
    (tmp_path / "lessons").mkdir()
    (tmp_path / "question_banks" / "own.toml").write_text(BANK, "utf-8")
    (tmp_path / "lessons" / "strands.toml").write_text('S90 = "Own strand"', "utf-8")
    (tmp_path / "lessons" / "own.md").write_text(LESSON, "utf-8")
    return tmp_path


def test_one_s_own_content_is_read_after_the_shipped(own):
    library, alone = read_library(own), read_library()
    assert list(library.problems) == [*alone.problems, "own-kiln-current"]
    assert set(library.lessons) - set(alone.lessons) == {"S90.1"}
    assert library.strands["S90"] == "Own strand"
    assert library.faults == alone.faults
    assert library.problems["own-kiln-current"] in library.by_skill["S3.2"]


def test_an_id_of_the_shipped_banks_cannot_be_taken(own):
    taken = next(iter(read_library().problems.values()))
    (own / "question_banks" / "own.toml").write_text(BANK.replace("own-kiln-current", taken.id), "utf-8")
    library = read_library(own)
    assert f"own.toml: {taken.id}: id = {taken.id}: is used already in {taken.bank}" in library.faults
    assert library.problems[taken.id].bank == taken.bank


def test_a_data_folder_without_content_or_not_yet_made(tmp_path):
    assert set(read_library(tmp_path / "none").problems) == set(read_library().problems)
    (tmp_path / "config.toml").write_text("port = 1", "utf-8")
    assert read_library(tmp_path).faults == read_library().faults


def test_a_folder_may_hold_banks_or_lessons_themselves(own):
    assert "own-kiln-current" in read_with(own).problems
    assert "own-kiln-current" in read_with(own / "question_banks").problems
    assert "S90.1" in read_with(own / "lessons").lessons
    assert read_with(own / "lessons").faults == read_library().faults


@pytest.mark.parametrize("folder", [shipped("lessons"), shipped("question_banks"), shipped("lessons").parent])
def test_the_shipped_content_is_not_read_twice(folder):
    assert read_with(folder).faults == read_library().faults


def test_a_folder_with_nothing_to_check_is_told(tmp_path):
    with pytest.raises(TrainerError, match="holds no question_banks or lessons folder, no bank and no lesson"):
        read_with(tmp_path)


def test_every_kind_of_fault_at_once(own):
    (own / "question_banks" / "own.toml").write_text(
        BANK.replace('worksheet = "', 'skill = "S91.1"\nworksheet = "') + "[[problem]]\nid = 3", "utf-8"
    )
    (own / "lessons" / "own.md").write_text(
        LESSON + '\n```example\nproblem = "own-kiln-curent"\nseed = 1\n```\n', "utf-8"
    )
    (own / "lessons" / "bad.md").write_text("no head", "utf-8")
    before = set(check(read_library(), seeds=1))
    faults = set(check(read_library(own), seeds=1)) - before
    assert {line.partition(":")[0] for line in faults} == {"own.toml", "own.md", "bad.md"}
    assert "own.toml: own-kiln-current: skill = S91.1: has no lesson" in faults
    assert "own.md: example = own-kiln-curent: is not known; did you mean own-kiln-current?" in faults
    assert "own.toml: 3: id = 3: is a text" in faults


def sheet(function=lambda x: x, **options):
    made = Worksheet("s", "S", "S1.1")
    made.given("x", "X")
    made.step("Value", name="value", **({"tolerance": 0.1} | options))(function)
    return made


def problem(made, *draws):
    return Problem("p", made, "P", "{x}", "F", "dairy", draws, bank="own.toml")


def test_too_many_refused_draws_are_told():
    made = sheet()
    made.refuse(lambda x: x > 7.5)  # 3 of 10
    (fault,) = check_draws(problem(made, Grid("x", 1, 10, 1)))
    assert fault.startswith("own.toml: p: givens: ")
    assert fault.endswith("at most 20% may be; for one, refused by <lambda>")
    fewer = sheet()
    fewer.refuse(lambda x: x > 9.5)  # 1 of 10
    assert list(check_draws(problem(fewer, Grid("x", 1, 10, 1)))) == []


def test_numbers_that_cannot_be_worked_count_as_refused():
    (fault,) = check_draws(problem(sheet(lambda x: 1 / x), Fixed("x", 0.0)))
    assert f"{SEEDS_CHECKED} of {SEEDS_CHECKED} draws are refused" in fault
    assert fault.endswith("for one, the numbers cannot be worked")


def test_a_worksheet_that_breaks_is_told_and_not_a_traceback():
    (fault,) = check_draws(problem(sheet(lambda x: [][1]), Fixed("x", 0.0)))
    assert fault == "own.toml: p: givens: seed 0: IndexError: list index out of range"


# With a tolerance of 0.1 there is one decimal: 9.5 has two figures to type, 99.5 three, 100.5 four.
@pytest.mark.parametrize(("values", "told"), [((9.5, 99.5), False), ((9.5, 100.5), True), ((-9.5, 99.5), False)])
def test_figures_to_type(values, told):
    faults = list(check_draws(problem(sheet(), Choice(("x",), tuple((value,) for value in values)))))
    wanted = ["own.toml: p: value: has 2 to 4 figures to type; its draws are to differ by one at most"]
    assert faults == (wanted if told else [])
