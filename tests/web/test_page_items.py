"""What the results of a set say of its problems: numbers as published, small samples, plain words."""

import re
from dataclasses import dataclass
from uuid import uuid4

import pytest
from sqlalchemy import event
from web_visitors import BRINE, Visitor, dump, services_of

from trainer.practice import groups, sets
from trainer.practice.accounts import add_person
from trainer.practice.plans import Chosen, Plan
from trainer.storage.attempts import finish_attempt, start_attempt
from trainer.storage.entries import NewMark, add_entry
from trainer.storage.learners import add_learner
from trainer.storage.problem_sets import problems_of
from trainer.storage.set_tries import add_try

CHOICE = "glaze-oven-high-reset"
SENTENCE = "Live zero forgotten: take 4 mA off first."

# East Carolina University, teaching example of KR-20: ten learners by ten items.
TEN = "1111110110 1011011101 1111011001 0010001000 0000010010 1110111111 1101110111 1111111101 0101111101 1101101110"


@dataclass
class Results:
    """A set in the application, to which learners' first tries are added as marks."""

    app: object
    set_id: object = None
    learners: int = 0

    def make(self, problems, title="Week 3"):
        found = services_of(self.app)
        with found.database.writing() as session:
            group = groups.make_group(session, f"Group of {title}", found.clock())
            plan = Plan(title, tuple(Chosen(each) for each in problems), kind="assessed")
            made = sets.make_set(session, group.id, plan, found.library.problems, "Ina", found.clock())
            self.set_id = made.id
        return self

    def add(self, rows, wrong=("value", "0.9", "slip", "no_live_zero", SENTENCE)):
        """A row of marks for each learner; a space is a problem left empty."""
        found = services_of(self.app)
        with found.database.writing() as session:
            places = problems_of(session, self.set_id)
            for row in rows:
                self.learners += 1
                self._work(session, found.clock(), places, row, wrong)
        return self

    def _work(self, session, at, places, row, wrong):
        learner = add_learner(session, f"Learner {self.learners}", at)
        begun = add_try(session, self.set_id, learner.id, 1, at, None)
        for place, mark in zip(places, row, strict=True):
            attempt = start_attempt(
                session, learner.id, at, source=place.problem, seed=1, worksheet="any", worksheet_version=1,
                skill="S3.2", mode="guided", snapshot={},
            )  # fmt: skip
            attempt.set_try_id, attempt.set_problem_id = begun.id, place.id
            value = float(mark) if mark.strip() else 0.0
            if mark.strip():
                step, text, verdict, slip, said = wrong if value < 1.0 else ("value", "1", "right", None, "")
                kept = NewMark(verdict, value, said, {}, slip)
                add_entry(session, attempt.id, step, text, kept, at, form_token="form", step_skill="S3.2")
            finish_attempt(session, attempt.id, at, value=value, evidence=True)
        begun.handed_in = at

    @property
    def address(self):
        return f"/sets/{self.set_id}/items"


@pytest.fixture
def results(app):
    return Results(app)


@pytest.fixture
def app(make_app):
    """A demo, where nobody has to type a passphrase."""
    return make_app(demo=True)


def person(app, name, role):
    """Somebody with an account at a browser of their own."""
    visitor, found = Visitor(app), services_of(app)
    with found.database.writing() as session:
        learner_id = add_person(session, name, role, found.clock()).account.learner_id
    assert visitor.post(f"/demo/{learner_id}").status_code == 303
    return visitor


@pytest.fixture
def visitor(app):
    return person(app, "Ina", "instructor")


def text_of(page):
    plain = re.sub(r"<[^>]+>", " ", page).replace("&#39;", "'").replace("\u00a0", " ")
    return " ".join(plain.split())


def cells(page):
    """The table of problems: sentence, share with its range, correlation with its range."""
    table = page[page.index("Problems of the set</caption>") :].split("</table>")[0]
    rows = [re.findall(r"<td[^>]*>(.*?)</td>", row, re.S) for row in table.split("<tr>")[2:]]
    return [[text_of(cell).removeprefix("✗ ") for cell in row] for row in rows]


