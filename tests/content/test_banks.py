"""Question banks: read into problems; whatever a file holds, it is told and never a traceback."""

import tomllib
from unittest.mock import patch

import pytest
from bank_entries import GIVENS, entry
from hypothesis import given
from hypothesis import strategies as st

from trainer.content.banks import SIZE_AT_MOST, read_banks
from trainer.content.library import check_draws, read_library
from trainer.worksheets.draw import Choice, Fixed, Grid, Within

WORKSHEETS = read_library().worksheets


@pytest.fixture
def read(tmp_path):
    def read(text, name="bank.toml"):
        (tmp_path / name).write_text(text, "utf-8")
        return read_banks([tmp_path], WORKSHEETS)

    return read


def test_reads_a_problem(read):
    problems, faults = read(
        entry(more='cautions = ["Care."]\nkeep = { value = [10, 240], signal = [5, 19] }\ntolerance = { value = 0.5 }')
    )
    assert faults == []
    problem = problems["kiln-current"]
    assert (problem.title, problem.level, problem.place, problem.bank, problem.skill) == (
        "Kiln",
        "F",
        "kiln",
        "bank.toml",
        "S3.2",
    )
    assert problem.worksheet is WORKSHEETS["value-from-signal"]
    assert problem.draws == (
        Fixed("lower", 0.0),
        Choice(("upper",), ((160.0,), (250.0,))),
        Fixed("signal_low", 4.0),
        Fixed("signal_high", 20.0),
        Grid("signal", 5.3, 18.8, 0.01, ((11.4, 12.6),)),
    )
    assert (problem.keep, problem.tolerances) == ({"value": (10.0, 240.0), "signal": (5.0, 19.0)}, {"value": 0.5})
    assert (problem.cautions, problem.units["lower"]) == (("Care.",), "kPa")
    assert 10 <= problem.variant(1).values["value"] <= 240


def test_rows_together_come_before_what_lies_within_them(read):
    text = entry(
        head={"worksheet": '"signal-from-value"', "text": '"Expect {value} of {lower} to {upper}."'},
        givens={
            "lower": None,
            "upper": None,
            "signal": None,
            "value": '{ of = ["lower", "upper"], low = 20, high = 90, step = 5 }',
        },
        units={"signal": None, "value": '"kPa"'},
        more='together = [{ givens = ["lower", "upper"], rows = [[0, 100], [-50, 50]] }]',
    )
    problems, faults = read(text)
    assert faults == []
    draws = problems["kiln-current"].draws
    assert draws[0] == Choice(("lower", "upper"), ((0.0, 100.0), (-50.0, 50.0)))
    assert draws[-1] == Within("value", ("lower", "upper"), 20, 90, 5)


def test_wrapped_texts_line_ends_and_byte_order_mark_of_other_editors(tmp_path):
    text = entry(head={"text": '"""A meter\n   shows {signal}."""'}).replace("\n", "\r\n")
    (tmp_path / "bank.toml").write_bytes(b"\xef\xbb\xbf" + text.encode())
    problems, faults = read_banks([tmp_path], WORKSHEETS)
    assert faults == []
    assert problems["kiln-current"].text == "A meter shows {signal}."


def test_an_id_is_used_once_over_all_banks(read, tmp_path):
    (tmp_path / "a.toml").write_text(entry(), "utf-8")
    problems, faults = read(entry() + entry(head={"id": '"second"'}))
    assert faults == ["bank.toml: kiln-current: id = kiln-current: is used already in a.toml"]
    assert {key: problem.bank for key, problem in problems.items()} == {"kiln-current": "a.toml", "second": "bank.toml"}


def test_a_second_folder_is_read_after_the_first(read, tmp_path):
    own = tmp_path / "own"
    own.mkdir()
    (own / "0.toml").write_text(entry(head={"id": '"mine"'}) + entry(), "utf-8")
    (tmp_path / "z.toml").write_text(entry(), "utf-8")
    problems, faults = read_banks([tmp_path, own], WORKSHEETS)
    assert faults == ["0.toml: kiln-current: id = kiln-current: is used already in z.toml"]
    assert list(problems) == ["kiln-current", "mine"]


@pytest.mark.parametrize(
    "text",
    ["[[problem]", "a = ", "x = " + "9" * 5000, "x = " + "[" * 3000, "\udcff", "a = 1\na = 2", "\x00"],
    ids=["open", "no value", "number without end", "lists without end", "not UTF-8", "twice", "control character"],
)
def test_what_is_no_toml_is_told(tmp_path, text):
    (tmp_path / "bank.toml").write_bytes(text.encode("utf-8", "surrogateescape"))
    problems, faults = read_banks([tmp_path], WORKSHEETS)
    assert problems == {}
    assert len(faults) == 1
    assert faults[0].startswith("bank.toml: file = bank.toml: cannot be read: ")


def test_a_bank_has_its_limit(read):
    _, faults = read("#" * SIZE_AT_MOST + "#")
    assert faults == [f"bank.toml: size = {SIZE_AT_MOST + 1}: a bank has at most {SIZE_AT_MOST} bytes"]
    assert read("#" * SIZE_AT_MOST) == ({}, [])


def test_a_folder_of_that_name_is_no_bank(tmp_path):
    (tmp_path / "bank.toml").mkdir()
    _, faults = read_banks([tmp_path], WORKSHEETS)
    assert faults[0].startswith("bank.toml: file = bank.toml: cannot be read: ")


@pytest.mark.parametrize("text", ["problem = 3", "[problem]\nid = 3", "problem = [1, 2]"])
def test_problems_are_an_array_of_tables(read, text):
    _, faults = read(text)
    assert len(faults) == 1
    assert faults[0].endswith(": is written as [[problem]]")


def test_other_tables_are_no_key(read):
    assert read("[[problems]]\nid = 3")[1] == ["bank.toml: problems = ...: is no key here; did you mean problem?"]


VALUES = st.recursive(
    st.booleans()
    | st.integers(-(10**400), 10**400)
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(
        ["lower", "upper", "signal", "value", "mA", "rising", "{signal}", "value-from-signal", "relay-states"]
    ),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["low", "high", "step", "avoid", "of", "choose", "value", "givens", "rows", "x"]),
            inner,
            max_size=4,
        )
    ),
    max_leaves=6,
)
KEYS = st.sampled_from(
    [
        "id",
        "worksheet",
        "title",
        "text",
        "level",
        "place",
        "givens",
        "skill",
        "units",
        "together",
        "keep",
        "tolerance",
        "cautions",
        "other",
    ]
)


@pytest.fixture(scope="module")
def some_bank(tmp_path_factory):
    path = tmp_path_factory.mktemp("banks") / "bank.toml"
    path.write_text("", "utf-8")
    return path


@given(
    changes=st.dictionaries(KEYS, VALUES, max_size=3),
    givens=st.dictionaries(st.sampled_from([*GIVENS, "other"]), VALUES, max_size=3),
)
def test_no_bank_raises(some_bank, changes, givens):
    sound = tomllib.loads(entry())["problem"][0]
    sound["givens"] |= givens
    sound |= changes
    with patch("trainer.content.banks.tomllib.loads", return_value={"problem": [sound]}):
        problems, faults = read_banks([some_bank.parent], WORKSHEETS)
    assert bool(problems) != bool(faults)
    assert all(line.isprintable() for line in faults)
    for problem in problems.values():
        assert all(problem.id in line for line in check_draws(problem, 5))
