"""The files of the bench: rigs, faults, measurements; every fault of them told at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from trainer.bench.faults import Fault, Rig
from trainer.bench.hunts import PREPARED, Preparation
from trainer.bench.measurements import LOOKS, Measurement
from trainer.channel.tables import TableFault, part_from
from trainer.content.banks import read_table
from trainer.content.faults import Faults
from trainer.errors import TrainerError

FOLDER = "bench"
Kind = TypeVar("Kind", Rig, Fault, Measurement, Preparation)


@dataclass(frozen=True)
class Bench:
    """All rigs, faults, measurements and preparations by name."""

    rigs: Mapping[str, Rig] = field(default_factory=dict)
    faults: Mapping[str, Fault] = field(default_factory=dict)
    measurements: Mapping[str, Measurement] = field(default_factory=dict)
    preparations: Mapping[str, Preparation] = field(default_factory=dict)

    def faults_of(self, rig: Rig) -> list[Fault]:
        """What can be wrong with a rig."""
        return [fault for fault in self.faults.values() if rig.name in fault.rigs]


def read_bench(folders: Iterable[Path], faults: Faults) -> Bench:
    """Read the bench files of the folders of question banks."""
    tables: dict[str, list[tuple[Any, Faults]]] = {}
    for path in (path for folder in folders for path in sorted((folder / FOLDER).glob("*.toml"))):
        here = faults.within(f"{FOLDER}/{path.name}")
        table = read_table(path, here)
        here.unknown(table, ("rig", "fault", "measurement", "preparation", "brief"))
        for key, entries in table.items():
            listed = entries if isinstance(entries, list) else [entries]
            tables.setdefault(key, []).extend((entry, here) for entry in listed)
    bench = Bench(
        _read(Rig, tables.get("rig", ())),
        _read(Fault, tables.get("fault", ())),
        _read(Measurement, tables.get("measurement", ())),
        _read(Preparation, tables.get("preparation", ())),
    )
    _check(bench, faults.within(FOLDER))
    return bench


def _read(kind: type[Kind], entries: Sequence[tuple[Any, Faults]]) -> dict[str, Kind]:
    found: dict[str, Kind] = {}
    for number, (entry, faults) in enumerate(entries, 1):
        name = str(entry.get("name", number)) if isinstance(entry, dict) else str(number)
        here = faults.within(f"{kind.__name__.lower()} {name}")
        try:
            made = part_from(kind, entry)
        except TableFault as fault:
            here.add("entry", name, str(fault))
            continue
        if name in found:
            here.add("name", name, "is used already")
        found[name] = made
    return found


def _check(bench: Bench, faults: Faults) -> None:
    for name in bench.measurements:
        if name not in LOOKS:
            faults.within("measurement").name("name", name, LOOKS)
    if bench.preparations and set(bench.preparations) != set(PREPARED):
        faults.add("preparations", ", ".join(bench.preparations), f"are {', '.join(PREPARED)}")
    for fault in bench.faults.values():
        here = faults.within(f"fault {fault.name}")
        if not fault.rigs or not fault.changes:
            here.add("rigs, changes", "nothing", "are required")
        for rig in fault.rigs:
            if rig not in bench.rigs:
                here.name("rigs", rig, bench.rigs)
            else:
                _check_changes(fault, bench.rigs[rig], here)


def _check_changes(fault: Fault, rig: Rig, faults: Faults) -> None:
    try:
        if not fault.fitting(rig.channel):
            faults.add(rig.name, fault.changes, "changes something" if fault.healthy else "changes nothing")
    except TrainerError as wrong:
        faults.add(rig.name, fault.changes, str(wrong))
