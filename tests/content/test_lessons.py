"""Lessons: heads read whole, all faults told at once, and the shipped ones sound."""

import subprocess
import sys

import pytest

from trainer.content.folders import shipped
from trainer.content.lessons import check_bodies, read_lessons, read_strands

HEAD = {
    "skill": '"S3.2"',
    "title": '"Signal to process value"',
    "can": '"Turn a current into a level."',
    "level": '"F"',
    "safety": "false",
    "cautions": "[]",
    "sources": '["common practice"]',
}


def lesson_text(body="## What it is for\n\nA silo.\n", **changes):
    head = {key: value for key, value in (HEAD | changes).items() if value is not None}
    return "+++\n" + "".join(f"{key} = {value}\n" for key, value in head.items()) + "+++\n" + body


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "strands.toml").write_text('S3 = "Signals"\nS11 = "Choose"\n', "utf-8")
    return tmp_path


def put(folder, name="a.md", **changes):
    (folder / name).write_text(lesson_text(**changes), "utf-8")


def test_reads_a_lesson(folder):
    put(folder, cautions='["Inform the operator."]')
    (lesson,), faults = read_lessons([folder])
    assert faults == []
    assert (lesson.skill, lesson.strand, lesson.level, lesson.safety) == ("S3.2", "S3", "F", False)
    assert lesson.cautions == ("Inform the operator.",)
    assert lesson.body == "## What it is for\n\nA silo.\n"
    assert lesson.path == folder / "a.md"
    assert lesson.html(example=None, figure=None) == "<h2>What it is for</h2>\n<p>A silo.</p>\n"


def test_line_ends_and_byte_order_mark_of_other_editors(folder):
    text = lesson_text().replace("\n", "\r\n")
    (folder / "a.md").write_bytes(b"\xef\xbb\xbf" + text.encode())
    lessons, faults = read_lessons([folder])
    assert faults == []
    assert lessons[0].body.startswith("## What it is for\n")


def test_order_is_by_number_and_a_second_folder_follows(folder, tmp_path):
    put(folder, "a.md", skill='"S11.2"')
    put(folder, "b.md", skill='"S3.10"')
    more = tmp_path / "more"
    more.mkdir()
    (more / "strands.toml").write_text('S12 = "Own"\n', "utf-8")
    put(more, "a.md", skill='"S12.1"')
    put(more, "b.md", skill='"S3.9"')
    lessons, faults = read_lessons([folder, more])
    assert faults == []
    assert [lesson.skill for lesson in lessons] == ["S3.9", "S3.10", "S11.2", "S12.1"]


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"titel": '"x"'}, "a.md: titel = ...: is no key here; did you mean title?"),
        ({"title": None}, "a.md: title = nothing: is required"),
        ({"title": '" "'}, "a.md: title =  : is one line"),
        ({"safety": '"no"'}, "a.md: safety = no: is true or false"),
        ({"safety": "1"}, "a.md: safety = 1: is true or false"),
        ({"cautions": "[1]"}, "a.md: cautions = [1]: is a list of texts"),
        ({"safety": "true"}, "a.md: cautions = nothing: is required where safety = true"),
        ({"sources": "[]"}, "a.md: sources = nothing: says where the numbers come from"),
        ({"level": '"X"'}, "a.md: level = X: is not known (F, W, A)"),
        ({"skill": '"3.2"'}, "a.md: skill = 3.2: is written S3.2: strand, point, number"),
        ({"skill": '"S4.1"'}, "a.md: skill = S4: is not known (S3, S11)"),
        ({"body": "\n"}, "a.md: body = nothing: is required"),
    ],
)
def test_faults_name_file_key_value_and_rule(folder, changes, fault):
    put(folder, **changes)
    assert read_lessons([folder]) == ((), [fault])


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"# Title\n", "head = # Title: is TOML between two lines of +++"),
        (b'+++\nskill = "S3.2"\n', "is TOML between two lines of +++"),
        (b"+++\nskill = \n+++\nbody", "head = a.md: cannot be read: Invalid value"),
        (b"+++\na = " + b"[" * 5000 + b"\n+++\nbody", "head = a.md: cannot be read"),
        (b"\xff\xfe", "file = a.md: cannot be read"),
        (b"", "head = : is TOML"),
        (b"x" * (64 * 1024 + 1), "size = 65537: a lesson has at most 65536 bytes"),
    ],
)
def test_files_that_cannot_be_read(folder, content, fault):
    (folder / "a.md").write_bytes(content)
    lessons, faults = read_lessons([folder])
    assert lessons == ()
    assert len(faults) == 1
    assert fault in faults[0]


def test_all_faults_at_once_and_the_sound_lessons_all_the_same(folder):
    put(folder, "a.md")
    put(folder, "b.md", level='"X"', sources="[]", safety="true")
    put(folder, "c.md", titel='"x"', title=None)
    put(folder, "d.md")
    lessons, faults = read_lessons([folder])
    assert [lesson.path.name for lesson in lessons] == ["a.md"]
    assert [fault.partition(" = ")[0] for fault in faults] == [
        "b.md: level",
        "b.md: sources",
        "b.md: cautions",
        "c.md: titel",
        "c.md: title",
        "d.md: skill",
    ]
    assert faults[-1] == "d.md: skill = S3.2: is declared already in a.md"


def test_strands_are_checked(folder):
    (folder / "strands.toml").write_text('S3 = "Signals"\nX = "x"\nS4 = 4\n', "utf-8")
    strands, faults = read_strands([folder])
    assert strands == {"S3": "Signals"}
    assert faults == [
        "strands.toml: strand = X: is S and a number",
        "strands.toml: S4 = 4: is the title of the strand",
    ]


def test_bodies_are_checked_against_what_there_is(folder):
    body = (
        "see [this](skill:S3.2) and [that](skill:S3.9)\n\n# T\n\n"
        '```example\nproblem = "silo-levl"\nseed = 1\n```\n\n'
        '```figure\nname = "range bar"\ncaption = "c"\n```\n'
    )
    put(folder, body=body)
    lessons, faults = read_lessons([folder])
    assert faults == []
    assert check_bodies(lessons, problems=["silo-level"], figures=["range bars"]) == [
        "a.md: heading = T: starts with ##: the title is the only # of the page",
        "a.md: link = S3.9: is not known; did you mean S3.2?",
        "a.md: example = silo-levl: is not known; did you mean silo-level?",
        "a.md: figure = range bar: is not known; did you mean range bars?",
    ]
    assert len(check_bodies(lessons)) == 2


# The strands of the trade, in teaching order.
def test_shipped_strands_are_the_eleven():
    strands, faults = read_strands([shipped("lessons")])
    assert faults == []
    assert list(strands) == [f"S{number}" for number in range(1, 12)]


def test_shipped_lessons_are_sound():
    lessons, faults = read_lessons([shipped("lessons")])
    assert faults == []
    assert "S3.2" in [lesson.skill for lesson in lessons]
    assert [fault for lesson in lessons for fault in lesson.outline.faults] == []


def test_reading_loads_neither_markdown_nor_formulas():
    code = (
        "import sys; from trainer.content.folders import shipped; "
        "from trainer.content.lessons import read_lessons; "
        "lessons, _ = read_lessons([shipped('lessons')]); "
        "heavy = {'markdown_it', 'mdit_py_plugins', 'latex2mathml'} & set(sys.modules); "
        "sys.exit(bool(heavy) or not lessons)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
