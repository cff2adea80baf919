"""Every page is valid HTML, by the Nu Html Checker of the W3C."""

import re
import shutil
import subprocess
from html import unescape
from pathlib import Path
from uuid import UUID

import pytest
from policy_shop import PolicyShop
from set_room import BATH, GATE, RETORT, keep
from setup_forms import hand_in
from test_page_entries import form_of
from web_visitors import BRINE, Visitor, snapshot_of, start_with_seed

from trainer.practice.problem_texts import texts_of as boxes_of

ROUGH = '<script>alert(1)</script>{{7*7}} & "so"'
OWN, BANK = "wort-cooler", "own"
FILES = re.compile(
    r"static|figures?\.|figure$|plot$|spread$|exports\.|_file$|(kept|people)\.record$"
    r"|backups\.download|health\.|handovers\.look"
)
PAPER = f"problem={BRINE}&problem={RETORT}&problem={GATE}&problem={BATH}&versions=2&seed=17"
ASKED = (
    *(f"/papers/{each}?{PAPER}" for each in ("paper", "key")),
    "/papers/?strand=S3",
    "/skills/?strand=S3",
    f"/own-problems/new?copy={BRINE}",
    "/own-problems/new?copy=retort-cooling-trace",
    "/own-problems/worksheets?skill=S3.2",
    "/room/?skill=S3.2",
    "/reference/rtd?temperature=12",
    "/reference/rtd?temperature=x",
    f"/own-problems/banks/{BANK}/text",
    f"/own-problems/banks/{BANK}/problems/{OWN}",
    "/complaints/?settled=1",
    "/people/?state=guest",
    "/teaching/",
)


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


def pages_for(who: str, visitor: Visitor, addresses) -> dict[str, str]:
    """What somebody is shown at addresses; not what is refused, leads elsewhere or is no page."""
    answers = {address: visitor.get(address) for address in dict.fromkeys(addresses)}
    return {
        f"{who} {address}": answer.get_data(as_text=True)
        for address, answer in answers.items()
        if answer.status_code == 200 and answer.mimetype == "text/html"
    }


def everywhere(shop: PolicyShop, **values) -> list[str]:
    """Every address that can be read, for a sheet by itself, one of a set and that of a hunt."""
    return [*shop.addresses("GET", **values), *shop.addresses("GET", **{"attempt_id": shop.attempt_id} | values)]


def seen_pages(app) -> dict[str, str]:
    """Every address of the program as a learner, an instructor and nobody see it, before and after a hand-in."""
    shop = PolicyShop(app)
    found = pages_for("nobody", Visitor(app), everywhere(shop))
    found |= pages_for("learner", shop.learner, everywhere(shop))
    code = go_on(shop)
    after = ("/", "/mixed/summary", f"{shop.sheet}/solution", f"/hunts/{shop.hunt_id}/debrief", f"{shop.task}/result")
    found |= pages_for("later", shop.learner, after)
    paper = [f"/papers/marks?code={code}", f"/papers/marks/work?code={code}&learner={shop.learner_id}"]
    found |= pages_for("instructor", shop.instructor, [*everywhere(shop), *ASKED, *paper])
    values = handed_in(shop)
    addresses = [address for address in everywhere(shop, **values) if any(str(id) in address for id in values.values())]
    found |= pages_for("learner", shop.learner, [*addresses, "/", "/progress/"])
    found |= pages_for("instructor", shop.instructor, [*addresses, "/complaints/", f"/groups/{shop.group_id}/slips"])
    return found | answered(shop, values)


def go_on(shop: PolicyShop) -> str:
    """Go on with what the shop has begun: a sheet closed, a hunt ended, a mix, an own problem, a paper; its code."""
    assert shop.learner.post(f"{shop.sheet}/solution").status_code == 303
    hunt = f"/hunts/{shop.hunt_id}"
    fault = first_of(shop.learner.page(f"{hunt}/answer"), "fault")
    remedy = first_of(shop.learner.page(f"{hunt}/answer?fault={fault}"), "remedy")
    assert shop.learner.post(f"{hunt}/answer", form_token="end", fault=fault, remedy=remedy).status_code == 303
    assert hand_in(shop.learner, shop.task).status_code == 303
    assert shop.learner.post("/mixed/", strand=["S3"], mode="guided").status_code == 303
    texts = boxes_of(shop.services.library.problems[BRINE]) | {"id": OWN, "bank": BANK, "title": ROUGH}
    assert shop.instructor.post("/own-problems/new", do="keep", **texts).status_code == 303
    wish = {"problem": [BRINE, RETORT, GATE, BATH], "seed": "17", "versions": "2", "title": ROUGH, "page": "A4"}
    answer = shop.instructor.post("/papers/", **wish)
    assert answer.status_code == 303
    return re.search(r"\b[2-9A-Z]{3}-[2-9A-Z]{3}-[2-9A-Z]{3}\b", shop.instructor.page(answer.location))[0]


