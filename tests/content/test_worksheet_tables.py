"""Worksheets of a bank: constants, steps shared with an earlier worksheet, formulas by a word."""

from __future__ import annotations

import tomllib

import pytest

from trainer.content.faults import Faults
from trainer.content.worksheet_tables import read_worksheets
from trainer.worksheets.problem import Problem, Variant
from trainer.worksheets.snapshot import snapshot

# A run of cable by its size. Table values of IEC 60228:2004, table 2: 36.0 and 18.1 Ω/km for 0.5 and 1 mm².
CABLES = """
[[worksheet]]
name = "run-of-cable"
title = "Run of cable"
skill = "S2.1"
given = [
  { name = "size", title = "Conductor", kind = "choice", options = ["thin", "1 mm²"] },
  { name = "table", title = "Table value", unit = "Ω/km", prepare = "per_km[size]" },
  { name = "length", title = "Length", symbol = "L", unit = "m" },
  { name = "wires", title = "Wires", kind = "choice", options = ["two", "four"] },
]
[worksheet.constants]
thin = "0.5 mm²"
thousand = 1000
allowed = [1, 5]
per_km = { "0.5 mm²" = 36.0, "1 mm²" = 18.1 }
other = { "0.5 mm²" = "1 mm²" }
[[worksheet.step]]
name = "one"
title = "One wire"
symbol = "R"
value = "table * length / thousand"
unit = "Ω"
tolerance = 0.01
slip.other_size = { value = "per_km[other[size]] * length / 1000 if other[size] else none", say = "Read it again." }
[[worksheet.step]]
name = "both"
title = "What counts"
value = "2 * one if wires == 'two' else 0"
formula = { by = "wires", two = '2 <one>', four = '0' }
unit = "Ω"
tolerance = 0.01
[[worksheet.step]]
name = "verdict"
title = "Verdict"
value = "thin if both > allowed[1] else 'it will do'"
kind = "choice"
options = ["it will do", "thin"]

[[worksheet]]
name = "run-again"
title = "Run again"
skill = "S2.2"
given = [
  { name = "table", title = "Table value", unit = "Ω/km" },
  { name = "length", title = "Length", symbol = "L", unit = "m" },
  { name = "size", title = "Conductor", kind = "choice" },
]
[[worksheet.step]]
name = "one"
from = "run-of-cable"
[[worksheet.step]]
name = "half"
title = "Half of it"
value = "one / 2"
unit = "Ω"
tolerance = 0.01
"""


def read(text):
    faults, known = Faults(), {}
    read_worksheets(tomllib.loads(text)["worksheet"], "own.toml", known, faults)
    return known, faults.lines


@pytest.fixture(scope="module")
def cables():
    known, lines = read(CABLES)
    assert lines == []
    return known


def test_constants_stand_for_their_values(cables):
    sheet = cables["run-of-cable"]
    assert sheet.givens["size"].options == ("0.5 mm²", "1 mm²")
    assert sheet.steps["verdict"].options == ("it will do", "0.5 mm²")
    givens = {"size": "0.5 mm²", "length": 250.0, "wires": "two"}
    givens["table"] = sheet.givens["table"].prepare(givens)
    worked = sheet.solve(givens)
    assert worked["one"] == pytest.approx(9.0)  # 36.0 Ω/km over 250 m, by hand
    assert worked["verdict"] == "0.5 mm²"
    assert sheet.steps["one"].formula == r"\frac{<table> \times <length>}{1000}"


def test_a_table_without_the_word_says_that_a_slip_cannot_happen(cables):
    sheet = cables["run-of-cable"]
    thin = {"size": "0.5 mm²", "table": 36.0, "length": 1000.0, "wires": "two"}
    assert sheet.solve_slip(sheet.slips["other_size"], thin)["one"] == pytest.approx(18.1)
    assert sheet.solve_slip(sheet.slips["other_size"], thin | {"size": "1 mm²", "table": 18.1}) is None


def test_a_formula_follows_the_word(cables):
    sheet = cables["run-of-cable"]
    problem = Problem("p", sheet, "P", "T", "F", "dairy", (), skill="S2.1")
    found = []
    for wires in ("two", "four"):
        givens = {"size": "1 mm²", "table": 18.1, "length": 1000.0, "wires": wires}
        kept = snapshot(Variant(problem, 1, givens, sheet.solve(givens)))
        found.append(kept.step("both").formula)
    assert found == ["2 <one>", "0"]


def test_a_step_is_shared_with_its_slips(cables):
    first, again = cables["run-of-cable"], cables["run-again"]
    assert again.steps["one"].node is first.steps["one"].node
    assert (again.steps["one"].skill, first.steps["one"].skill) == ("S2.2", "S2.1")
    assert set(again.slips) == {"other_size"}
    assert again.solve({"table": 18.1, "length": 1000.0, "size": "1 mm²"})["half"] == pytest.approx(9.05)


ONE_STEP = """
[[worksheet]]
name = "short"
title = "Short"
skill = "S1.1"
given = [{{ name = "x", title = "X" }}]
constants = {{ {constants} }}
[[worksheet.step]]
name = "y"
{step}
"""


@pytest.mark.parametrize(
    ("constants", "step", "told"),
    [
        ("x = 1", "value = 'x'", "x is declared twice"),
        ("a = true", "value = 'x'", "a constant is a number, a text"),
        ("a = [[1]]", "value = 'x'", "a constant is a number, a text"),
        ("a = { b = { c = 1 } }", "value = 'x'", "a constant is a number, a text"),
        ("'a-b' = 1", "value = 'x'", "has letters, digits and _"),
        ("a = 1", "value = 'b'", "y takes b, which is no given or earlier step"),
        ("a = 1", "from = 'long'", "long is no worksheet above with a step y"),
        ("a = 1", "from = 'short'", "short is no worksheet above with a step y"),
        ("a = 1", "from = 'short'\nrule = 'R'", "rule = ...: is no key here"),
        ("a = 1", "value = 'x'\nformula = { by = 'open(x)', b = '1' }", "is no calculation here"),
        ("a = 1", "value = 'x'\nformula = { by = 'x', b = 1 }", "is a text of at most 600 characters"),
        ("a = 1", "value = 'x'\nformula = { b = '1' }", "is wrong: KeyError('by')"),
    ],
)
def test_faults_are_told(constants, step, told):
    title = "" if "from" in step else "title = 'Y'\n"
    known, lines = read(ONE_STEP.format(constants=constants, step=title + step))
    assert known == {}
    assert any(told in line for line in lines), lines
