"""Pages of sign-offs: what stands behind a skill, the forms to say more, the record; nothing typed is lost."""

import re
from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from sqlalchemy import event, select
from web_visitors import BRINE, Visitor, count, dump, services_of

from trainer.practice.accounts import add_person
from trainer.storage.attempts import finish_attempt, note_aid, start_attempt
from trainer.storage.models import SignOff, Witnessed

SKILL, SAFETY = "S3.2", "S4.5"
HOSTILE = '<script>alert(1)</script>{{7*7}}"><img src=x>'
SEEN = {
    "what": "Range set and proved at five points",
    "equipment": "Bench 2, conditioner with two relays",
    "seen_by": "Anke",
    "seen_on": "2026-03-02",
}


class Person(Visitor):
    """Somebody with an account at a browser of their own."""

    def __init__(self, app, name, role="learner"):
        super().__init__(app)
        found = services_of(app)
        with found.database.writing() as session:
            self.id: UUID = add_person(session, name, role, found.clock()).account.learner_id
        self.come_in()

    def come_in(self):
        assert self.post(f"/demo/{self.id}").status_code == 303

    def show(self, *values, skill=SKILL, aided=False):
        """Finish a sheet for each value, half a minute apart."""
        found = services_of(self.app)
        with found.database.writing() as session:
            for value in values:
                attempt = start_attempt(
                    session, self.id, found.clock(), source=BRINE, seed=7041, worksheet="value-from-signal",
                    worksheet_version=1, skill=skill, mode="guided", snapshot={},
                )  # fmt: skip
                if aided:
                    note_aid(session, attempt.id)
                finish_attempt(session, attempt.id, found.clock(), value=value, evidence=not aided)
                found.clock.advance(timedelta(seconds=30))
        return self

    def address(self, skill=SKILL):
        return f"/people/{self.id}/skills/{skill}"


@pytest.fixture
def app(make_app):
    """A demo, where nobody has to type a passphrase."""
    return make_app(demo=True)


@pytest.fixture
def learner(app):
    return Person(app, "Lea Brink")


@pytest.fixture
def visitor(app):
    return Person(app, "Ina", "instructor")


def text_of(page):
    return " ".join(re.sub(r"<[^>]+>", " ", page).replace("&#39;", "'").replace("\u00a0", " ").split())


def reply(answer, status):
    page = answer.get_data(as_text=True)
    assert answer.status_code == status, page[-3000:]
    return page


def kept(app, model):
    with services_of(app).database.reading() as session:
        return list(session.scalars(select(model).order_by(model.id)))


# What stands behind a skill


def test_a_skill_shows_its_evidence_and_what_is_missing(learner, visitor):
    learner.show(1.0, 0.5, 1.0).show(1.0, aided=True)
    page = visitor.page(learner.address())
    told = text_of(page)
    assert "Missing: 2 more sheets in a row with every first entry right" in told
    assert "Estimate: not enough evidence; n = 3, newest 0 d old." in told
    assert told.count("yes, without help") == 3
    assert "no, with help" in told
    assert "Sheets that count: 3; different problems among them: 1." in told
    assert len(set(re.findall(r'href="/results/([^"]+)"', page))) == 4
    assert ">7041</td>" in page
    assert "50 %" in told


# Five right of five just now: a = 6, b = 1, so the mean is 6/7 and the 95 % ends are those of x^6: 0.025^(1/6) is
# 0.541, 0.975^(1/6) is 0.996.
def test_the_estimate_has_its_range_and_its_number(learner, visitor):
    learner.show(*[1.0] * 5)
    assert "Estimate: 86 % (54 to 100 %); n = 5, newest 0 d old." in text_of(visitor.page(learner.address()))
    assert "86 % (54 to 100 %) n = 5, newest 0 d old" in text_of(visitor.page(f"/people/{learner.id}/skills"))


# Reviews without a start-up date fall 1, 7 and 30 days after a skill became ready.
def test_a_refresh_that_is_due_is_told_to_learner_and_instructor(learner, visitor, clock):
    learner.show(1.0, 1.0, 1.0)
    for page in (visitor.page(learner.address()), learner.page(f"/skills/{SKILL}"), learner.page("/progress/")):
        assert "Right again in 3 later sessions makes it kept. Next refresh: 2026-03-03." in text_of(page)
    clock.advance(timedelta(days=2))
    visitor.come_in()
    learner.come_in()
    places = [visitor.page(learner.address()), learner.page(f"/skills/{SKILL}"), learner.page("/progress/")]
    for page in places:
        assert "refresh due" in page
        assert "A refresh has been due since 2026-03-03: one sheet with every first entry right renews it." in page
    assert "refresh due" in learner.page("/skills/")
    assert visitor.post(f"{learner.address()}/witnessed", **(SEEN | {"seen_on": "2026-03-04"})).status_code == 303
    assert "refresh due" not in learner.page("/skills/")


