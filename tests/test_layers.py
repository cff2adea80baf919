"""Imports go one way, from the bottom of the layers to the top, and what is pure stays so."""

import ast
from pathlib import Path

import pytest

import trainer

ROOT = Path(trainer.__file__).parent
LEAVES = {"errors", "units", "clock", "settings", "language"}
CALCULATIONS = LEAVES | {"calculations"}
CHANNEL = CALCULATIONS | {"channel"}
WORKSHEETS = CHANNEL | {"worksheets"}
GRADING = WORKSHEETS | {"grading"}
BENCH = GRADING | {"bench"}
CONTENT = BENCH | {"content"}
ABOVE_PRACTICE = CONTENT | {"learning", "storage"}
PRACTICE = ABOVE_PRACTICE | {"practice", "figures"}
PAGES = PRACTICE | {"exchange"}
# What each layer may import of the others; as in the table of the contributors' guide.
MAY = {
    "errors": set(),
    **{leaf: {"errors"} for leaf in LEAVES - {"errors"}},
    "calculations": LEAVES,
    "channel": CALCULATIONS,
    "worksheets": CHANNEL,
    "grading": WORKSHEETS,
    "bench": GRADING,
    "content": BENCH,
    "learning": LEAVES,
    "storage": LEAVES,
    "practice": ABOVE_PRACTICE,
    "figures": CHANNEL | {"bench", "learning"},
    "exchange": PRACTICE,
    "web": PAGES,
    "cli": PAGES | {"web", "trainer"},
}
ONLY_IN = {
    "fpdf": {"exchange"},
    "sqlalchemy": {"storage", "practice", "exchange", "web", "cli"},
    "alembic": {"storage"},
    "flask": {"web"},
    "flask_wtf": {"web"},
    "werkzeug": {"web", "practice"},
    "cheroot": {"web"},
    "matplotlib": {"figures"},
    "click": {"cli"},
}
FILES = sorted(ROOT.rglob("*.py"))


def layer_of(path):
    return path.relative_to(ROOT).with_suffix("").parts[0]


def imported(path):
    """Every name imported anywhere in a file, inside functions and for type checking too."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path} imports relatively"
            yield node.module
            if node.module == "trainer":
                yield from (f"trainer.{name.name}" for name in node.names)


def test_every_layer_is_known():
    assert {layer_of(path) for path in FILES} == {*MAY, "__init__"}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_imports_go_one_way(path):
    layer = layer_of(path)
    for name in imported(path):
        top, _, rest = name.partition(".")
        if top != "trainer":
            assert layer in ONLY_IN.get(top, {layer}), f"{layer} imports {name}"
        elif rest and not rest.startswith("__"):
            assert rest.split(".")[0] in MAY[layer] | {layer}, f"{layer} imports {name}"


def test_the_table_of_the_guide_names_every_layer():
    table = (ROOT.parent / "DEVELOPERS.md").read_text("utf-8").partition("## Layout")[2].partition("\n## ")[0]
    missing = [layer for layer in MAY if f"`{layer}.py`" not in table and f"`{layer}/`" not in table]
    assert missing == []
