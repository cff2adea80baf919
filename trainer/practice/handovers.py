"""A learner's record carried to another PC: what goes along, what would come of it where it arrives, and keeping it.

Sheets of a problem set go along once their learner may see them solved: after hand-in, and of an assessed set after
its solutions are released. Until then they stay with their set, since whoever carries a file can open it. The set,
the group and the try itself stay where they are; elsewhere such a sheet is a closed one, and a remark on it says of
which set it was. Accounts, codes and browsers stay, too.

A file that learners take themselves leaves out their sheets under way, for the same reason: the right values are in it.

Work is never moved from one record to another: what is known here stays under the record under which it stands.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from trainer.errors import Conflict
from trainer.language import gettext
from trainer.practice import record_merging as merging
from trainer.practice.record_merging import ADDED, Row, Rows, Work
from trainer.storage import handovers as kept
from trainer.storage.handovers import SetWork
from trainer.storage.learners import get_learner
from trainer.storage.models import Learner
from trainer.storage.problem_sets import PRACTICE
from trainer.storage.records import record_of

OF_ATTEMPT = ("entry", "override", "remark", "remarking", "complaint", "draft", "evidence")
OF_LEARNER = ("sign_off", "witnessed")
TABLES = ("learner", "attempt", "entry", "mark", *OF_ATTEMPT[1:], *OF_LEARNER)  # in this order they can be added
STAYS = ("set_try_id", "set_problem_id")
KEYS = {"draft": "step", "evidence": "skill"}  # within an attempt; of the others the id is the key
Tables = dict[str, list[Row]]


@dataclass(frozen=True)
class Carried:
    """A record to be carried: its rows by table, and how many sheets stay where they are."""

    tables: Tables
    stays: int

    @property
    def learner(self) -> Row:
        """The person."""
        return self.tables["learner"][0]


@dataclass(frozen=True)
class Arrival:
    """What comes of a record that arrives: ``known`` is whether this very record is here, ``into`` which gets the work.

    ``new`` and ``changed`` count rows by table; ``waits`` are sheets left alone because their try is under way here.
    """

    person: Row
    known: bool
    into: UUID
    new: Mapping[str, int]
    changed: int
    waits: int

    @property
    def nothing_new(self) -> bool:
        """Whether all of it is here already."""
        return not self.changed and not any(self.new.values())


@dataclass
class _Plan:
    new: Tables = field(default_factory=lambda: {name: [] for name in TABLES})
    changed: Tables = field(default_factory=lambda: {name: [] for name in TABLES})
    gone: Tables = field(default_factory=lambda: {name: [] for name in TABLES})
    waits: int = 0

    def compare(self, name: str, here: Iterable[Row], then: Iterable[Row]) -> None:
        """Plan to make rows of a table what they are to be."""
        before, after = ({_key(name, row): row for row in rows} for rows in (here, then))
        self.new[name] += [row for key, row in after.items() if key not in before]
        self.changed[name] += [row for key, row in after.items() if key in before and row != before[key]]
        self.gone[name] += [row for key, row in before.items() if key not in after]


def hand_over(session: Session, learner_id: UUID, *, under_way: bool = True) -> Carried:
    """All of a learner's record that can go elsewhere; without sheets ``under_way`` if so wanted.

    Raises
    ------
    NotFound
        If there is no such learner.
    """
    get_learner(session, learner_id)
    record, of_sets = record_of(session, learner_id), kept.set_work(session, learner_id)
    stays = {each.attempt_id for each in of_sets.values() if not _shown(each)}
    if not under_way:
        stays |= {row["id"] for row in record["attempt"] if row["finished"] is None}
    tables = {name: [row for row in record[name] if _owner(name, row) not in stays] for name in TABLES}
    entries = {row["id"] for row in tables["entry"]}
    tables["mark"] = [row for row in record["mark"] if row["entry_id"] in entries]
    for row in tables["attempt"]:
        if (facts := of_sets.get(row["id"])) is not None:
            row["solution_opened"] = row["solution_opened"] or facts.handed_in  # elsewhere it asks nothing any more
            tables["remark"].append(_note(facts))
        for name in STAYS:
            del row[name]
    return Carried(tables, len(stays))


def known_under(session: Session, carried: Carried) -> list[Learner]:
    """Under whose records sheets of a carried one stand here."""
    here = kept.rows_with(session, "attempt", "id", [row["id"] for row in carried.tables["attempt"]])
    return [get_learner(session, each) for each in sorted({row["learner_id"] for row in here})]


def look(session: Session, carried: Carried, into: UUID | None = None) -> Arrival:
    """What would come of a carried record; nothing is written.

    ``into`` is the record here that is the same person's; without it that is the one with the same id, or a new one.

    Raises
    ------
    NotFound
        If there is no such record here.
    Conflict
        If work in it stands here under somebody else's record.
    """
    return _arrival(session, carried, into)[0]


def collect(session: Session, carried: Carried, into: UUID | None = None) -> Arrival:
    """Join a carried record with what is here; collected again nothing changes. Raises as :func:`look` does."""
    arrival, plan = _arrival(session, carried, into)
    for name in reversed(TABLES):
        kept.drop_rows(session, name, plan.gone[name])
    for name in TABLES:
        kept.change_rows(session, name, plan.changed[name])
        kept.add_rows(session, name, plan.new[name])
    session.expire_all()
    return arrival


def _arrival(session: Session, carried: Carried, into: UUID | None) -> tuple[Arrival, _Plan]:
    session.flush()
    own = carried.learner["id"]
    here = kept.rows_with(session, "learner", "id", [own])
    chosen = get_learner(session, into) if into is not None else None
    plan = _Plan()
    if here or chosen is None:
        plan.compare("learner", here, [merging.newest(here[0], carried.learner) if here else carried.learner])
    target = chosen.id if chosen is not None else own
    _plan_work(session, carried, plan, own, target)
    _plan_words(session, carried, plan, own, target)
    counts = {name: len(rows) for name, rows in plan.new.items()}
    changed = sum(len(rows) for each in (plan.changed, plan.gone) for rows in each.values())
    return Arrival(carried.learner, bool(here), target, counts, changed, plan.waits), plan


def _plan_work(session: Session, carried: Carried, plan: _Plan, own: UUID, target: UUID) -> None:
    """Attempts and all that hangs on them."""
    arriving = works(carried.tables)
    here = _works_here(session, arriving)
    _check_owners(session, (work.attempt for work in here.values()), {own, target})
    _check_ids(session, carried.tables, arriving)
    running = kept.running_attempts(session, here)
    plan.waits = len(running)
    for attempt_id, work in arriving.items():
        if attempt_id in running:
            continue
        mine = here.get(attempt_id)
        if mine is None:
            work.attempt |= {"learner_id": target, **dict.fromkeys(STAYS)}
            merged = merging.settled(work)
        else:
            merged = merging.joined(mine, _as_part_of_set(mine, work))
        before = mine.tables() if mine else {}
        for name, rows in merged.tables().items():
            plan.compare(name, before.get(name, ()), rows)


def _as_part_of_set(mine: Work, work: Work) -> Work:
    """What arrives of a sheet whose set is here: words alone, since results of the set are made here and by no file."""
    if mine.attempt["set_try_id"] is None:
        return work
    remarks = {key: row for key, row in work.added["remark"].items() if not _is_note(row)}
    added = mine.added | {"remark": remarks}
    return Work(mine.attempt, mine.entries, added, work.complaints, mine.drafts, mine.evidence)


def _plan_words(session: Session, carried: Carried, plan: _Plan, own: UUID, target: UUID) -> None:
    """Sign-offs and what was seen on real equipment."""
    for name in OF_LEARNER:
        arriving = {row["id"]: dict(row) for row in carried.tables[name]}
        here = {row["id"]: row for row in kept.rows_with(session, name, "id", arriving)}
        _check_owners(session, here.values(), {own, target})
        for row in arriving.values():
            row["learner_id"] = here[row["id"]]["learner_id"] if row["id"] in here else target
        rule = merging.first_withdrawal if name == "sign_off" else _mine
        plan.compare(name, here.values(), merging.joined_rows(here, arriving, rule).values())


def works(tables: Tables) -> dict[UUID, Work]:
    """The attempts of a record, each with all that hangs on it."""
    found = {row["id"]: Work(dict(row)) for row in tables["attempt"]}
    owner = {row["id"]: row["attempt_id"] for row in tables["entry"]}
    for name in ("entry", "mark", *OF_ATTEMPT[1:]):
        for row in tables[name]:
            work = found[owner[row["entry_id"]] if name == "mark" else row["attempt_id"]]
            _place(work, name)[row[KEYS.get(name, "id")]] = dict(row)
    return found


def _place(work: Work, name: str) -> Rows:
    if name in ADDED:
        return work.added[name]
    places = {"entry": work.entries, "complaint": work.complaints, "draft": work.drafts, "evidence": work.evidence}
    return places[name]


def _works_here(session: Session, ids: Collection[UUID]) -> dict[UUID, Work]:
    tables = {"attempt": kept.rows_with(session, "attempt", "id", ids)}
    own = [row["id"] for row in tables["attempt"]]
    tables |= {name: kept.rows_with(session, name, "attempt_id", own) for name in OF_ATTEMPT}
    tables["mark"] = kept.rows_with(session, "mark", "entry_id", [row["id"] for row in tables["entry"]])
    return works(tables)


def _check_owners(session: Session, here: Iterable[Row], allowed: set[UUID]) -> None:
    for row in here:
        if row["learner_id"] not in allowed:
            other = get_learner(session, row["learner_id"])
            said = gettext(
                "Work in this file stands here under the record of {name} ({id}). If that is the same person, choose "
                "that record; nothing was taken."
            )
            raise Conflict(said.format(name=other.name or gettext("a guest without a name"), id=other.id))


def _check_ids(session: Session, tables: Tables, arriving: Collection[UUID]) -> None:
    """See that no row that arrives is known here as a part of some other work."""
    for name in ("entry", "mark", "override", "remark", "remarking", "complaint"):
        parent = "entry_id" if name == "mark" else "attempt_id"
        own = {row["id"]: row[parent] for row in tables[name]}
        if any(row[parent] != own[row["id"]] for row in kept.rows_with(session, name, "id", own)):
            raise Conflict(gettext("This file tells of work here that is not this person's; nothing was taken."))


def _owner(name: str, row: Row) -> Any:
    """The attempt that a row hangs on; None for one that hangs on none."""
    return row["id"] if name == "attempt" else row.get("attempt_id")


def _key(name: str, row: Row) -> Any:
    return (row["attempt_id"], row[KEYS[name]]) if name in KEYS else row["id"]


def _mine(mine: Row, _arriving: Row) -> Row:
    return mine


def _shown(work: SetWork) -> bool:
    return work.handed_in is not None and (work.kind == PRACTICE or work.released)


def _note(work: SetWork) -> Row:
    """The facts of a try as a remark; the same facts are the same remark, wherever it is made."""
    said = gettext(
        "From the problem set {title} ({kind}), try {number}: begun {started} UTC, handed in {handed_in} UTC; this "
        "sheet weighs {weight:g}, the pass mark is {pass_mark:.0%}."
    )
    times = {name: f"{getattr(work, name):%Y-%m-%d %H:%M}" for name in ("started", "handed_in")}
    facts = {name: getattr(work, name) for name in ("title", "kind", "number", "weight", "pass_mark")}
    text = said.format(**facts, **times)
    note = {"id": uuid5(work.attempt_id, text), "attempt_id": work.attempt_id, "text": text}
    return note | {"by_name": work.group, "made": work.handed_in}


def _is_note(remark: Row) -> bool:
    """Ids of all other rows are told by the time (version 7); that of a note follows from what it says."""
    return bool(remark["id"].version == 5)
