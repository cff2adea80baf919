"""The walk of an instructor on a fresh data folder: a course from the first code to the training record."""

import csv
import json
import re
from io import StringIO

from course_walk import fill, hand_in, loop_entries, part, platinum_entries, press, words

from trainer.clock import utc_now

GROUP, SET = "Kiln shift", "Week 1: loops and ohms"
RIGHT, SLIPPED = "Ada Pump", "Weir, Ben"
OTHERS = ("Cas", "Dirk", "Elin", "Femke", "Gijs", "Hilde", "Ivo", "Jonna", "Koen", "Lot")
NAMES = (RIGHT, SLIPPED, *OTHERS)
PROBLEMS = {"S3.2": ("brine-chiller-current", "booster-pump-pressure"), "S1.1": ("milk-silo-ohms",)}
TITLES = ("Brine chiller", "Booster pump", "Milk silo")
SLIP = "Live zero forgotten"
OVERRIDE, REASON, REMARK = "70", "The working on paper was right.", "Take the live zero off first, Ben."
COMPLAINT, ANSWER = "The scale was hard to read.", "It is large enough; zoom the page."
SEEN, EQUIPMENT, BASIS = "range set and proved at five points", "brine loop of the cold store", "Shown at the panel."


def test_a_course_is_given_from_the_first_code_to_the_record(desk):
    page = desk.page
    join_code = make_group(desk)
    codes = make_people(desk)
    give_set(desk)
    ada, ben = desk.learner(RIGHT, codes[RIGHT]), desk.learner(SLIPPED, codes[SLIPPED])
    join(ben, desk.address, join_code)
    texts = [work(each, desk.address, slips) for each, slips in ((ada, False), (ben, True))]
    assert texts[0] == texts[1]  # all get the same numbers
    assert "100 %" in part(ada.page, "Result").inner_text()
    assert "83.3 %" in part(ben.page, "Result").inner_text()  # (0.5 + 1 + 1)/3: a slip, then what follows from it
    complain(ben)
    see_results(desk)
    see_slips_and_lesson(desk)
    see_statistics(desk)
    answer_and_review(desk)
    see_the_review(ben)
    desk.go("teaching/")
    press(page, f"Results {SET}")
    nothing_to_mark_again(desk)
    take_files(desk)
    sign_off(desk)
    see_record(desk)


def make_group(desk) -> str:
    """Make a group, and give the code that it is joined with."""
    page = desk.page
    desk.go("teaching/")
    page.get_by_label("Name of the group").fill(GROUP)
    press(page, "Make the group")
    assert page.locator("h1").inner_text() == GROUP
    code = part(page, "Code").locator(".join-code").inner_text()
    press(page, "Large, for the board")
    assert code in words(page)
    return code


def make_people(desk) -> dict[str, str]:
    """Paste a list: looked at first, then made; the codes by name. One of them is in no group yet."""
    page = desk.page
    desk.go("people/list")
    lines = [f'"{name}",{"" if name == SLIPPED else GROUP}' for name in NAMES]
    page.get_by_label("Lines").fill("\n".join(["name,group", *lines]))
    press(page, "Look at the list")
    assert "12 accounts would be made. Nobody has been made yet." in words(page)
    press(page, "Make 12 accounts and show the codes")
    slips = page.locator(".strips li")
    names, codes = slips.locator("strong").all_inner_texts(), slips.locator(".join-code").all_inner_texts()
    assert sorted(names) == sorted(NAMES)
    assert len(set(codes)) == 12
    desk.go("people/")
    assert page.locator("table tbody tr").count() == 13
    assert not any(code in page.content() for code in codes)  # they are shown once
    return dict(zip(names, codes, strict=True))


def give_set(desk) -> None:
    """Make an assessed set of three problems, the same numbers for all, and open it."""
    page = desk.page
    desk.go("teaching/")
    press(page, f"New problem set for {GROUP}")
    page.get_by_label("Title").fill(SET)
    page.get_by_label("Assessed:").check()
    page.get_by_label("all get the same").check()
    for skill, problems in PROBLEMS.items():
        page.get_by_label("Skill").select_option(skill)
        press(page, "Show these problems")
        for problem in problems:
            page.locator(f'input[name="problem"][value="{problem}"]').check()
        press(page, "Put the ticked ones into the set")
    press(page, "Keep as a draft")
    assert [row.partition(":")[0] for row in page.locator("tbody th").all_inner_texts()] == [
        f"{number} {title}" for number, title in enumerate(TITLES, 1)
    ]
    press(page, "Open for the group")
    assert "The set is open." in words(page)
    assert "0 of 11 learners have started." in words(page)


