"""A problem worked together by a room: answers by show of hands, marked as they are said; nothing is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID

from trainer.grading.marking import basis, mark
from trainer.practice.attempts import earlier_values
from trainer.storage.entries import KeptEntry
from trainer.worksheets.snapshot import Snapshot
from trainer.worksheets.worksheet import Worksheet

_NEVER = datetime.fromtimestamp(0, UTC)  # nobody asks when a room said something
_NOBODY = UUID(int=0)


@dataclass(frozen=True)
class Said:
    """An answer for a step that was said in the room, with the hands that were for it if they were counted."""

    step: str
    text: str
    hands: int | None = None


@dataclass(frozen=True)
class SlipMet:
    """A slip that a room made: its step and skill, its sentence, and the hands counted for it."""

    step: str
    skill: str
    message: str
    hands: int | None


def mark_said(kept: Snapshot, said: Sequence[Said], worksheet: Worksheet | None, decimal: str) -> list[KeptEntry]:
    """Mark what was said, in order; of several answers for a step the last one is that of the room.

    Later steps are followed up from the room's answers, as on a learner's sheet. The entries are of no attempt: a room
    is nobody, so what it works is no evidence.
    """
    entries: list[KeptEntry] = []
    for number, each in enumerate(said, 1):
        earlier = earlier_values(kept, entries, decimal)
        given = mark(each.text, basis(kept, each.step, earlier, worksheet, decimal))
        entries.append(
            KeptEntry(
                id=UUID(int=number),
                attempt_id=_NOBODY,
                step=each.step,
                step_skill=kept.step(each.step).skill,
                number=number,
                first=False,
                text=each.text,
                form_token="",
                made=_NEVER,
                verdict=given.verdict,
                mark=given.mark,
                message=given.message,
                slip=given.slip,
            )
        )
    return entries


def slips_met(kept: Snapshot, said: Sequence[Said], entries: Sequence[KeptEntry]) -> list[SlipMet]:
    """The slips of a room, each once, in the order they were met."""
    met: dict[str, SlipMet] = {}
    for each, entry in zip(said, entries, strict=True):
        if entry.slip is None:
            continue
        before = met.get(entry.slip)
        hands = each.hands
        if before is not None and before.hands is not None:
            hands = before.hands + (hands or 0)
        title = before.step if before else kept.step(entry.step).title
        met[entry.slip] = SlipMet(title, entry.step_skill, entry.message, hands)
    return list(met.values())
