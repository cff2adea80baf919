"""The files of the bench: rigs, faults, measurements, briefs; every fault of them told at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any, TypeVar

from trainer.bench.briefs import Brief
from trainer.bench.copies import Difference, Sister
from trainer.bench.faults import Fault, Rig, injected
from trainer.bench.hunts import PREPARED, Preparation
from trainer.bench.measurements import LOOKS, Case, Measurement
from trainer.bench.setup_forms import Setting
from trainer.channel.tables import TableFault, part_from
from trainer.content.banks import read_table
from trainer.content.brief_checks import check_brief, check_sister
from trainer.content.faults import Faults
from trainer.errors import TrainerError

FOLDER = "bench"
Kind = TypeVar("Kind", Rig, Fault, Measurement, Preparation, Brief, Setting, Sister, Difference)
KEYS = ("rig", "fault", "measurement", "preparation", "brief", "setting", "sister", "difference")


@dataclass(frozen=True)
class Bench:
    """All rigs, faults, measurements, preparations, briefs and sisters by name; settings and differences by path."""

    rigs: Mapping[str, Rig] = field(default_factory=dict)
    faults: Mapping[str, Fault] = field(default_factory=dict)
    measurements: Mapping[str, Measurement] = field(default_factory=dict)
    preparations: Mapping[str, Preparation] = field(default_factory=dict)
    briefs: Mapping[str, Brief] = field(default_factory=dict)
    settings: Mapping[str, Setting] = field(default_factory=dict)
    sisters: Mapping[str, Sister] = field(default_factory=dict)
    differences: Mapping[str, Difference] = field(default_factory=dict)

    def faults_of(self, rig: Rig) -> list[Fault]:
        """What can be wrong with a rig."""
        here = [fault for fault in self.faults.values() if rig.name in fault.rigs or fault.name in rig.faults]
        return [fault.on(rig.name) for fault in here]


NOTHING = Bench()


def read_bench(folders: Iterable[Path], faults: Faults, known: Bench = NOTHING) -> Bench:
    """Read the bench files of the folders of question banks, on top of what is known already."""
    tables: dict[str, list[tuple[Any, Faults]]] = {}
    for path in (path for folder in folders for path in sorted((folder / FOLDER).glob("*.toml"))):
        here = faults.within(f"{FOLDER}/{path.name}")
        table = read_table(path, here)
        here.unknown(table, KEYS)
        for key, entries in table.items():
            listed = entries if isinstance(entries, list) else [entries]
            tables.setdefault(key, []).extend((entry, here) for entry in listed)
    if not tables:
        return known
    bench = Bench(
        _read(Rig, tables.get("rig", ()), known.rigs),
        _read(Fault, tables.get("fault", ()), known.faults),
        _read(Measurement, tables.get("measurement", ()), known.measurements),
        _read(Preparation, tables.get("preparation", ()), known.preparations),
        _read(Brief, tables.get("brief", ()), known.briefs),
        _read(Setting, tables.get("setting", ()), known.settings, "path"),
        _read(Sister, tables.get("sister", ()), known.sisters),
        _read(Difference, tables.get("difference", ()), known.differences, "path"),
    )
    _check(bench, known, faults.within(FOLDER))
    return bench


def _read(
    kind: type[Kind], entries: Sequence[tuple[Any, Faults]], known: Mapping[str, Kind], key: str = "name"
) -> dict[str, Kind]:
    found = dict(known)
    for number, (entry, faults) in enumerate(entries, 1):
        name = str(entry.get(key, number)) if isinstance(entry, dict) else str(number)
        here = faults.within(f"{kind.__name__.lower()} {name}")
        try:
            made = part_from(kind, entry)
        except TableFault as fault:
            here.add("entry", name, str(fault))
            continue
        if name in found:
            here.add(key, name, "is used already")
        else:
            found[name] = made
    return found


def _check(bench: Bench, known: Bench, faults: Faults) -> None:
    """What is new and does not fit the rest."""
    for name in bench.measurements:
        if name not in LOOKS:
            faults.within("measurement").name("name", name, LOOKS)
    if bench.preparations and set(bench.preparations) != set(PREPARED):
        faults.add("preparations", ", ".join(bench.preparations), f"are {', '.join(PREPARED)}")
    for rig in bench.rigs.values():
        here = faults.within(f"rig {rig.name}")
        for name in (name for name in rig.faults if name not in bench.faults):
            here.name("faults", name, bench.faults)
        if rig.name not in known.rigs:
            _check_rig(bench, rig, here)
    settings = list(bench.settings.values())
    for brief in bench.briefs.values():
        if brief.name not in known.briefs:
            check_brief(brief, settings, faults.within(f"brief {brief.name}"))
    for sister in bench.sisters.values():
        if sister.name not in known.sisters:
            check_sister(sister, bench.briefs, settings, faults.within(f"sister {sister.name}"))
    for fault in bench.faults.values():
        here = faults.within(f"fault {fault.name}")
        if fault.name not in known.faults:
            _check_texts(fault, here)
        for name in (name for name in fault.rigs if name not in bench.rigs):
            here.name("rigs", name, bench.rigs)
        for rig in bench.rigs.values():
            new = rig.name not in known.rigs or fault.name not in known.faults
            if new and (rig.name in fault.rigs or fault.name in rig.faults):
                _check_changes(fault, rig, here)


def _check_texts(fault: Fault, faults: Faults) -> None:
    if not fault.changes:
        faults.add("changes", "nothing", "are required")
    for symptom in [fault.told(changes) for changes in fault.changes]:
        if "{" in symptom.replace("{shown}", "").replace("{unit}", ""):
            faults.add("symptom", symptom, "may tell {shown} and {unit}")


def _check_rig(bench: Bench, rig: Rig, faults: Faults) -> None:
    if not bench.faults_of(rig):
        faults.add("faults", "nothing", "at least one fault must name the rig, or the rig it")
    try:
        channel, value = rig.drawn(Random(0))
        case = Case(channel, channel, value, rig.unit, rig.shift)
        for measurement in bench.measurements.values():
            if measurement.name in LOOKS:
                measurement.findings(case)
    except (TrainerError, ValueError) as wrong:
        faults.add("channel, draws, shift", rig.name, f"cannot be run: {wrong}")


def _check_changes(fault: Fault, rig: Rig, faults: Faults) -> None:
    here = fault.on(rig.name)
    try:
        for changes in here.changes:
            for size in (0.0, 1.0):
                injected(rig.channel, changes, size)
        if not here.fitting(rig.channel):
            rule = "a healthy fault changes nothing" if fault.healthy else "changes nothing there"
            faults.add("changes", rig.name, rule)
    except TrainerError as wrong:
        faults.add("changes", rig.name, str(wrong))