# The values of the same source, from which three copies of it differ in nothing but n. Ranges by hand: 21 of 30 by
# Wilson is (21 + 1.92)/33.84 +- 0.0579 sqrt(6.3 + 0.96), that is 0.521 to 0.833; r = 0.7059 with n = 30 by Fisher is
# tanh(0.8789 +- 1.96/sqrt(27)), that is 0.464 to 0.849. The error is sqrt(5.84 * 30/29 * (1 - 0.6963)) = 1.35.
def test_the_page_shows_the_published_values(results, visitor):
    page = visitor.page(results.make([BRINE] * 10).add(TEN.split() * 3).address)
    rows = cells(page)
    shares = [row[1].split(" %")[0] for row in rows]
    assert shares == ["70", "70", "60", "70", "60", "80", "70", "70", "50", "60"]
    apart = [row[2].split()[0] for row in rows]
    assert apart == ["0.71", "0.71", "0.00", "0.47", "0.58", "0.29", "−0.03", "0.71", "−0.12", "0.48"]
    assert rows[0][1:] == ["70 % 52 to 83 %", "0.71 0.46 to 0.85"]
    told = text_of(page)
    assert "Reliability 0.70; a total is sure to about 1.4 marks either way. Provisional." in told
    assert "from 2.0 to 9.0, mean 6.6." in page  # 66 marks of ten learners
    assert "takes 294 learners for each" in told


# Newcombe (1998), Statistics in Medicine 17: 18 of 20 lies within 0.6990 to 0.9721.
def test_shares_come_with_their_range_from_twenty_on(results, visitor):
    page = visitor.page(results.make([BRINE, CHOICE]).add(["11"] * 18 + ["01"] * 2).address)
    assert [row[1:] for row in cells(page)] == [["90 % 70 to 97 %", "-"], ["100 % 84 to 100 %", "-"]]
    assert "can be said from 30 on" in text_of(page)
    assert "Reliability 0" not in page


def test_below_twenty_only_counts_are_shown(results, visitor):
    page = visitor.page(results.make([BRINE] * 10).add(TEN.split()).address)
    rows = cells(page)
    assert rows[0] == [
        "Too few learners to say more than the count. What went wrong in 1", "- 7 of 10", "-"
    ]  # fmt: skip
    told = text_of(page)
    assert "Below 20 learners only counts are shown" in told
    assert "problems-light.svg" not in page
    assert "totals-light.svg" in page


def test_an_empty_set_says_so(results, visitor):
    page = text_of(visitor.page(results.make([BRINE, CHOICE]).address))
    assert "Nobody has completed this set without help yet." in page
    assert "Nobody has a total yet." in page


def test_who_left_a_problem_out_is_left_out(results, visitor):
    told = text_of(visitor.page(results.make([BRINE, CHOICE]).add(["11", "10", "1 "]).address))
    assert "2 learners have completed it without help." in told
    assert "1 more is left out: a problem was not worked, or worked with help." in told


# By hand: three problems agree and the fourth is their opposite, so each of the three is held against one that agrees
# more one that does not (r = 1), and the fourth against three that all go the other way (r = -1).
def test_a_problem_that_goes_the_other_way_is_to_be_looked_at_from_fifty_on(results, visitor):
    results.make([BRINE] * 4).add(["1110"] * 25 + ["0001"] * 24)
    early = cells(visitor.page(results.address))
    assert early[3][0].startswith(
        "Some got this one, some did not; those who were better in the rest did no better here"
    )
    rows = cells(visitor.page(results.add(["0001"]).address))
    assert "those who were better in the rest did worse here: look at the problem and its key" in rows[3][0]
    assert rows[0][0].startswith("Some got this one, some did not; those who were better in the rest did better here")
    assert (rows[0][2][:4], rows[3][2][:5]) == ("1.00", "−1.00")


