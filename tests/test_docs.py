"""The documents are true: commands exist, links lead somewhere, lessons and problems belong together."""

import ast
import re
from io import BytesIO
from pathlib import Path

import click
import pytest
from babel.messages.extract import extract

import trainer
from trainer.cli import main
from trainer.content.library import read_library

ROOT = Path(trainer.__file__).parent.parent
GUIDES = [path for path in (ROOT / "README.md", ROOT / "DEVELOPERS.md") if path.is_file()]
LIBRARY = read_library()
SOURCES = sorted((ROOT / "trainer").rglob("*.py"))
OUTSIDE = ("http:", "https:", "mailto:", "skill:")

each_guide = pytest.mark.parametrize("guide", GUIDES, ids=lambda path: path.name)


# Commands


def commands_in(text):
    """What stands after the program's name in code: the words of each use."""
    code = re.findall(r"^```\w*\n(.*?)^```|`([^`\n]+)`", text, re.M | re.S)
    for block, inline in code:
        for line in (block or inline).splitlines():
            for use in re.findall(r"(?:^|[\s/\\])trainer ([a-z].*?)(?=$|&&|\|)", line):
                yield use.split()


def test_commands_are_found_in_prose():
    text = "Run `.venv/bin/trainer serve --demo` or\n```\na && trainer draw X --seed 4\n```\n`trainer/errors.py`"
    assert list(commands_in(text)) == [["serve", "--demo"], ["draw", "X", "--seed", "4"]]


@each_guide
def test_every_command_named_exists_with_its_options(guide):
    found = list(commands_in(guide.read_text("utf-8")))
    assert found
    for name, *words in found:
        assert name in main.commands, f"trainer {name} is no command"
        known = {option for parameter in main.commands[name].params for option in parameter.opts} | {"--help"}
        assert {word for word in words if word.startswith("-")} <= known, f"trainer {name} {words}"


def test_the_readme_lists_every_command():
    text = (ROOT / "README.md").read_text("utf-8")
    named = {name for name, *_ in commands_in(text)}
    assert set(main.commands) <= named


@pytest.mark.parametrize("name", main.commands)
def test_every_command_and_option_says_what_it_is_for(name):
    command = main.commands[name]
    assert len(command.get_short_help_str(200)) > 15
    assert command.help.strip().endswith(".")
    assert all(option.help for option in command.params if isinstance(option, click.Option))


# Links


@each_guide
def test_links_lead_somewhere(guide):
    text = guide.read_text("utf-8")
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        if not target.startswith(OUTSIDE):
            path, _, anchor = target.partition("#")
            assert (guide.parent / path).exists() if path else f"# {anchor.replace('-', ' ')}" in text.casefold(), (
                target
            )


# Lessons and problems


def test_every_skill_with_problems_has_a_lesson():
    assert {skill for skill in LIBRARY.by_skill if skill not in LIBRARY.lessons} == set()


def test_every_lesson_has_problems_and_works_one_of_them():
    practiced = {sheet.skill for sheet in LIBRARY.worksheets.values()} | set(LIBRARY.by_skill)
    for lesson in LIBRARY.lessons.values():
        if lesson.skill in practiced:
            assert LIBRARY.by_skill.get(lesson.skill), f"{lesson.skill} has a worksheet and no problem"
            assert lesson.examples, f"{lesson.skill} shows no worked example"


def test_every_worksheet_is_used():
    used = {problem.worksheet.name for problem in LIBRARY.problems.values()}
    assert set(LIBRARY.worksheets) - used == set()


# Messages


def extracted(path):
    """What Babel finds in a file."""
    keywords = {"gettext": None, "ngettext": (1, 2)}
    return {
        message
        for _, found, *_ in extract("python", BytesIO(path.read_bytes()), keywords)
        for message in (found if isinstance(found, tuple) else (found,))
    }


def literals(path):
    """The texts that calls of gettext are given as they stand."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("gettext", "ngettext"):
            yield from node.args[: 1 if node.func.id == "gettext" else 2]


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_message_can_be_extracted(path):
    found = extracted(path) if "gettext" in path.read_text("utf-8") else set()
    for message in literals(path):
        if isinstance(message, ast.Constant):
            assert message.value in found
        else:  # a name for what comes from content may be; a text put together on the spot is in no catalog
            put_together = isinstance(message, ast.JoinedStr | ast.BinOp) or ".format(" in ast.unparse(message)
            assert not put_together, f"{path.name}:{message.lineno}: {ast.unparse(message)}"
