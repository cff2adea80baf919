"""Pages of the demo and the states they can be in, by who sees them."""

import re

from course_walk import press
from sheet_walk import Brine, enter, start

LEARNER, INSTRUCTOR = "Imke", "Renske"
QUIZ = "Signals and leads, after two weeks"
BRINE, BANK = "brine-chiller-current", "own"
OPEN = {
    "sign-in": "sign-in",
    "use of a code": "code",
    "joining without an account": "join",
    "kept of nobody": "kept/",
}
PLACES = {
    "home": "",
    "skills": "skills/",
    "skill": "skills/S3.2",
    "lessons": "lessons/",
    "lesson": "lessons/S3.2",
    "lesson with a trace": "lessons/S4.3",
    "lesson with a long formula": "lessons/S4.2",
    "lesson with a row of values": "lessons/S8.1",
    "progress": "progress/",
    "own record": "progress/record",
    "preferences": "preferences/",
    "passphrase": "passphrase",
    "joining": "join",
    "kept": "kept/",
    "mixed": "mixed/",
    "rigs": "hunts/",
    "example": f"problems/{BRINE}/example/1",
    "example with states": "problems/retort-cooling-trace/example/2",
    "example with eight heads": "problems/digester-eight-readings/example/1",
    "thermometers": "reference/rtd",
    "thermocouples": "reference/thermocouple",
    "signals": "reference/signals",
    "units": "reference/units",
    "wires": "reference/wire",
    "set handed in": "given/{set}",
    "result": "tries/{try}",
    "sheet with a remark": "tries/{try}/1",
    "solution of a set": "tries/{try}/1/solution",
    "fault": "nowhere",
}
TEACHING = {
    "teaching": "teaching/",
    "people": "people/",
    "people from a list": "people/list",
    "person": "people/{learner}",
    "deleting a person": "people/{learner}/delete",
    "skills of a person": "people/{learner}/skills",
    "skill of a person": "people/{learner}/skills/S3.2",
    "training record": "people/{learner}/record",
    "group": "groups/{group}",
    "code on the board": "groups/{group}/board",
    "slips": "groups/{group}/slips?days=all&names=1",
    "set form": "groups/{group}/sets/new",
    "set": "sets/{set}",
    "change of a set": "sets/{set}/edit",
    "variants of a set": "sets/{set}/preview",
    "results": "sets/{set}/results",
    "marking again": "sets/{set}/marking",
    "statistics": "sets/{set}/items",
    "attempt": "results/{attempt}",
    "complaints": "complaints/",
    "room": "room/?skill=S3.2",
    "own problems": "own-problems/",
    "worksheets": "own-problems/worksheets?skill=S3.2",
    "own problem": f"own-problems/new?copy={BRINE}",
    "look at a problem": f"own-problems/look/{BRINE}",
    "text of a bank": f"own-problems/banks/{BANK}/text",
    "paper marks": "papers/marks",
    "paper version": "papers/marks?code={code}",
    "paper to type in": "papers/marks/work?code={code}&learner={learner}",
}


def open_sheet(page, address):
    start(page, address, "S3.2", BRINE)
    return Brine(page)


def slip(page, address):
    enter(page, "fraction", f"{open_sheet(page, address).without_live_zero:.4f}")


def unread(page, address):
    open_sheet(page, address)
    enter(page, "fraction", "twelve")


def follows(page, address):
    sheet = open_sheet(page, address)
    enter(page, "fraction", f"{sheet.without_live_zero:.4f}")
    enter(page, "value", f"{sheet.value(sheet.without_live_zero):.3f}")
    page.locator("details").first.evaluate("each => each.open = true")


def all_right(page, address):
    sheet = open_sheet(page, address)
    enter(page, "fraction", f"{sheet.fraction:.5f}")
    enter(page, "value", f"{sheet.value(sheet.fraction):.3f}")


def solution(page, address):
    slip(page, address)
    page.get_by_role("button", name="see it worked").click()
    page.wait_for_url("**/solution")


def choice(page, address):
    start(page, address, "S4.1", "glaze-oven-high-reset")
    page.get_by_label("above the set point").check()
    page.locator("#ask-side button").click()
    page.wait_for_url("**checked=side*")


def states(page, address):
    start(page, address, "S4.3", "retort-cooling-trace")
    enter(page, "reset", "1")
    page.locator("table.states input").first.check()


def answer_only(page, address):
    start(page, address, "S1.1", "milk-silo-ohms", "unguided")


def mixed_summary(page, address):
    page.goto(f"{address}mixed/")
    press(page, "Begin")
    press(page, "End the mix")


def hunt(page, address):
    page.goto(f"{address}hunts/")
    press(page, "Any of them")


