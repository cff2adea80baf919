"""Briefs and sisters checked: that their templates can be filled in, and, at length, that they judge as they say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from trainer.bench.briefs import Brief, Task
from trainer.bench.copies import Sister
from trainer.bench.judging import judge, outcomes_of
from trainer.bench.setup_forms import Setting, fields_of
from trainer.bench.setup_records import reference_record
from trainer.channel.simulation import MOST_RELAYS
from trainer.content.faults import Faults
from trainer.errors import TrainerError

UNFIT = (TrainerError, ValueError, KeyError, TypeError)


def check_brief(brief: Brief, settings: Sequence[Setting], faults: Faults) -> None:
    """Fill in a brief with its usual values: quick enough for every start."""
    try:
        task = brief.usual()
        reference_record(task, settings)
        fields_of(settings, task, MOST_RELAYS)
    except UNFIT as fault:
        faults.add("templates", brief.name, str(fault))
        return
    required = [each.name for each in task.requirements]
    for wrong in task.wrong:
        for name in (name for name in wrong.fails if name not in required):
            faults.within(f"wrong {wrong.name}").name("fails", name, required)


def check_sister(sister: Sister, briefs: Mapping[str, Brief], settings: Sequence[Setting], faults: Faults) -> None:
    """Fill in a sister, and see that its needs are settings of its brief."""
    if sister.brief not in briefs:
        faults.name("brief", sister.brief, briefs)
        return
    try:
        task = sister.drawn(briefs[sister.brief], settings, 0)
    except UNFIT as fault:
        faults.add("needs", sister.name, str(fault))
        return
    known = ["tag", "service", *task.source.values]
    for need in task.needs:
        if need.path not in known:
            faults.name("needs", need.path, known)


def rehearse(task: Task, settings: Sequence[Setting], faults: Faults) -> None:
    """Run a task: its reference must pass, and every wrong setting must fail what it says."""
    judged = judge(task, settings, reference_record(task, settings, tag="1"))
    here = faults.within(f"brief {task.brief.name}, seed {task.seed}")
    said = [(each.name, each.sentence) for each in judged.checks if not each.passed]
    said += [(each.name, each.sentence) for each in judged.outcomes if not each.passed]
    for name, sentence in said:
        here.add(name, "reference", sentence)
    for mark in judged.reasons:
        if len(mark.right) != 1:
            here.add("reasons", mark.path, f"{len(mark.right)} of them hold, not one")
    for wrong in task.wrong:
        outcomes = {each.name: each.passed for each in outcomes_of(task, task.run(task.set_wrong(wrong)))}
        for name in (name for name in wrong.fails if outcomes[name]):
            here.add(f"wrong {wrong.name}", name, "is met all the same")
        if not wrong.fails:
            here.add(f"wrong {wrong.name}", "fails", "must name a requirement")