@pytest.mark.parametrize(
    ("skill", "shown", "told"),
    [
        (SKILL, (), "To be ready: 3 more sheets in a row"),
        (SKILL, (1.0, 1.0), "To be ready: 1 more sheet with every first entry right"),
        (SAFETY, (1.0,), "6 more sheets in a row with every first entry right, on fresh numbers and without help. "
                         "The 7 in a row are to be over 3 different problems at least."),
        (SAFETY, (1.0,) * 7, "Enough in a row, but over too few different problems: it takes 3."),
    ],
)  # fmt: skip
def test_a_learner_reads_what_is_missing(learner, skill, shown, told):
    learner.show(*shown, skill=skill)
    assert told in text_of(learner.page(f"/skills/{skill}"))
    if shown:
        assert told.removeprefix("To be ready: ") in text_of(learner.page("/progress/"))


def test_all_skills_of_a_learner_with_those_that_wait_for_a_word(learner, visitor, library):
    learner.show(1.0, 1.0, 1.0).show(0.5, skill="S1.1")
    page = visitor.page(f"/people/{learner.id}/skills")
    assert {f"/people/{learner.id}/skills/{skill}" for skill in library.lessons} <= set(
        re.findall('href="([^"]+)"', page)
    )
    waiting = page.split("Shown and not signed off yet:")[1].split("</p>")[0]
    assert re.findall(r">(S[\d.]+)", waiting) == [SKILL]
    visitor.post(f"{learner.address()}/sign-offs", remark="")
    page = visitor.page(f"/people/{learner.id}/skills")
    assert "No skill waits for a sign-off." in page
    assert "2026-03-02 by Ina" in text_of(page)


# Saying more


def test_a_skill_that_is_shown_is_signed_off_with_the_evidence_of_the_day(app, learner, visitor):
    learner.show(1.0, 1.0, 1.0)
    assert visitor.post(f"{learner.address()}/sign-offs", remark=" Steady work. ").status_code == 303
    (made,) = kept(app, SignOff)
    assert (made.by_name, made.remark, made.skill, made.learner_id) == ("Ina", "Steady work.", SKILL, learner.id)
    assert (made.evidence["standing"]["stage"], len(made.evidence["attempts"])) == ("ready", 3)
    told = text_of(visitor.page(learner.address()))
    assert "S3.2 is signed off." in told
    assert "2026-03-02 by Ina : Steady work. stood then: ready, 3 sheets" in told.replace("Ina: ", "Ina : ")


def test_without_evidence_a_sign_off_needs_a_remark_and_what_was_typed_stays(app, learner, visitor):
    page = reply(visitor.post(f"{learner.address()}/sign-offs", remark="  "), 400)
    assert "Say in a remark what the sign-off rests on." in page
    page = reply(visitor.post(f"{learner.address()}/sign-offs", remark="x" * 501), 400)
    assert "That is longer than 500 characters." in page
    assert f'value="{"x" * 501}"' in page
    assert count(app, SignOff) == 0
    assert visitor.post(f"{learner.address()}/sign-offs", remark="Ten years on site.").status_code == 303


def test_a_safety_skill_waits_for_what_was_seen(app, learner, visitor):
    page = visitor.page(learner.address(SAFETY))
    assert "Enter first what was seen on real equipment; then this skill can be signed off." in page
    assert "Safety hangs on this skill." in page
    page = reply(visitor.post(f"{learner.address(SAFETY)}/sign-offs", remark="A good hand."), 409)
    assert "enter first what was seen of it on real equipment" in page
    assert 'value="A good hand."' in page
    assert count(app, SignOff) == 0
    assert visitor.post(f"{learner.address(SAFETY)}/witnessed", **SEEN).status_code == 303
    assert visitor.post(f"{learner.address(SAFETY)}/sign-offs", remark="A good hand.").status_code == 303
    assert count(app, SignOff) == 1


def test_nobody_signs_off_a_skill_of_their_own(app, visitor):
    visitor.show(1.0, 1.0, 1.0)
    assert "This is your own skill: another instructor signs it off." in visitor.page(visitor.address())
    page = reply(visitor.post(f"{visitor.address()}/sign-offs", remark="Mine."), 409)
    assert "another instructor does. You wrote: Mine." in page
    assert count(app, SignOff) == 0


