"""A problem for the room: drawn, worked step by step by show of hands, looked back on; nothing of it is kept."""

import re
from html import escape
from urllib.parse import parse_qs, urlsplit
from uuid import uuid4

import pytest
from web_visitors import BRINE, Visitor, count, csrf_in, dump, services_of

from trainer.practice.accounts import add_person
from trainer.storage.models import Attempt, Entry, Evidence

# By hand from IEC 60381-1: 4 mA is 0 and 20 mA is 100 % of the range.
SHOWN = re.compile(r"shows (\d+\.\d+)\s+mA .* ranged (\S+) to (\S+)\s+°C")
NAME = "0badcafe"


@pytest.fixture
def ina(app) -> Visitor:
    visitor = Visitor(app)
    visitor.become_instructor()
    return visitor


def words(page):
    return " ".join(re.sub(r"<[^>]+>", " ", page[page.find("<main") :]).split())


def draw(visitor, problem=BRINE):
    answer = visitor.post("/room/", problem=problem)
    assert answer.status_code == 303
    return answer.location


def numbers(page):
    signal, lower, upper = SHOWN.search(words(page)).groups()
    return float(signal), float(lower.replace("−", "-")), float(upper.replace("−", "-"))


def say(visitor, address, step, text, **more):
    answer = visitor.post(address, step=step, entry=text, **more)
    assert answer.status_code == 303, words(answer.get_data(as_text=True))
    return answer.location.partition("#")[0]


def link(page, label):
    found = re.search(rf'href="([^"]+)">{label}</a>', page)
    return found and found[1].replace("&amp;", "&")


# Choosing


def test_a_room_is_opened_by_instructors(app):
    for address in ("/room/", f"/room/{BRINE}/{NAME}", f"/room/{BRINE}/{NAME}/solution"):
        assert Visitor(app).get(address).status_code == 303
    guest = Visitor(app)
    guest.become_guest()
    assert guest.post("/room/", problem=BRINE).status_code == 403


def test_problems_are_listed_by_skill(ina, library):
    page = ina.page("/room/?skill=S3.2")
    listed = set(re.findall(r'name="problem" value="([^"]+)', page))
    assert listed == {problem.id for problem in library.by_skill["S3.2"]}
    assert set(re.findall(r'name="problem" value="([^"]+)', ina.page("/room/"))) == set(library.problems)


def test_a_problem_is_drawn_at_random_in_a_strand(ina, library):
    drawn = {ina.post("/room/", strand="S4").location.split("/")[2] for _ in range(6)}
    assert {library.problems[name].skill.partition(".")[0] for name in drawn} == {"S4"}


def test_a_choice_of_nothing_is_refused_in_a_sentence(ina):
    for wish in ({}, {"strand": "S99"}):
        answer = ina.post("/room/", **wish)
        assert answer.status_code == 400
        assert "Choose a problem, or a strand" in answer.get_data(as_text=True)
    assert ina.post("/room/", problem="no-such").status_code == 404


@pytest.mark.parametrize("address", [f"/room/{BRINE}/{'a' * 40}", f"/room/no-such/{NAME}"])
def test_an_address_of_no_room_is_not_found(ina, address):
    assert ina.get(address).status_code == 404
    assert ina.get(f"{address}/solution").status_code == 404
    assert ina.get(f"{address}/open-light.svg").status_code == 404


# Working


def test_one_step_is_asked_and_nothing_gives_the_answer_away(ina, library):
    page = ina.page(draw(ina))
    signal, lower, upper = numbers(page)
    fraction = (signal - 4) / 16
    assert page.count('class="step ') == 1
    assert "Fraction of span" in page
    value = lower + fraction * (upper - lower)
    assert f"{fraction:.3f}" not in page
    assert f"{abs(value):.1f} " not in words(page)
    for step in library.problems[BRINE].worksheet.slips.values():
        assert step.message[:30] not in page


