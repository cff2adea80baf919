"""CSV: lines and quotes of the standard, nothing that a spreadsheet takes for a formula, and the tables themselves."""

import csv
from datetime import datetime, timedelta, timezone
from io import StringIO
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.exchange.csv_files import ROWS_AT_ONCE, cell_text, csv_chunks
from trainer.exchange.tables import ITEMS, item_table, paper_table, people_table
from trainer.learning.items import item_report
from trainer.learning.statistics import sums
from trainer.practice.paper_results import PaperWork
from trainer.practice.people import PersonRow
from trainer.storage.models import SetProblem
from trainer.storage.papers import PaperAttempt

AT = datetime(2026, 3, 2, 8, 30, tzinfo=timezone(timedelta(hours=1)))
ADA = UUID(int=7)


def written(head, rows) -> bytes:
    return b"".join(csv_chunks(head, rows))


def read(content: bytes) -> list[list[str]]:
    return list(csv.reader(StringIO(content.decode("utf-8-sig"), newline=""), strict=True))


# RFC 4180 (2005), section 2: rules 1 and 2 (lines end with CR LF, the last one too), 4 (commas), 6 (a cell with a line
# break, a quotation mark or a comma is quoted), 7 (a quotation mark inside is doubled).
@pytest.mark.parametrize(
    ("row", "line"),
    [
        (["aaa", "bbb", "ccc"], "aaa,bbb,ccc\r\n"),
        (["aaa", "b\r\nbb", "ccc"], 'aaa,"b\r\nbb",ccc\r\n'),
        (["aaa", 'b"bb', "ccc"], 'aaa,"b""bb",ccc\r\n'),
        (["aaa", "b,bb", ""], 'aaa,"b,bb",\r\n'),
    ],
)
def test_lines_and_quotes_are_those_of_the_standard(row, line):
    assert written(row, []).decode("utf-8-sig") == line


# RFC 3629 (2003), section 6: the mark is EF BB BF, once at the beginning.
def test_a_file_begins_with_the_mark_once():
    content = written(["name"], [["Zoë"]] * (2 * ROWS_AT_ONCE))
    assert content.startswith(b"\xef\xbb\xbf")
    assert content.count(b"\xef\xbb\xbf") == 1


# The signs are those of the page "CSV Injection" of OWASP, wide forms of East Asian keyboards included (from memory).
@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "=HYPERLINK(0)",
        "+1-1",
        "-1+1",
        "-5 °C",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        "\n=1",
        "\tAda",
        "  =1+1",
        "\N{NO-BREAK SPACE}=1",
        "＝1+1",
        "＋1",
        "－1",
        "＠A1",
        "﹦1",
        "--5",
        "+",
        "-",
        "=",
        "-5-5",
        "-٣",
    ],
)
def test_a_text_that_would_be_a_formula_has_an_apostrophe_before_it(text):
    assert cell_text(text) == f"'{text}"
    assert read(written(["name"], [[text]]))[1] == [cell_text(text)]


@pytest.mark.parametrize(
    "text", ["-5", "+5", "-5.25", "-5,25", "-.5", "+1e-3", "-1E+05", "0", "Ada", "a=b", "1-1", "", "'"]
)
def test_numbers_and_plain_texts_stay_as_they_are(text):
    assert cell_text(text) == text


@given(st.lists(st.lists(st.text(max_size=12), min_size=2, max_size=4), min_size=1, max_size=5))
def test_every_text_comes_back_and_none_begins_a_formula(rows):
    back = read(written(rows[0], rows[1:]))
    for row, cells in zip(rows, back, strict=True):
        for text, cell in zip(row, cells, strict=True):
            assert cell in (text, f"'{text}")
            assert not cell.startswith(("=", "@", "\t", "\r", "＝", "＠"))
            if cell[:1] in ("+", "-"):
                float(cell.replace(",", "."))


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, ""),
        (True, "yes"),
        (False, "no"),
        (7, "7"),
        (-5, "-5"),
        (-0.5, "-0.5"),
        (2 / 3, "0.666666667"),
        (0.1 + 0.2, "0.3"),
        (1.0, "1"),
        (AT, "2026-03-02T07:30:00Z"),
    ],
)
def test_values_are_written_plainly(value, text):
    assert cell_text(value) == text