def test_what_was_seen_is_kept_with_who_and_when(app, learner, visitor):
    for _ in range(2):  # the form sent twice is kept once
        assert visitor.post(f"{learner.address()}/witnessed", **SEEN).status_code == 303
    (made,) = kept(app, Witnessed)
    assert (made.what, made.equipment, made.seen_by, made.entered_by) == (*list(SEEN.values())[:3], "Ina")
    told = text_of(visitor.page(learner.address()))
    assert "2026-03-02 Range set and proved at five points; Bench 2, conditioner with two relays. Seen by Anke." in told
    assert "entered 2026-03-02 by Ina" in told


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("what", " ", "Say what was done, on which equipment, and who saw it."),
        ("equipment", "", "Say what was done, on which equipment, and who saw it."),
        ("seen_by", "", "Say what was done, on which equipment, and who saw it."),
        ("seen_on", "2026-03-03", "The day on which it was seen is still to come."),
        ("seen_on", "yesterday", "Write the day as year, month and day"),
        ("seen_on", "", "Write the day as year, month and day"),
        ("what", "x" * 501, "That is longer than 500 characters."),
    ],
)
def test_what_cannot_be_taken_is_told_beside_its_box_and_the_rest_stays(app, learner, visitor, field, typed, told):
    page = reply(visitor.post(f"{learner.address()}/witnessed", **(SEEN | {field: typed})), 400)
    assert told in re.search(rf'id="error-{field}">(.*?)</span>\s*</div>', page, re.S)[1]
    for name in SEEN.keys() - {field}:
        assert f'value="{SEEN[name]}"' in page
    assert count(app, Witnessed) == 0


def test_a_sign_off_is_withdrawn_once_with_a_reason_and_stays(app, learner, visitor):
    learner.show(1.0, 1.0, 1.0)
    visitor.post(f"{learner.address()}/sign-offs", remark="")
    (made,) = kept(app, SignOff)
    address = f"{learner.address()}/sign-offs/{made.id}/withdraw"
    page = reply(visitor.post(address, reason=" "), 400)
    assert "Taking a sign-off back needs a reason." in page
    assert visitor.post(address, reason="Another person worked it.").status_code == 303
    told = text_of(visitor.page(learner.address()))
    assert "Withdrawn 2026-03-02 by Ina: Another person worked it." in told
    assert "signed off 2026" not in told
    page = reply(visitor.post(address, reason="Once more."), 409)
    assert "This sign-off has been withdrawn by Ina. You wrote: Once more." in page
    (made,) = kept(app, SignOff)
    assert made.withdrawn_reason == "Another person worked it."


def test_a_sign_off_is_found_under_its_own_learner_and_skill_only(app, learner, visitor):
    visitor.post(f"{learner.address()}/sign-offs", remark="Seen.")
    (made,) = kept(app, SignOff)
    other = Person(app, "Otto")
    for address in (other.address(), learner.address("S1.1")):
        reply(visitor.post(f"{address}/sign-offs/{made.id}/withdraw", reason="Why."), 404)
    reply(visitor.post(f"{learner.address()}/sign-offs/{uuid4()}/withdraw", reason="Why."), 404)
    assert kept(app, SignOff)[0].withdrawn is None


# The record


def test_the_record_is_one_sheet_that_is_no_license(learner, visitor):
    learner.show(1.0, 1.0, 0.5, 1.0)
    visitor.post(f"{learner.address()}/sign-offs", remark="Seen at the bench.")
    visitor.post(f"{learner.address('S1.1')}/witnessed", **SEEN)
    pages = [visitor.page(f"/people/{learner.id}/record"), learner.page("/progress/record")]
    for page in pages:
        told = text_of(page)
        assert "It is a training record, not a license and not a permit to work." in told
        assert "Lea Brink" in told
        assert re.search(r"S3\.2 Signal to process value ◐ practicing 4 1 2026-03-02 2026-03-02 by Ina", told)
        assert (
            "S1.1 Range set and proved at five points Bench 2, conditioner with two relays Anke entered by Ina" in told
        )
        assert "S3.1" not in told
        assert "%" not in told  # estimates are for the instructor
    assert "/people/" not in pages[1].split("<main")[1]


def test_an_empty_record_says_so(learner):
    assert "There is nothing to show yet." in learner.page("/progress/record")
    assert "/progress/record" not in learner.page("/progress/")