def join(learner, address: str, code: str) -> None:
    """Go into the group by its code from the board; before that there is nothing to do."""
    page = learner.page
    page.goto(address)
    assert SET not in words(page)
    page.goto(f"{address}join")
    page.get_by_label("Code of the group").fill(code.lower())
    press(page, "Join")
    assert f"You are in the group {GROUP}." in words(page)


def work(learner, address: str, slips: bool) -> list[str]:
    """Work the set to its end, all right or with one slip, and hand it in; what the problems said."""
    page, texts = learner.page, []
    page.goto(address)
    assert SET in page.locator(".due").inner_text()
    press(page, "Open", exact=False)
    press(page, "Start try 1")
    press(page, "Work on problem 1")
    for number, onward in enumerate(("Keep and go on", "Keep and go on", "Keep and see all problems"), 1):
        texts.append(part(page, "Problem").inner_text())
        entries = platinum_entries(page) if number == 3 else loop_entries(page, forgets_live_zero=slips and number == 1)
        fill(page, entries)
        press(page, onward)
    assert words(page).count(" steps filled") == 3
    assert SLIP not in page.content()
    hand_in(page)
    return texts


def complain(learner) -> None:
    """Say of the first sheet that it looks wrong."""
    page = learner.page
    press(page, f"1. {TITLES[0]}", exact=False)
    page.get_by_text("This problem looks wrong").click()
    page.get_by_label("What looks wrong?").fill(COMPLAINT)
    press(page, "Send it to the instructor")
    assert "Your instructor has this now" in words(page)


def see_results(desk) -> None:
    """The table of the set, and from it the sheet with the slip."""
    page = desk.page
    desk.go("teaching/")
    assert "1 complaint about a problem waits for an answer." in words(page)
    press(page, f"Results {SET}")
    assert "2 of 12" in page.locator(".strip").first.inner_text()
    rows = page.locator(".result-table tbody tr")
    assert rows.count() == 12
    assert rows.filter(has_text=RIGHT).locator("td").nth(1).inner_text() == "100 %"
    assert rows.filter(has_text=OTHERS[0]).locator("td").nth(1).inner_text() == "-"
    ben = rows.filter(has_text=SLIPPED)
    assert "said to be wrong" in ben.inner_text()
    assert SLIP in part(page, "Most frequent slips").inner_text()
    with page.expect_navigation():
        ben.locator("td a").first.click()
    entered = part(page, "Entered")
    assert SLIP in entered.inner_text()
    assert "Follows from" in entered.inner_text()
    assert entered.locator("tbody tr").count() == 2
    assert part(page, "True values").locator("math").count() == 4


def see_slips_and_lesson(desk) -> None:
    """What the group gets wrong, with the lesson that mends it."""
    page = desk.page
    desk.go("teaching/")
    press(page, GROUP)
    press(page, "Slips seen in the group")
    assert SLIP in part(page, "Mistakes").inner_text()
    assert "these are single cases" in words(page)
    assert SLIPPED not in words(page)
    press(page, "Say who")
    assert SLIPPED in part(page, "Mistakes").inner_text()
    press(page, "Lesson S3.2", exact=False)
    assert page.url.endswith("/lessons/S3.2")
    assert page.locator(".lesson .prose").count() == 1


def see_statistics(desk) -> None:
    """Two learners carry no statistics, and the page says so; what went wrong is there all the same."""
    page = desk.page
    desk.go("teaching/")
    press(page, SET)
    press(page, "How the problems did")
    table = page.get_by_role("region", name="Problems", exact=True)
    assert "2 learners" in part(page, "Counted").inner_text()
    assert table.locator("tbody tr").count() == 3
    assert "%" not in table.inner_text()
    assert SLIP in part(page, "What went wrong").inner_text()