STATES = (open_sheet, slip, unread, follows, all_right, solution, choice, states, answer_only, mixed_summary, hunt)


def list_with_a_fault(page, address):
    page.goto(f"{address}people/list")
    page.get_by_label("Lines").fill("name,group\nAda Pump,No such group")
    press(page, "Look at the list")


def set_with_faults(page, address):
    page.goto(f"{address}teaching/")
    press(page, "New problem set", exact=False)
    page.get_by_label("Minutes for a try").fill("soon")
    page.get_by_label("Skill").select_option("S3.2")
    press(page, "Show these problems")
    page.locator(f'input[value="{BRINE}"]').check()
    press(page, "Put the ticked ones into the set")
    press(page, "See three variants of each")
    press(page, "Keep as a draft")


def room_slip(page, address):
    page.goto(f"{address}room/?skill=S3.2")
    press(page, "Show Brine chiller", exact=False)
    page.locator("#entry-fraction").fill(f"{Brine(page).without_live_zero:.4f}")
    page.get_by_text("Count hands").click()
    press(page, "Check", exact=False)


def own_problem_looked_at(page, address):
    page.goto(f"{address}own-problems/new?copy={BRINE}")
    page.locator("#field-title").fill("")
    press(page, "Look at twenty variants")


TEACHING_STATES = (list_with_a_fault, set_with_faults, room_slip, own_problem_looked_at)


def id_in(page, pattern: str) -> str:
    """The id in the first address on a page that leads to a place."""
    for address in page.locator("main a").evaluate_all("all => all.map(each => each.getAttribute('href'))"):
        found = re.search(pattern.replace("*", "([0-9a-f-]{36})"), address or "")
        if found:
            return found[1]
    raise AssertionError(f"{pattern} is nowhere on {page.url}")


def enter_as(page, address: str, name: str) -> None:
    """Be somebody of the demo."""
    page.goto(address)
    page.get_by_role("button", name=name).click()
    page.wait_for_url(re.compile("/(progress|teaching)/$"))


def make_a_course(learner, instructor, address: str) -> dict[str, str]:
    """Let a learner complain and the instructor answer otherwise, sign off, print and make; ids for the places."""
    enter_as(learner, address, LEARNER)
    learner.goto(address)
    press(learner, QUIZ)
    given = {"try": learner.url[-36:]}
    learner.goto(f"{learner.url}/1")
    learner.get_by_text("This problem looks wrong").click()
    learner.get_by_label("What looks wrong?").fill("The scale was hard to read.")
    press(learner, "Send it to the instructor")
    enter_as(instructor, address, INSTRUCTOR)
    given |= {"group": id_in(instructor, "/groups/*$")}
    press(instructor, f"Results {QUIZ}")
    given |= {"set": instructor.url.split("/")[-2]}
    row = instructor.locator(".result-table tbody tr").filter(has_text=LEARNER)
    with instructor.expect_navigation():
        row.locator("td a").first.click()
    given |= {"attempt": instructor.url[-36:], "learner": id_in(instructor, "/people/*$")}
    review(instructor)
    sign_off(instructor, f"{address}people/{given['learner']}/skills/S3.2")
    keep_own_problem(instructor, address)
    return given | {"code": print_paper(instructor, address)}


def review(page) -> None:
    page.get_by_label("Mark in percent").fill("80")
    page.get_by_label("Reason").fill("The working on paper was right.")
    press(page, "Keep this mark")
    page.get_by_label("Remark to").fill("Take the live zero off first.")
    press(page, "Keep the remark")


def sign_off(page, address: str) -> None:
    page.goto(address)
    page.get_by_text("Enter what was seen").click()
    for label in ("What was done", "On which equipment", "Seen by"):
        page.get_by_label(label).fill("five points proved on the brine loop")
    press(page, "Keep what was seen")
    page.locator("#field-remark").fill("Shown at the panel.")
    press(page, "Sign this skill off")


def keep_own_problem(page, address: str) -> None:
    page.goto(f"{address}own-problems/new?copy={BRINE}")
    for name, text in (("title", "Wort cooler: before the plates"), ("id", "wort-cooler"), ("bank", BANK)):
        page.locator(f"#field-{name}").fill(text)
    press(page, "Keep")


def print_paper(page, address: str) -> str:
    """Make a paper and give its code."""
    page.goto(f"{address}papers/?skill=S3.2&problem={BRINE}")
    page.get_by_label("Title").fill("Evening paper")
    press(page, "Make the papers")
    return re.search(r"\b[2-9A-Z]{3}-[2-9A-Z]{3}-[2-9A-Z]{3}\b", page.locator(".strip").first.inner_text())[0]