def test_a_guest_has_a_record_and_who_has_done_nothing_has_none(app):
    guest = Visitor(app)
    assert guest.get("/progress/record").status_code == 403
    guest.become_guest()
    assert "(guest)" in guest.page("/progress/record")


# Who may


def test_only_instructors_see_and_say(app, learner, visitor):
    other = Person(app, "Otto")
    visitor.post(f"{learner.address()}/sign-offs", remark="Seen.")
    (made,) = kept(app, SignOff)
    before = dump(app)
    skills = f"/people/{learner.id}/skills"
    for address in (
        skills,
        learner.address(),
        f"{learner.address()}/evidence-light.svg",
        f"/people/{learner.id}/record",
    ):
        assert Visitor(app).get(address).status_code == 303
        for who in (learner, other):
            assert who.get(address).status_code == 403
    for address in ("sign-offs", "witnessed", f"sign-offs/{made.id}/withdraw"):
        reply(learner.post(f"{learner.address()}/{address}", **SEEN, remark="Me.", reason="Why."), 403)
        reply(visitor.post(f"{learner.address()}/{address}", None, **SEEN, remark="Me.", reason="Why."), 403)
    assert dump(app) == before


@pytest.mark.parametrize("method", ["get", "post"])
def test_unknown_people_and_skills_are_not_found(learner, visitor, method):
    form = SEEN | {"remark": "Seen.", "reason": "Why."}
    for address in (f"/people/{uuid4()}/skills/{SKILL}", learner.address("S99.9")):
        if method == "get":
            reply(visitor.get(address), 404)
        else:
            reply(visitor.post(f"{address}/sign-offs", **form), 404)
            reply(visitor.post(f"{address}/witnessed", **form), 404)
    for address in (f"/people/{uuid4()}/skills", f"/people/{uuid4()}/record"):
        reply(visitor.get(address), 404)


def test_what_people_typed_is_text_on_every_page(app, visitor):
    learner = Person(app, HOSTILE[:60])
    for skill, form in ((SKILL, "sign-offs"), (SAFETY, "witnessed")):
        typed = {"remark": HOSTILE} | dict.fromkeys(("what", "equipment", "seen_by"), HOSTILE)
        assert visitor.post(f"{learner.address(skill)}/{form}", **typed, seen_on="2026-03-01").status_code == 303
    pages = [visitor.page(learner.address(skill)) for skill in (SKILL, SAFETY)]
    pages += [visitor.page(f"/people/{learner.id}/{page}") for page in ("skills", "record")]
    pages.append(reply(visitor.post(f"{learner.address()}/witnessed", what=HOSTILE), 400))
    for page in pages:
        assert "&lt;script&gt;alert(1)&lt;/script&gt;{{7*7}}" in page
        assert "<script>alert" not in page
        assert "<img src=x" not in page


def test_the_plot_of_evidence_is_an_image_with_words(learner, visitor):
    assert visitor.get(f"{learner.address()}/evidence-light.svg").status_code == 404
    learner.show(1.0, 0.5, *[1.0] * 5)
    page = visitor.page(learner.address())
    address, words = re.search(r'<img[^>]* src="([^"]+evidence-light\.svg)" alt="([^"]+)"', page).groups()
    assert "Sheets that count: 7, from 0 to 0 days ago; all right: 6. Estimate today" in words
    answer = visitor.get(address)
    assert (answer.status_code, answer.mimetype) == (200, "image/svg+xml")


def queries(app, visitor, address):
    sent = []
    engine = services_of(app).database.readers
    event.listen(engine, "before_cursor_execute", lambda *sending: sent.append(sending[2]))
    visitor.page(address)
    return len(sent)


@pytest.mark.parametrize("address", ["/people/{id}/skills", f"/people/{{id}}/skills/{SKILL}", "/people/{id}/record"])
def test_the_number_of_queries_does_not_grow(app, learner, visitor, address):
    busy = Person(app, "Otto").show(*[1.0, 0.5] * 30).show(1.0, skill="S1.1")
    for number in range(5):
        visitor.post(f"{busy.address()}/sign-offs", remark=f"Seen {number}.")
        visitor.post(f"{busy.address()}/witnessed", **(SEEN | {"what": f"Work {number}"}))
    visitor.page(busy.address())  # which tells once what was kept
    few = queries(app, visitor, address.format(id=learner.id))
    assert 0 < queries(app, visitor, address.format(id=busy.id)) == few <= 9
