"""Sign-offs: an instructor's word on a learner's skill, and work that was witnessed on real equipment."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, tzinfo
from uuid import UUID

from sqlalchemy.orm import Session

from trainer.content.library import Library
from trainer.errors import Conflict, TrainerError
from trainer.language import gettext
from trainer.learning.evidence import plant_day
from trainer.practice.skill_summaries import lesson_of, summary
from trainer.storage import reviews as kept
from trainer.storage.learners import get_learner
from trainer.storage.models import SignOff, Witnessed

LONGEST_TEXT = 500
ONE_PRESS = timedelta(minutes=1)  # within it the same word of the same person is the same form, sent twice


class FieldFault(TrainerError):
    """Something told in a form that cannot be taken; ``field`` is the name of its box."""

    def __init__(self, field: str, sentence: str) -> None:
        self.field = field
        super().__init__(sentence)


def sign_off(
    session: Session,
    library: Library,
    learner_id: UUID,
    skill: str,
    by_name: str,
    at: datetime,
    remark: str = "",
    zone: tzinfo = UTC,
) -> SignOff:
    """Keep an instructor's word that a learner has a skill, with the evidence of this moment.

    A skill on which safety hangs is signed off only once the work was seen on real equipment: no problem proves it.
    The same word sent twice is one sign-off.

    Raises
    ------
    NotFound
        If there is no such learner or no such skill.
    Conflict
        If safety hangs on the skill and nobody has seen the work.
    FieldFault
        If the evidence does not show the skill and no remark says what the word rests on.
    """
    found = summary(session, library, learner_id, skill, at, zone)
    said = _text("remark", remark)
    if found.wants_witness:
        raise Conflict(
            gettext("Safety hangs on this skill: enter first what was seen of it on real equipment, then sign it off.")
        )
    if not found.shown and not said:
        raise FieldFault(
            "remark",
            gettext("The evidence does not show this skill as ready. Say in a remark what the sign-off rests on."),
        )
    before = found.signed
    if before is not None and (before.by_name, before.remark) == (by_name, said) and at - before.made < ONE_PRESS:
        return before
    return kept.add_sign_off(session, learner_id, skill, by_name=by_name, remark=said, evidence=found.to_json(), at=at)


def withdraw(session: Session, sign_off_id: UUID, reason: str, by_name: str, at: datetime) -> SignOff:
    """Take a sign-off back; it stays on record with the reason.

    Raises
    ------
    NotFound
        If there is no such sign-off.
    FieldFault
        If no reason is given.
    Conflict
        If it has been withdrawn.
    """
    found = kept.get_sign_off(session, sign_off_id)
    said = _text("reason", reason)
    if not said:
        raise FieldFault("reason", gettext("Taking a sign-off back needs a reason."))
    if found.withdrawn is not None:
        raise Conflict(gettext("This sign-off has been withdrawn by {name}.").format(name=found.withdrawn_by))
    found.withdrawn, found.withdrawn_by, found.withdrawn_reason = at, by_name, said
    session.flush()
    return found


def witness(
    session: Session,
    library: Library,
    learner_id: UUID,
    skill: str,
    *,
    what: str,
    equipment: str,
    seen_by: str,
    seen_on: date,
    by_name: str,
    at: datetime,
    zone: tzinfo = UTC,
) -> Witnessed:
    """Keep what somebody has seen done on real equipment; it stands beside the computed evidence.

    The same told twice is kept once.

    Raises
    ------
    NotFound
        If there is no such learner or no such skill.
    FieldFault
        If something is left out, or the day is still to come.
    """
    get_learner(session, learner_id)
    lesson_of(library, skill)
    told = {
        "what": _text("what", what),
        "equipment": _text("equipment", equipment),
        "seen_by": _text("seen_by", seen_by),
    }
    for name, text in told.items():
        if not text:
            raise FieldFault(name, gettext("Say what was done, on which equipment, and who saw it."))
    if seen_on > plant_day(at, zone):
        raise FieldFault("seen_on", gettext("The day on which it was seen is still to come."))
    for each in kept.witnessed_of(session, learner_id, skill):
        if each.seen_on == seen_on and (each.what, each.equipment, each.seen_by) == tuple(told.values()):
            return each
    return kept.add_witnessed(session, learner_id, skill, **told, seen_on=seen_on, entered_by=by_name, at=at)


def _text(field: str, text: str) -> str:
    tidy = text.strip()
    if len(tidy) > LONGEST_TEXT:
        raise FieldFault(field, gettext("That is longer than {n} characters.").format(n=LONGEST_TEXT))
    return tidy