def first_of(page: str, name: str) -> str:
    """The first option of a name."""
    return unescape(re.search(rf'type="radio" name="{name}" value="([^"]+)"', page)[1])


def handed_in(shop: PolicyShop) -> dict[str, UUID]:
    """A set with problems of several kinds, handed in and reviewed, under rough names."""
    problems = tuple((each, "guided") for each in (BRINE, RETORT, GATE, BATH))
    given = shop.room.open(ROUGH, problems, minutes=40, note=ROUGH)
    place = shop.room.begin(shop.learner, given)
    keep(shop.learner, place, fraction="0.9", value="<b>")
    assert shop.learner.post(f"{place}/hand-in").status_code == 303
    attempt_id = shop.room.attempts(place)[0].id
    assert shop.learner.post(f"/sheets/{attempt_id}/complaint", text=ROUGH).status_code == 303
    assert shop.instructor.post(f"/results/{attempt_id}/remark", text=ROUGH).status_code == 303
    assert shop.instructor.post(f"/results/{attempt_id}/override", value="40", reason=ROUGH).status_code == 303
    shop.room.close(given, release_solutions=True)
    return {"set_id": given.id, "try_id": UUID(place.split("/")[2]), "attempt_id": attempt_id}


def answered(shop: PolicyShop, values: dict[str, UUID]) -> dict[str, str]:
    """Pages that answer a form: with what is to be mended, or with what was asked for."""
    row = {"problem-1": BRINE, "mode-1": "guided", "weight-1": "soon", "position-1": "1", "place-1": ""}
    plan = row | {"title": ROUGH, "kind": "assessed", "numbers": "own", "minutes": "x"}
    person = f"/people/{shop.learner_id}"
    forms = {
        "list to mend": ("/people/list", {"text": f"name,group\n{ROUGH},none"}, 400),
        "list to make": ("/people/list", {"text": f"name\n{ROUGH}\nAda Pump"}, 200),
        "codes": ("/people/", {"name": ROUGH, "role": "learner", "into": ""}, 200),
        "person to mend": ("/people/", {"name": "", "role": "learner", "into": ""}, 400),
        "set to mend": (f"/groups/{shop.group_id}/sets/new", plan | {"do": "save"}, 400),
        "set with variants": (f"/groups/{shop.group_id}/sets/new", plan | {"do": "preview"}, 200),
        "time to mend": (f"/sets/{values['set_id']}/time", {"minutes": "x", "reason": ""}, 400),
        "mark to mend": (f"/results/{values['attempt_id']}/override", {"value": "x", "reason": ROUGH}, 400),
        "marking to mend": (f"/sets/{values['set_id']}/marking", {"reason": ROUGH}, 400),
        "skill to mend": (f"{person}/skills/S3.2/witnessed", {"what": ROUGH, "seen_on": "2999-01-01"}, 400),
        "sign-off to mend": (f"{person}/skills/S3.1/sign-offs", {"remark": ""}, 400),
        "problem to mend": (f"/own-problems/new?copy={BRINE}", {"do": "keep", "title": ROUGH}, 400),
        "bank to mend": ("/own-problems/bank", {"do": "look", "name": "own", "text": "[[problem]]\nid = '<b>'"}, 400),
        "sign-in to mend": ("/sign-in", {"name": ROUGH, "passphrase": "none of it"}, 400),
        "code to mend": ("/code", {"code": ROUGH, "passphrase": "a", "again": "b"}, 400),
        "group to mend": ("/teaching/", {"name": ""}, 400),
    }
    found = {}
    for name, (address, form, status) in forms.items():
        answer = shop.instructor.post(address, **form)
        assert answer.status_code == status, (name, answer.status_code, answer.get_data(as_text=True)[-2000:])
        found[name] = answer.get_data(as_text=True)
    return found


@pytest.fixture
def checker(needs, node_modules) -> list[str]:
    jar = Path(node_modules) / "vnu-jar" / "build" / "dist" / "vnu.jar"
    needs("java", shutil.which("java"), "the HTML checker runs on it")
    needs("vnu-jar", jar.is_file(), "npm install vnu-jar, and name its folder in TRAINER_NODE_MODULES")
    return ["java", "-jar", str(jar), "--format", "gnu", "--Werror"]


def test_every_address_that_shows_a_page_is_among_those_checked(app):
    """Of the rules that can be read, only those of files and figures are missing."""
    addresses = [name.partition(" ")[2].partition("?")[0] for name in seen_pages(app)]
    adapter = app.url_map.bind("localhost")
    shown = {adapter.match(address, "GET")[0] for address in addresses if address.startswith("/")}
    rules = {rule.endpoint for rule in app.url_map.iter_rules() if "GET" in rule.methods}
    assert [each for each in sorted(rules - shown) if not FILES.search(each)] == []
    assert len(shown) >= 65


def test_every_page_is_valid(app, visitor, library, checker, tmp_path):
    found = pages_of(app, visitor, library) | seen_pages(app)
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
