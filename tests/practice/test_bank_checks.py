"""A bank as text is looked at whole, every fault with its place, and however it is made the look ends soon."""

import time

import pytest

from trainer.content.folders import shipped
from trainer.content.own_banks import LARGEST_BANK, OwnBank
from trainer.errors import Conflict
from trainer.practice import bank_checks
from trainer.practice.bank_checks import faults_of

SHEET = """[[worksheet]]
name = "half-of-it"
title = "Half of a reading"
skill = "S3.2"
{sheet}
[[worksheet.given]]
name = "reading"
title = "Reading"
{given}
[[worksheet.step]]
name = "half"
title = "Half"
value = "reading / 2"
tolerance = 0.05
{step}
[worksheet.step.slip.doubled]
value = "reading * 2"
say = "Half is less than {{reading}}."
"""
PROBLEM = """[[problem]]
id = "half-kiln"
worksheet = "half-of-it"
title = "Half"
level = "F"
place = "kiln"
text = "Half of {reading}?"
givens = { reading = { low = 20, high = 40, step = 0.2 } }
"""


def bank(sheet="", given="", step="", problem=PROBLEM, replace=("", "")):
    text = SHEET.format(sheet=sheet, given=given, step=step).replace(*replace) if replace[0] else None
    return (text or SHEET.format(sheet=sheet, given=given, step=step)) + problem


def told(library, text, **options):
    return faults_of(OwnBank("own", text, ""), library, **options)


def test_a_sound_bank_has_no_faults(library):
    assert told(library, bank()) == []


@pytest.mark.parametrize("name", ["signals", "records", "power_up"])
def test_the_shipped_banks_would_be_taken(library, name):
    text = (shipped("question_banks") / f"{name}.toml").read_text("utf-8")
    assert faults_of(OwnBank(name, text, ""), library) == []


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("[[problem]\n", ["own.toml: file = own.toml: cannot be read: Expected ']]'"]),
        ("x = 1\n", ["own.toml: x = ...: is no key here", "own.toml: problem = nothing: a bank has"]),
        ("", ["own.toml: problem = nothing: a bank has"]),
        ("problem = 3\n", ["own.toml: problem = 3: is written as [[problem]]"]),
        (
            bank(replace=("reading / 2", "reading / ) 2")),
            ["half-of-it: half: value = reading / ) 2: is no expression near column 11"],
        ),
        (
            bank(replace=("reading / 2", "__import__('os')")),
            ["half: value = __import__('os'): __import__ is no calculation here"],
        ),
        (
            bank(replace=("reading / 2", "other / 2")),
            ["half: entry = ", "half-of-it: half takes other, which is no given"],
        ),
        (
            bank(replace=("{reading}.", "{redding}.")),
            ["half-of-it: half: doubled: say = redding: is not known; did you mean reading?"],
        ),
        (bank(step='unit = "kPaa"'), ["half: unit = kPaa: there is no unit"]),
        (bank(step="decimals = 1000000000"), ["half: decimals = 1000000000: is a whole number from 0 to 9"]),
        (bank(given="decimals = -1"), ["reading: decimals = -1: is a whole number"]),
        (bank(replace=("tolerance = 0.05", "tolerance = inf")), ["a tolerance is made of numbers from 0 on"]),
        (bank(replace=("tolerance = 0.05", "tolerance = -1")), ["a tolerance is made of numbers from 0 on"]),
        (
            bank(replace=('/ 2"\ntolerance = 0.05', '/ 3"\ntolerance = 0')),
            ["half: its right value, typed as it is shown, is not marked"],
        ),
        (bank(step='title2 = "x"'), ["half: title2 = ...: is no key here; did you mean title?"]),
        (bank(step="ask_unit = 3"), ["half: ask_unit = 3: is true or false"]),
        (bank(step='options = "ab"'), ["half: options = ab: is a list of texts"]),
        (bank(step='formula = "\\\\def\\\\x{1}"'), ["own.toml: half-kiln: cannot be shown: formula"]),
        (bank(step='formula = "<nothing>"'), ["own.toml: half-kiln: cannot be shown: "]),
        (bank(step=f'rule = "{"x" * 601}"'), ["half: rule = ", "is a text of at most 600 characters"]),
        (bank(sheet="version = 0"), ["half-of-it: version = 0: is a whole number from 1 on"]),
        (bank(sheet="figure = 3"), ["half-of-it: figure = 3: is written"]),
        (bank(replace=('name = "half"', 'name = "ha lf"')), ["name = ha lf: has letters, digits and _"]),
        (bank(replace=('name = "half-of-it"', 'name = "Half/it"')), ["name = Half/it: has small letters"]),
        (bank(replace=('"S3.2"', '"S3.99"')), ["half-of-it: skill = S3.99: is not known"]),
        (bank(replace=('"half-of-it"', '"value-from-signal"')), ["name = value-from-signal: is used already"]),
        (bank(problem=PROBLEM.replace("half-kiln", "brine-chiller-current")), ["is used already in signals.toml"]),
        (
            bank(problem=PROBLEM.replace("low = 20, high = 40", "low = 3, high = 400")),
            ["half-kiln: half: has 3 to 5 figures"],
        ),
        (
            bank(problem=PROBLEM.replace("{ low = 20, high = 40, step = 0.2 }", "0")),
            ["200 of 200 draws are refused", "slip doubled"],
        ),
        (
            bank(replace=("reading / 2", "1 / (reading - reading)")),
            ["200 of 200 draws are refused", "cannot be worked"],
        ),
        (bank(replace=("reading / 2", "reading[3]")), ["half-kiln: givens: seed 0: TypeError"]),
        (bank(replace=("reading / 2", "loops.voltages")), ["half-kiln: givens: seed 0: "]),
    ],
)
def test_faults_are_told_with_their_place(library, text, lines):
    found = told(library, text)
    for line in lines:
        assert any(line in fault for fault in found), found
    assert all(fault.startswith("own.toml: ") for fault in found)


