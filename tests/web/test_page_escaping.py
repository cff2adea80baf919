"""What people type is text on a page, never markup, a template or a link; and no code runs text."""

import ast
import re
from pathlib import Path

import pytest
from web_visitors import Visitor, services_of

import trainer
from trainer.storage.accounts import add_account
from trainer.storage.learners import add_learner

PACKAGE = Path(trainer.__file__).parent
HOSTILE = ["<script>alert(1)</script>", "{{7*7}}", "{% raw %}", '"><img src=x onerror=alert(1)>', "javascript:alert(1)"]
MARKUP = re.compile(r"<script>alert|<img src=x|(?:href|src|action)=\"javascript:|value=\"\"><img")


def shown_safely(page: str, text: str) -> bool:
    escaped = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&#34;")
    return escaped in page and not MARKUP.search(page)


# OWASP ASVS 5.0.0, V1.2 and V1.3.
@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize("mode", ["guided", "unguided"])
def test_a_typed_text_is_shown_as_text(visitor, text, mode):
    sheet = visitor.start(mode=mode)
    visitor.enter(sheet, "fraction" if mode == "guided" else "value", text)
    page = visitor.page(sheet)
    assert shown_safely(page, text)
    assert "Not marked:" in page
    visitor.post(f"{sheet}/solution")
    assert shown_safely(visitor.page(f"{sheet}/solution"), text)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_name_is_shown_as_text(make_app, clock, text):
    app = make_app(demo=True)
    with services_of(app).database.writing() as session:
        learner = add_learner(session, text, clock())
        add_account(session, learner, text, "learner", clock())
    visitor = Visitor(app)
    assert shown_safely(visitor.page("/"), text)
    visitor.post(f"/demo/{learner.id}")
    assert shown_safely(visitor.page("/progress/"), text)


@pytest.mark.parametrize("text", HOSTILE[:2])
@pytest.mark.parametrize("address", ["/skills/{}", "/lessons/{}", "/problems/{}/example/1"])
def test_an_address_is_shown_as_text(visitor, address, text):
    answer = visitor.get(address.format(text.replace("/", "")))
    assert answer.status_code == 404
    page = answer.get_data(as_text=True)
    assert "49" not in page
    assert not MARKUP.search(page)


def called(tree: ast.AST) -> set[str]:
    """Names of functions called and modules imported."""
    names = {node.func.id for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add(node.module or "")
    return names


SOURCES = {path.relative_to(PACKAGE).as_posix(): ast.parse(path.read_text("utf-8")) for path in PACKAGE.rglob("*.py")}


def test_no_code_runs_text():
    forbidden = {"eval", "exec", "compile", "__import__", "pickle", "marshal", "shelve", "render_template_string"}
    found = {path: called(tree) & forbidden for path, tree in SOURCES.items()}
    assert {path: names for path, names in found.items() if names} == {}
    assert len(SOURCES) > 50


def test_markup_is_made_in_a_short_list_of_places():
    """Formulas and lessons are filtered to a list of elements before; nothing else is trusted."""
    makers = {path for path, tree in SOURCES.items() if "Markup" in called(tree)}
    assert makers == {"web/show.py", "web/lessons.py", "web/sheets.py"}
    sheets = ast.walk(SOURCES["web/sheets.py"])
    made = [node for node in sheets if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Markup"]
    assert [ast.unparse(node) for node in made] == ["Markup('')"]


def test_no_template_trusts_text():
    templates = {path.name: path.read_text("utf-8") for path in (PACKAGE / "web" / "templates").glob("*.html")}
    assert len(templates) > 10
    for name, text in templates.items():
        assert not re.search(r"\|\s*safe|autoescape\s+false|\bstyle=|<style|\son\w+=|<script(?! src)", text), name
