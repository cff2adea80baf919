"""Every page is valid HTML, by the Nu Html Checker of the W3C."""

import shutil
import subprocess
from pathlib import Path

import pytest
from test_page_entries import form_of
from web_visitors import Visitor, snapshot_of, start_with_seed


def pages_of(app, visitor: Visitor, library) -> dict[str, str]:
    """Every kind of page, and the sheet of every worksheet in its states."""
    found = {
        f"visitor{address}": Visitor(app).page(address) for address in ("/", "/skills/", "/progress/", "/preferences/")
    }
    guest, seen = visitor.become_guest(), set()
    for name, problem in library.problems.items():
        if problem.worksheet.name in seen:
            continue
        seen.add(problem.worksheet.name)
        sheet = start_with_seed(app, guest, name, "guided", 31)
        found[f"open {name}"] = visitor.page(sheet)
        first, *others = snapshot_of(app, sheet).steps
        visitor.post(f"{sheet}/entries", step=first.name, form_token="none", entry="<b>")
        found[f"unread {name}"] = visitor.page(sheet)
        if first.kind == "number":
            visitor.enter(sheet, first.name, "987654.3")
            found[f"wrong {name}"] = visitor.page(sheet)
        for step in (first, *others):
            found[f"{step.name} {name}"] = visitor.page(sheet)
            visitor.post(f"{sheet}/entries", step=step.name, form_token="one", **form_of(step))
        found[f"right {name}"] = visitor.page(sheet)
        visitor.post(f"{sheet}/solution")
        found[f"closed {name}"] = visitor.page(sheet)
        found[f"solution {name}"] = visitor.page(f"{sheet}/solution")
    for skill in library.lessons:
        found[f"lesson {skill}"] = visitor.page(f"/lessons/{skill}")
        found[f"skill {skill}"] = visitor.page(f"/skills/{skill}")
    for address in (
        "/",
        "/skills/",
        "/lessons/",
        "/progress/",
        "/preferences/",
        "/problems/brine-chiller-current/example/1",
    ):
        found[f"guest{address}"] = visitor.page(address)
    found["fault"] = visitor.get("/nowhere").get_data(as_text=True)
    return found


@pytest.fixture
def checker(needs, node_modules) -> list[str]:
    jar = Path(node_modules) / "vnu-jar" / "build" / "dist" / "vnu.jar"
    needs("java", shutil.which("java"), "the HTML checker runs on it")
    needs("vnu-jar", jar.is_file(), "npm install vnu-jar, and name its folder in TRAINER_NODE_MODULES")
    return ["java", "-jar", str(jar), "--format", "gnu", "--Werror"]


def test_every_page_is_valid(app, visitor, library, checker, tmp_path):
    found = pages_of(app, visitor, library)
    folder = tmp_path / "html"
    folder.mkdir()
    for number, page in enumerate(found.values()):
        (folder / f"{number:04}.html").write_text(page, "utf-8")
    checked = subprocess.run([*checker, "--skip-non-html", str(folder)], capture_output=True, text=True)
    names = list(found)
    lines = [line.partition("/html/")[2] for line in checked.stderr.splitlines() if "/html/" in line]
    told = [f"{names[int(line[:4])]}: {line}" for line in lines]
    assert (told[:20], checked.returncode) == ([], 0), checked.stderr[:2000]


def test_the_checker_finds_a_bad_page(checker, tmp_path):
    page = tmp_path / "bad.html"
    page.write_text("<!doctype html><html lang=en><title>bad</title><p><div></p>", "utf-8")
    checked = subprocess.run([*checker, str(page)], capture_output=True, text=True)
    assert checked.returncode == 1
    assert "bad.html" in checked.stderr