def test_the_same_address_has_the_same_numbers_and_another_installation_has_others(app, ina):
    first = numbers(ina.page(f"/room/{BRINE}/{NAME}"))
    assert numbers(ina.page(f"/room/{BRINE}/{NAME}")) == first
    assert numbers(ina.page(f"/room/{BRINE}/{NAME}1")) != first
    seen = [first]
    for key in ("one", "two", "three"):
        app.secret_key = key
        visitor = Visitor(app)
        found = services_of(app)
        with found.database.writing() as session:
            made = add_person(session, f"Ina {key}", "instructor", found.clock()).code
        visitor.post("/code", code=made, passphrase="four tinned ferrules", again="four tinned ferrules")
        seen.append(numbers(visitor.page(f"/room/{BRINE}/{NAME}")))
    assert len(set(seen)) == 4


def test_a_slip_is_named_and_a_later_step_follows_from_it(ina):
    address = draw(ina)
    signal, lower, upper = numbers(ina.page(address))
    slip = round(signal / 20, 4)
    address = say(ina, address, "fraction", f"{slip}")
    page = ina.page(address)
    assert "Marked to mend: Live zero forgotten" in words(page)
    onward = link(page, "Go on with this answer")
    page = ina.page(onward)
    assert f"1 Fraction of span: {slip}" in words(page)
    address = say(ina, onward, "value", f"{lower + slip * (upper - lower):.2f}")
    assert "Follows from your value in step 1" in words(ina.page(address))


def test_a_mended_answer_goes_to_the_next_step(ina):
    address = draw(ina)
    signal, lower, upper = numbers(ina.page(address))
    address = say(ina, address, "fraction", "0.9999")
    address = say(ina, address, "fraction", f"{(signal - 4) / 16:.4f}")
    page = ina.page(address)
    assert "Marked right:" in page
    onward = link(page, "Next step")
    assert "Process value" in words(ina.page(onward))
    value = lower + (signal - 4) / 16 * (upper - lower)
    page = ina.page(say(ina, onward, "value", f"{value:.2f}"))
    assert link(page, "Look back")
    assert not link(page, "Next step")


def test_hands_are_counted_for_several_answers(ina):
    address = draw(ina)
    signal, *_ = numbers(ina.page(address))
    right, slip = f"{(signal - 4) / 16:.4f}", f"{signal / 20:.4f}"
    others = {"other-0": slip, "other-hands-0": "11", "other-1": "0.9999", "other-hands-1": ""}
    page = ina.page(say(ina, address, "fraction", right, hands="7", **others))
    text = words(page)
    assert f"{slip} , 11 hands: ✗ slip . Live zero forgotten" in text
    assert "0.9999 : ✗ wrong" in text
    assert f"{right} , 7 hands: ✓ right" in text
    assert link(page, "Next step")  # the room's own answer decides
    back = ina.page(link(page, "Stop and see it worked"))
    assert "Live zero forgotten" in words(back)
    assert "Fraction of span, 11 hands" in words(back)


def test_a_choice_goes_to_most_hands_where_none_is_ticked(ina, library):
    for problem in library.problems.values():
        first = next(iter(problem.worksheet.steps.values()))
        if first.kind == "choice" and len(first.options) > 1:
            break
    address = draw(ina, problem.id)
    page = ina.page(say(ina, address, first.name, "", **{"hands-0": "3", "hands-1": "9"}))
    text = words(page)
    assert "3 hands" in text
    assert f"{first.options[1]} , 9 hands" in text
    assert "Not marked" not in text