def test_a_long_table_is_not_held_as_a_whole():
    taken = []

    def rows():
        for number in range(10 * ROWS_AT_ONCE):
            taken.append(number)
            yield [number]

    chunks = csv_chunks(["number"], rows())
    next(chunks)
    assert len(taken) == ROWS_AT_ONCE
    assert len(read(b"\xef\xbb\xbf" + b"".join(chunks))) == 9 * ROWS_AT_ONCE


def place(number: int, problem: str) -> SetProblem:
    return SetProblem(id=UUID(int=number), set_id=ADA, position=number, problem=problem, mode="guided", weight=2.0)


# East Carolina University teaching example, ten learners by ten items: p of the first item 0.7. Below 20 learners only
# counts are told, so each row stands three times here: the same p, and 30 learners are enough for r_ir.
ROWS = [
    "1111110110", "1011011101", "1111011001", "0010001000", "0000010010",
    "1110111111", "1101110111", "1111111101", "0101111101", "1101101110",
]  # fmt: skip
MARKS = [[int(mark) for mark in row] for row in ROWS]


def test_items_are_told_with_their_statistics(library):
    places = [place(number, f"gone-{number}") for number in range(1, 10)] + [place(10, "brine-chiller-current")]
    head, rows = item_table(places, item_report(sums(MARKS * 3)), library.problems)
    first, *_, last = (dict(zip(head, row, strict=True)) for row in rows)
    assert (first["number"], first["problem"], first["title"]) == (1, "gone-1", None)
    assert (first["learners"], first["sum of marks"], first["provisional"]) == (30, 21.0, True)
    assert first["p"] == pytest.approx(0.7)
    assert first["r_ir"] == pytest.approx(0.7059, abs=0.00005)
    assert first["alpha of the set"] == pytest.approx(0.6963, abs=0.00005)
    assert last["skill"] == "S3.2"


def test_what_few_learners_cannot_carry_is_left_empty(library):
    places = [place(number, "gone") for number in range(1, 11)]
    _, rows = item_table(places, item_report(sums(MARKS)), library.problems)
    row = dict(zip(ITEMS, next(iter(rows)), strict=True))
    assert (row["learners"], row["sum of marks"], row["p"], row["p low"], row["alpha of the set"]) == (
        10,
        7.0,
        None,
        None,
        None,
    )


def test_people_are_told_with_their_groups():
    row = PersonRow(ADA, None, "Ada", "guest", "active", ((ADA, "Night"), (ADA, "Day")), None, AT)
    head, rows = people_table([row])
    assert read(written(head, rows)) == [
        ["name", "role", "state", "groups", "code valid until", "last worked", "learner"],
        ["Ada", "guest", "active", "Night; Day", "", "2026-03-02T07:30:00Z", str(ADA)],
    ]


def test_paper_results_have_a_line_for_each_problem():
    attempts = tuple(
        PaperAttempt(ADA, ADA, "Ada", problem, 10001700300 + at, AT, AT, value, override, bool(value))
        for at, (problem, value, override) in enumerate([("kiln", 0.5, None), ("dairy", 0.0, 0.75)], 1)
    )
    head, rows = paper_table([("Week 1", [PaperWork(attempts, 17, 3)])])
    lines = [dict(zip(head, row, strict=True)) for row in read(written(head, rows))[1:]]
    assert [(line["number"], line["problem"], line["mark"], line["from"]) for line in lines] == [
        ("1", "kiln", "0.5", "answers"),
        ("2", "dairy", "0.75", "plain mark"),
    ]
    assert {(line["paper"], line["seed"], line["version"], line["total"]) for line in lines} == {
        ("Week 1", "17", "3", "0.625")
    }
    assert {line["written on"] for line in lines} == {"2026-03-02"}


def test_a_moment_without_a_zone_is_not_guessed():
    with pytest.raises(ValueError, match="does not say its time zone"):
        cell_text(datetime(2026, 3, 2))  # noqa: DTZ001