@pytest.mark.parametrize(
    ("marks", "said"),
    [
        (["11"] * 60, "Everyone got this one; it tells nothing apart."),
        (["11"] * 4 + ["01"] * 56, "Few got this one, and that is not chance: too hard, or not taught yet."),
        (["11"] * 55 + ["01"] * 5, "Most got this one."),
        (["10", "11", "01", "00"] * 10, "Some got this one, some did not; it tells little apart."),
    ],
)
def test_each_problem_has_one_plain_sentence(results, visitor, marks, said):
    assert cells(visitor.page(results.make([BRINE, BRINE]).add(marks).address))[0][0].startswith(said)


def test_reliability_says_why_there_is_none(results, visitor):
    told = text_of(visitor.page(results.make([BRINE, BRINE], "Same").add(["11"] * 30).address))
    assert "Reliability: -. All totals are the same" in told
    told = text_of(visitor.page(Results(results.app).make([BRINE], "One").add(["1", "0"] * 15).address))
    assert "Reliability: -. It takes two problems at least." in told


def ways(page, number):
    table = page[page.index(f'id="problem-{number}"') :].split("</table>")[0]
    return [re.findall(r">([^<]*)</t[hd]>", row) for row in table.split("<tr>")[2:]]


def test_wrong_ways_are_counted_by_problem_and_held_against_the_total(results, visitor):
    results.make([BRINE, CHOICE, BRINE]).add(["011"] * 6 + ["000"] * 10)
    results.add(["101"] * 4, wrong=("side", "above the set point", "wrong", None, ""))
    results.add(["111"] * 10)
    results.add([("0.5", "1", "1")], wrong=("fraction", "0.4", "rounded early", None, ""))
    page = visitor.page(results.address)
    first, second = ways(page, 1), ways(page, 2)
    # 31 totals: 10 of 0, 10 of 2, one of 2.5, 10 of 3; the middle one is 2, so 11 lie above it.
    assert first == [
        ["Process value", SENTENCE, "16", "0", "16"],
        ["Fraction of span", "rounded too early", "1", "1", "0"],
    ]
    assert ["Where the alarm resets", "chose: above the set point", "4", "0", "4"] in second
    assert "better, of 11" in page
    assert "others, of 20" in page


def test_plots_are_images_with_words_for_instructors(app, results, visitor):
    page = visitor.page(results.make([BRINE] * 10).add(TEN.split() * 3).address)
    images = re.findall(r'<img[^>]* src="([^"]+\.svg)" alt="([^"]+)"', page)
    assert len(images) == 4  # screen and print
    for address, words in images:
        answer = visitor.get(address)
        assert (answer.status_code, answer.mimetype) == (200, "image/svg+xml")
        assert Visitor(app).get(address).status_code == 303
        again = visitor.get(address, headers={"If-None-Match": answer.headers["ETag"]})
        assert again.status_code == 304
        assert len(words) > 40
    assert visitor.get(f"{results.address}/problems-sepia.svg").status_code == 404
    few = Results(app).make([BRINE], "Few").add(["1"])
    assert visitor.get(f"{few.address}/problems-light.svg").status_code == 404


def test_items_are_for_instructors_and_reading_writes_nothing(app, results, visitor):
    results.make([BRINE, CHOICE], "<script>alert(1)</script>{{7*7}}").add(["10"] * 3)
    assert Visitor(app).get(results.address).status_code == 303
    learner = person(app, "Lea", "learner")
    assert learner.get(results.address).status_code == 403
    assert visitor.get(f"/sets/{uuid4()}/items").status_code == 404
    before = dump(app)
    page = visitor.page(results.address)
    assert "&lt;script&gt;alert(1)&lt;/script&gt;{{7*7}}" in page
    assert dump(app) == before


def test_the_number_of_queries_does_not_grow(app, results, visitor):
    def queries(address):
        sent = []
        engine = services_of(app).database.readers
        event.listen(engine, "before_cursor_execute", lambda *sending: sent.append(sending[2]))
        visitor.page(address)
        return len(sent)

    few = queries(results.make([BRINE, CHOICE]).add(["10"]).address)
    many = Results(app).make([BRINE] * 12, "Long").add(["101010101010"] * 40)
    assert 0 < queries(many.address) == few <= 8