def test_all_faults_come_at_once(library):
    text = bank(step='unit = "kPaa"', replace=("reading / 2", "reading //")) + PROBLEM.replace('"F"', '"X"')
    assert len(told(library, text)) >= 3


def test_what_goes_wrong_where_a_variant_is_shown_is_told(library):
    def show(kept):
        raise ValueError(f"no picture of {kept.title}")

    assert told(library, bank(), show=show) == ["own.toml: half-kiln: cannot be shown: no picture of Half"]


def test_worksheets_that_other_banks_use_stay(library, tmp_path):
    from trainer.content.library import with_own
    from trainer.content.own_banks import store_bank

    store_bank(tmp_path, "own", bank(problem=""), "")
    store_bank(tmp_path, "second", PROBLEM, "")
    now = with_own(library, tmp_path)
    assert "half-kiln" in now.problems
    (fault,) = told(now, bank(problem="").replace("half-of-it", "third-of-it"))
    assert fault == "own.toml: worksheet = half-of-it: is needed with its givens by half-kiln in second.toml"
    assert told(now, bank(problem="")) == []


GIVEN = "[[worksheet.given]]\nname = 'g{n}'\ntitle = 'G'\n"
STEP = "[[worksheet.step]]\nname = 's{n}'\ntitle = 'S'\nvalue = '{value}'\ntolerance = 0.1\n"
HEAD = "[[worksheet]]\nname = 'grows'\ntitle = 'Grows'\nskill = 'S3.2'\n" + GIVEN.format(n=0)
USE = PROBLEM.replace("half-of-it", "grows").replace("{reading}", "{g0}").replace("reading =", "g0 =")


def steps(value, count):
    """Steps each of which works from the one before."""
    lines = [STEP.format(n=n, value=value.format(last="g0" if n == 0 else f"s{n - 1}")) for n in range(count)]
    return HEAD + "".join(lines) + USE


