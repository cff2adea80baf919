"""Work on a set as statements of a learning record, for a store of such records elsewhere.

Three kinds, in the order of hand-in. One ``answered`` for every entry that was marked, an interaction with what would
have been right; one ``completed`` for every problem of a try, with its score; one ``passed`` or ``failed`` for every
try, with the total, the time it took and whether the pass mark was reached. A text that could not be read was no
answer and is left out. A person is an account by the id of the record; a problem with its numbers, and each step in
it, is an activity, so that the right answer belongs to the numbers that were asked. All names of our own are urn:uuid,
since the program has no address in a network; the verbs and the type of an interaction are those of the standard.

The id of a statement is made from what it tells: the same work gives the same id as often as it is given out, and work
marked again gives a new one, since a statement once received is never changed.

References
----------
IEEE 9274.1.1-2023 (xAPI 2.0) and xAPI 1.0.3 (2016), part 2, sections 2.4 (statement properties), 2.4.4.1 (interaction
activities and response patterns); RFC 9562 (2024), section 5.5 (UUID version 5); ISO 8601 for durations.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any
from uuid import UUID, uuid5

from trainer.clock import as_utc
from trainer.exchange.interactions import interaction, response
from trainer.grading.marking import Basis
from trainer.storage.models import ProblemSet
from trainer.storage.set_records import AttemptRecord, EntryRecord
from trainer.worksheets.snapshot import Snapshot

OURS = UUID("3f0c1f6e-5d0b-4c52-9d3e-7b1f6a4c2e90")  # drawn once; every name of our own is made from it
HOME = f"urn:uuid:{uuid5(OURS, 'people')}"
PLATFORM = "Signal conditioning trainer"
VERBS = "http://adlnet.gov/expapi/verbs/"
LANGUAGE = "en"

Record = tuple[AttemptRecord, list[EntryRecord]]
Statement = dict[str, Any]


def statement_lines(problem_set: ProblemSet, records: Iterable[Record]) -> Iterator[bytes]:
    """The statements of a set, a line of JSON each; ``records`` come try by try."""
    for each in statements(problem_set, records):
        yield json.dumps(each, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "backslashreplace") + b"\n"


def statements(problem_set: ProblemSet, records: Iterable[Record]) -> Iterator[Statement]:
    """The statements of a set."""
    for _, own in groupby(records, key=lambda record: record[0].try_id):
        problems: list[AttemptRecord] = []
        for attempt, entries in own:
            problems.append(attempt)
            kept = Snapshot.from_json(attempt.snapshot)
            for entry in entries:
                yield _answered(problem_set, attempt, entry, kept)
            yield _completed(problem_set, attempt, kept)
        yield _result(problem_set, problems)


def _answered(problem_set: ProblemSet, attempt: AttemptRecord, entry: EntryRecord, kept: Snapshot) -> Statement:
    basis = Basis.from_json(entry.basis)
    step = kept.step(entry.step)
    name = f"{_variant(kept)}/{step.name}"
    answered = _statement("answered", f"{entry.entry_id} {entry.mark_id}", attempt, entry.made)
    answered["object"] = _activity(name, step.title) | {"definition": interaction(basis, step.title)}
    typed = response(basis, entry.text)
    answered["result"] = {"score": _score(entry.mark, 1.0), "success": entry.mark >= 1.0}
    if typed:
        answered["result"]["response"] = typed
    answered["result"]["extensions"] = {
        _own("typed"): entry.text,
        _own("verdict"): entry.verdict,
        **({_own("slip"): entry.slip} if entry.slip else {}),
    }
    answered["context"] |= _around([_activity(_variant(kept), kept.title)], [_set(problem_set)])
    return answered


def _completed(problem_set: ProblemSet, attempt: AttemptRecord, kept: Snapshot) -> Statement:
    worth = _worth(attempt)
    completed = _statement("completed", f"{attempt.attempt_id} {worth!r}", attempt, attempt.finished)
    completed["object"] = _activity(_variant(kept), kept.title) | {"definition": _definition(kept.title, kept.text())}
    completed["result"] = {
        "score": _score(worth, attempt.weight),
        "success": worth >= 1.0,
        "completion": True,
    }
    completed["context"] |= _around([_set(problem_set)], [_activity(kept.problem, kept.title)])
    return completed


def _result(problem_set: ProblemSet, problems: list[AttemptRecord]) -> Statement:
    first, weights = problems[0], sum(each.weight for each in problems)
    total = sum(each.weight * _worth(each) for each in problems) / weights
    passed = total >= problem_set.pass_mark - 1e-9
    result = _statement("passed" if passed else "failed", f"{first.try_id} {total!r}", first, first.handed_in)
    result["object"] = _set(problem_set) | {"definition": _definition(problem_set.title, problem_set.note)}
    result["result"] = {
        "score": _score(total, weights),
        "success": passed,
        "completion": True,
        "duration": duration(first.handed_in - first.try_started),
    }
    return result


def _statement(verb: str, told: str, attempt: AttemptRecord, at: datetime | None) -> Statement:
    """What all statements have; the object and the result come to it."""
    return {
        "id": str(uuid5(OURS, f"{verb} {told}")),
        "actor": {
            "objectType": "Agent",
            **({"name": attempt.name} if attempt.name else {}),
            "account": {"homePage": HOME, "name": str(attempt.learner_id)},
        },
        "verb": {"id": f"{VERBS}{verb}", "display": {LANGUAGE: verb}},
        "object": {},
        "result": {},
        "context": {"registration": str(attempt.try_id), "platform": PLATFORM},
        "timestamp": moment(at or attempt.handed_in),
    }


def moment(at: datetime) -> str:
    """A moment in UTC, to the millisecond."""
    return as_utc(at).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def duration(length: timedelta) -> str:
    """A length of time to the hundredth of a second, as the standard asks.

    Examples
    --------
    >>> duration(timedelta(minutes=75, seconds=4.5)), duration(timedelta(0))
    ('PT1H15M4.5S', 'PT0S')
    """
    hundredths = max(0, length // timedelta(milliseconds=10))
    minutes, rest = divmod(hundredths, 6000)
    hours, minutes = divmod(minutes, 60)
    seconds = f"{rest / 100:g}S" if rest or not (hours or minutes) else ""
    return f"PT{f'{hours}H' if hours else ''}{f'{minutes}M' if minutes else ''}{seconds}"


def _worth(attempt: AttemptRecord) -> float:
    return (attempt.value or 0.0) if attempt.override is None else attempt.override


def _score(share: float, most: float) -> dict[str, float]:
    """A share of full marks, also as marks out of its weight."""
    return {"scaled": round(share, 6), "raw": round(share * most, 6), "min": 0, "max": round(most, 6)}


def _variant(kept: Snapshot) -> str:
    """A problem with its numbers, by the version of its worksheet."""
    return f"{kept.problem}/{kept.version}/{kept.seed}"


def _own(name: str) -> str:
    return f"urn:uuid:{uuid5(OURS, name)}"


def _activity(name: str, title: str) -> dict[str, Any]:
    return {"objectType": "Activity", "id": _own(name), "definition": _definition(title)}


def _set(problem_set: ProblemSet) -> dict[str, Any]:
    own = {"objectType": "Activity", "id": f"urn:uuid:{problem_set.id}"}
    return own | {"definition": _definition(problem_set.title)}


def _definition(title: str, description: str = "") -> dict[str, Any]:
    described = {"description": {LANGUAGE: description}} if description else {}
    return {"name": {LANGUAGE: title}} | described


def _around(parents: list[Mapping[str, Any]], grouping: list[Mapping[str, Any]]) -> dict[str, Any]:
    return {"contextActivities": {"parent": parents, "grouping": grouping}}