@pytest.mark.parametrize("hands", ["many", "-1", "1000", "1.5"])
def test_hands_that_are_no_number_are_asked_for_again_with_all_that_was_typed(ina, hands):
    answer = ina.post(draw(ina), step="fraction", entry="0.4567", hands=hands, **{"other-0": "0.5678"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert "Hands are a whole number up to 999." in page
    for text in ("0.4567", hands, "0.5678"):
        assert f'value="{text}"' in page


def test_what_cannot_be_read_is_not_marked(ina):
    page = ina.page(say(ina, draw(ina), "fraction", "about half"))
    assert "Not marked:" in page
    assert not link(page, "Next step")
    assert not link(page, "Go on with this answer")


def test_a_step_that_there_is_not_is_not_found(ina):
    assert ina.post(draw(ina), step="nonsense", entry="1").status_code == 404


def test_an_address_that_was_tampered_with_is_a_page_or_a_sentence(ina):
    room = f"/room/{BRINE}/{NAME}"
    assert "Fraction of span" in ina.page(f"{room}?step=nonsense&text=1&hands=&at=nowhere")
    assert "Fraction of span" in ina.page(f"{room}?step=fraction")
    assert ina.get(f"{room}?step=fraction&text=1&hands=x").status_code == 400
    assert ina.get(f"{room}?step=fraction&text={'1' * 600}&hands=").status_code == 400
    assert ina.get(f"{room}?{'step=fraction&text=1&hands=&' * 41}").status_code == 400
    assert "Fraction of span" in ina.page(f"{room}?at=value")  # a step that waits is not asked


@pytest.mark.parametrize("text", ["<script>alert(1)</script>", "{{7*7}}", '"><img src=x onerror=alert(1)>'])
def test_what_the_room_says_is_shown_as_text(ina, text):
    address = say(ina, draw(ina), "fraction", text, **{"other-0": text})
    for page in (ina.page(address), ina.page(link(ina.page(address), "Stop and see it worked"))):
        assert escape(text).replace("&quot;", "&#34;") in page
        assert "<script>alert" not in page
        assert "<img src=x" not in page


# Looking back, and keeping nothing


def test_looking_back_shows_the_solution_and_leads_on(ina):
    address = draw(ina)
    signal, lower, upper = numbers(ina.page(address))
    address = say(ina, address, "fraction", f"{signal / 20:.4f}")
    page = ina.page(link(ina.page(address), "Stop and see it worked"))
    value = lower + (signal - 4) / 16 * (upper - lower)
    assert f"{value:.1f}".replace("-", "−") in words(page)
    assert 'href="/lessons/S3.2"' in page
    assert "Another like it" in page
    assert "You entered" in page
    again = link(page, "Back to the step")
    assert "Live zero forgotten" in ina.page(again)


def test_the_figures_are_images(ina):
    room = f"/room/{BRINE}/{NAME}"
    open_one, solved = (ina.get(f"{room}/{form}-light.svg") for form in ("open", "solved"))
    assert (open_one.status_code, solved.status_code) == (200, 200)
    assert open_one.data != solved.data
    assert f"{room}/open-light.svg" in ina.page(room)
    assert "solved-" not in ina.page(room)


def test_a_room_leaves_nothing_behind(app, ina):
    ina.page("/room/")
    before = dump(app)
    address = say(ina, draw(ina), "fraction", "0.9999")
    ina.page(f"{urlsplit(address).path}/solution?{urlsplit(address).query}")
    assert dump(app) == before
    assert (count(app, Attempt), count(app, Entry)) == (0, 0)
    with services_of(app).database.reading() as session:
        assert session.query(Evidence).count() == 0


def test_every_kind_of_step_can_be_worked(ina, library):
    kinds = {}
    for problem in library.problems.values():
        first = next(iter(problem.worksheet.steps.values()))
        kinds.setdefault(first.kind, (problem.id, first.name))
    assert len(kinds) >= 4
    for problem, step in kinds.values():
        address = draw(ina, problem)
        form = re.search(rf'<form class="ask" id="ask-{step}".*?</form>', ina.page(address), re.DOTALL)[0]
        boxes = dict.fromkeys(re.findall(r'name="(entry[^"]*)"', form), "1")
        values = dict(re.findall(r'name="(entry[^"]*)" value="([^"]+)"', form))
        answer = ina.post(address, step=step, **(boxes | values))
        assert answer.status_code == 303
        assert parse_qs(urlsplit(answer.location).query)["step"] == [step]
        assert step in ina.page(answer.location)


def test_a_room_needs_the_form_of_this_program(ina):
    assert ina.post(f"/room/{BRINE}/{NAME}", "forged", step="fraction", entry="1").status_code == 403
    assert csrf_in(ina.page(f"/room/{BRINE}/{NAME}"))
    assert ina.post(f"/room/{uuid4()}/{NAME}", step="fraction", entry="1").status_code == 404