def many(part, count):
    return "".join(part.format(n=n) for n in range(count))


BOMBS = {
    "a name of very many parts": ".".join(["a"] * 60_000) + " = 1\n",
    "the same in quotes": ".".join(['"="'] * 30_000) + " = 1\n",
    "lists in lists": "x = " + "[" * 60_000 + "]" * 60_000,
    "tables in tables": "x = " + "{a = " * 20_000 + "1" + "}" * 20_000,
    "many tables": "[[problem]]\n" * 10_000,
    "many worksheets that are not known": "[[problem]]\nworksheet = 'a'\n" * 4_000,
    "many strange keys": many("a{n} = 1\n", 12_000),
    "a long key": "a" * 120_000 + " = 1\n",
    "a long number": "x = " + "9" * 100_000,
    "many steps": HEAD + many(STEP.replace("{value}", "g0"), 1_000),
    "many givens": HEAD + many(GIVEN.replace("{n}", "h{n}"), 2_000),
    "many slips": HEAD
    + STEP.format(n=0, value="g0")
    + many("[worksheet.step.slip.a{n}]\nvalue='1.0'\nsay='x'\n", 2_000),
    "rows that double": steps("({last}, {last})", 20),
    "texts that double": steps("{last} + {last}", 20).replace("'g0 + g0'", "\"'ab' + 'ab'\""),
    "squares of squares": steps("floor({last}) * floor({last})", 20),
    "powers of powers": steps("floor({last})**floor({last})**floor({last})", 20),
    "grids of a million steps": HEAD
    + STEP.format(n=0, value="g0 / 2")
    + many(
        USE.replace("half-kiln", "grid-{n}")
        .replace("{g0}", "it")
        .replace(
            "{ g0 = { low = 20, high = 40, step = 0.2 } }",
            "{{ g0 = {{ low = 0, high = 1e6, step = 1, avoid = [[1, 2], [5, 7], [100, 2000]] }} }}",
        ),
        300,
    ),
    "a worksheet that is slow": steps(" + ".join(["rtd.temperature(100.0 + {last} * 0)"] * 12), 20),
    "braces": HEAD + STEP.format(n=0, value="g0") + USE.replace("Half of {g0}?", "{" * 50_000),
    "a long word in braces": HEAD + STEP.format(n=0, value="g0") + USE.replace("Half of {g0}?", "{" + "a" * 100_000),
    "a long name": f"[[problem]]\nid = '{'a-' * 50_000}!'\n",
    "many expressions": HEAD + STEP.format(n=0, value="g0") + "refuse = [" + "'g0 > 1'," * 5_000 + "]\n",
}
SECONDS = 3.0


@pytest.mark.parametrize("name", BOMBS)
def test_no_bank_keeps_the_server_busy(library, name):
    text = BOMBS[name]
    assert len(text.encode()) <= LARGEST_BANK
    started = time.perf_counter()
    found = told(library, text, seconds=SECONDS)
    taken = time.perf_counter() - started
    assert found != [] or name == "a worksheet that is slow"
    assert taken < SECONDS + 6.0, (taken, found[:3])


def test_a_bank_that_takes_too_long_is_told_how_far_it_came(library):
    text = bank() + "".join(PROBLEM.replace("half-kiln", f"kiln-{n}") for n in range(50))
    found = told(library, text, seconds=0.05)
    assert any("could be checked in time" in line or "worked in time" in line for line in found)


def test_too_long_a_text_is_not_even_read(library):
    assert told(library, "#" * (LARGEST_BANK + 1)) == [f"A bank has at most {LARGEST_BANK} bytes."]


def test_one_bank_is_checked_at_a_time(library, monkeypatch):
    monkeypatch.setattr(bank_checks, "PATIENCE", 0.05)
    with bank_checks._checking, pytest.raises(Conflict, match="Other banks"):
        told(library, bank())
    assert told(library, bank()) == []