def answer_and_review(desk) -> None:
    """Answer the complaint, then give the sheet a mark by hand and a remark."""
    page = desk.page
    desk.go("complaints/")
    assert COMPLAINT in words(page)
    page.get_by_label(f"Answer to {SLIPPED}").fill(ANSWER)
    press(page, "Answer", exact=False)
    assert "Nobody waits for an answer." in words(page)
    press(page, "Answered ones")
    press(page, TITLES[0], exact=False)
    page.get_by_label("Mark in percent").fill(OVERRIDE)
    page.get_by_label("Reason").fill(REASON)
    press(page, "Keep this mark")
    assert "By the entries the sheet is worth 50 %; the mark given by hand counts." in words(page)
    page.get_by_label("Remark to").fill(REMARK)
    press(page, "Keep the remark")
    assert f"{OVERRIDE} %" in page.locator(".strip").first.inner_text()


def see_the_review(learner) -> None:
    """The learner sees all that was said with the sheet."""
    learner.page.reload()
    said = learner.page.get_by_role("region", name="About this sheet").inner_text()
    assert all(text in said for text in (f"{OVERRIDE} %", REASON, REMARK, COMPLAINT, ANSWER, "Gerda Vos"))


def nothing_to_mark_again(desk) -> None:
    page = desk.page
    press(page, "Mark again")
    assert "Nothing changes" in part(page, "Sheets").inner_text()
    assert page.get_by_role("button", name="Mark the ticked sheets again").count() == 0
    press(page, "Results")


def take_files(desk) -> None:
    """The results and the learning record as files."""
    text = desk.download("Results as a table (CSV)")
    rows = {row["name"]: row for row in csv.DictReader(StringIO(text.removeprefix("\ufeff"), newline=""))}
    assert sorted(rows) == sorted(NAMES)
    marks = [(rows[name]["state"], rows[name]["total"]) for name in (RIGHT, SLIPPED)]
    assert marks == [("passed", "1"), ("passed", "0.9")]  # (0.7 + 1 + 1)/3, the first mark by hand
    assert rows[SLIPPED]["1 brine-chiller-current"] == "0.7"
    assert rows[OTHERS[0]]["handed in"] == ""
    told = [json.loads(line) for line in desk.download("Statements of experience").splitlines()]
    verbs = [each["verb"]["display"]["en"] for each in told]
    # Two learners with 2 + 2 + 3 steps and three problems each.
    assert {verb: verbs.count(verb) for verb in verbs} == {"answered": 14, "completed": 6, "passed": 2}
    assert {each["actor"]["name"] for each in told} == {RIGHT, SLIPPED}
    slips = [each for each in told if "slip" in each["result"].get("extensions", {}).values()]
    assert [(each["actor"]["name"], each["result"]["success"]) for each in slips] == [(SLIPPED, False)]


def sign_off(desk) -> None:
    """Enter what was seen at work, then sign the skill off with a remark, since one sheet does not show it."""
    page = desk.page
    desk.go("people/")
    press(page, RIGHT)
    press(page, "Skills, evidence and sign-offs")
    press(page, "S3.2", exact=False)
    page.get_by_text("Enter what was seen").click()
    for label, text in (("What was done", SEEN), ("On which equipment", EQUIPMENT), ("Seen by", "Jan Smit")):
        page.get_by_label(label).fill(text)
    press(page, "Keep what was seen")
    assert SEEN in part(page, "Seen at work").inner_text()
    assert "A sign-off then needs a remark" in words(page)
    page.locator("#field-remark").fill(BASIS)
    press(page, "Sign this skill off")
    assert "S3.2 is signed off." in words(page)


def see_record(desk) -> None:
    """The training record has both, for the instructor and on paper."""
    page = desk.page
    press(page, "Training record")
    row = page.get_by_role("row", name=re.compile("^S3.2 Signal"))
    assert f"{utc_now():%Y-%m-}" in row.inner_text()
    assert f"by Gerda Vos: {BASIS}" in row.inner_text()
    seen = page.get_by_role("region", name="Seen at work").inner_text()
    assert all(text in seen for text in (SEEN, EQUIPMENT, "Jan Smit"))
    page.emulate_media(media="print")
    assert page.locator("header.top").is_hidden()
    assert page.locator(".hands").is_visible()
