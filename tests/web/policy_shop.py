"""A shop with something in every corner, so that every address of the pages leads somewhere."""

from uuid import UUID

from flask import Flask
from set_room import Room
from setup_forms import begin, full, id_of, send
from web_visitors import BRINE, Visitor, attempt_of, services_of

from trainer.practice import reviews, signoffs
from trainer.storage.results import attempts_of_try

SKILL = "S3.2"


class PolicyShop:
    """A learner with a sheet and a try, another learner, and an instructor."""

    def __init__(self, app: Flask) -> None:
        self.app, self.services = app, services_of(app)
        self.room = Room(app)
        self.learner, self.other, self.instructor = Visitor(app), Visitor(app), Visitor(app)
        self.learner_id, self.other_id = self.learner.become_guest(), self.other.become_guest()
        self.instructor.become_instructor()
        self.room.admit(self.learner_id)
        self.sheet = self.learner.start()
        self.learner.enter(self.sheet, "fraction", "0.9999")
        self.hunt_id = attempt_of(self.learner.post("/hunts/", rig="dairy-outlet").location)
        task = begin(self.learner)
        send(self.learner, task, full(app, task), "run")
        self.task, self.task_id = task.removesuffix("/"), id_of(task)
        self.set_id = self.room.open(kind="practice").id
        answer = self.learner.post(f"/given/{self.set_id}/start")
        self.try_id = UUID(answer.location.rpartition("/")[2])
        with self.services.database.writing() as session:
            self.attempt_id = attempts_of_try(session, self.try_id)[0].id
            at = self.services.clock()
            said = reviews.complain(session, self.attempt_id, self.learner_id, "The unit looks wrong.", at)
            self.complaint_id = said.id
            library = self.services.library
            self.sign_off_id = signoffs.sign_off(
                session, library, self.learner_id, SKILL, "Ina", at, "Seen at the panel."
            ).id
            self.group_id = self.room.group_id

    def values(self, attempt_id: UUID | None = None) -> dict[str, object]:
        return {
            "attempt_id": attempt_id or attempt_of(self.sheet),
            "hunt_id": self.hunt_id,
            "task_id": self.task_id,
            "learner_id": self.learner_id,
            "group_id": self.group_id,
            "set_id": self.set_id,
            "try_id": self.try_id,
            "complaint_id": self.complaint_id,
            "sign_off_id": self.sign_off_id,
            "problem_id": BRINE,
            "skill": SKILL,
            "number": 1,
            "name": "mine",
            "form": "open",
            "theme": "light",
            "filename": "style.css",
        }

    def addresses(self, method: str, policies=("visitors", "people", "instructors"), **values) -> list[str]:
        """An address for every rule that takes a method and is open to somebody of the policies."""
        known = self.values() | values
        with self.app.test_request_context():
            bound = self.app.url_map.bind("localhost")
            return [
                bound.build(rule.endpoint, {name: known[name] for name in rule.arguments}, method)
                for rule in self.app.url_map.iter_rules()
                if method in rule.methods
                and getattr(self.app.view_functions[rule.endpoint], "open_to", "visitors") in policies
            ]
