"""An instructor's browser with a group, and the form of a problem set as it would send it."""

import html
import re
from dataclasses import replace

from web_visitors import BRINE, Visitor, services_of

from trainer.practice import groups, sets, tries
from trainer.practice.plans import Chosen, Plan, plan_of
from trainer.storage.learners import add_learner
from trainer.storage.problem_sets import get_set, list_sets, problems_of

TRACE, GATE = "retort-cooling-trace", "canal-gate-excursions"
ROUGH = "<script>alert(1)</script>{{7*7}}"


class Desk:
    """An instructor at the pages, with a group of two learners."""

    def __init__(self, app) -> None:
        self.app, self.found = app, services_of(app)
        self.clock = self.found.clock
        self.browser = Visitor(app)
        self.browser.become_instructor()
        with self.found.database.writing() as session:
            self.group = groups.make_group(session, "Night shift", self.clock())
            self.other = groups.make_group(session, "Day shift", self.clock())
            self.ada, self.bo = (add_learner(session, name, self.clock()) for name in ("Ada Pump", ROUGH))
            for each in (self.ada, self.bo):
                groups.add_member(session, self.group.id, each.id, self.clock())

    def made(self, opened=False, **changes):
        problems = (Chosen(BRINE, "guided"), Chosen(TRACE, "unguided", 2.0))
        plan = replace(Plan("Week 1", problems, note="The loop table is open.", minutes=40), **changes)
        with self.found.database.writing() as session:
            made = sets.make_set(session, self.group.id, plan, self.found.library.problems, "Ina", self.clock())
            return sets.open_set(session, made.id, self.found.library.problems, self.clock()) if opened else made

    def start(self, given, learner):
        with self.found.database.writing() as session:
            return tries.start_try(session, learner, given.id, self.found.library, self.clock())

    def plan(self, set_id) -> Plan:
        with self.found.database.reading() as session:
            return plan_of(get_set(session, set_id), problems_of(session, set_id))

    def kept(self, set_id):
        with self.found.database.reading() as session:
            return get_set(session, set_id)

    def all_sets(self):
        with self.found.database.reading() as session:
            return [each.problem_set for each in list_sets(session)]

    def form(self, address, page=None) -> dict[str, str]:
        """The boxes of the form as a browser would send them."""
        page = page or self.browser.page(address)
        found = {}
        for tag in re.findall(r"<input[^>]*>", page[page.index('name="version"') - 40 :]):
            kind, name = re.search(r'type="(\w+)"', tag), re.search(r'name="([^"]+)"', tag)
            if name and ((kind and kind[1] not in ("radio", "checkbox")) or "checked" in tag or not kind):
                found[name[1]] = html.unescape(re.search(r'value="([^"]*)"', tag)[1])
        for name, options in re.findall(r'<select id="[^"]*" name="([^"]+)"[^>]*>(.*?)</select>', page, re.DOTALL):
            chosen = re.search(r'value="([^"]*)" selected', options)
            found[name] = chosen[1] if chosen else ""
        found["note"] = html.unescape(re.search(r"<textarea[^>]*>\n(.*?)</textarea>", page, re.DOTALL)[1])
        return found

    def send(self, address, form=None, do="save", **changes):
        form = (self.form(address) if form is None else form) | {"do": do} | changes
        form.pop("csrf_token", None)
        return self.browser.client.post(address, data=form | {"csrf_token": self.browser.csrf()})

    def new(self, do="save", **changes):
        form = {"title": "Kiln week", "kind": "assessed", "numbers": "own", "tries": "1", "pass_mark": "70"}
        address = f"/groups/{self.group.id}/sets/new"
        return self.send(address, form | {"minutes": "", "note": "", "due_date": "", "due_time": ""}, do, **changes)


def text(answer) -> str:
    return answer if isinstance(answer, str) else answer.get_data(as_text=True)


def words(answer) -> str:
    """What a page says, without its marks."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text(answer))).split())


def rows(answer) -> list[str]:
    return re.findall(r'name="problem-\d+" value="([^"]+)"', text(answer))


def row(number, problem, **changes):
    boxes = {"problem": problem, "mode": "guided", "weight": "1", "position": str(number), "place": ""} | changes
    return {f"{name}-{number}": value for name, value in boxes.items()}
