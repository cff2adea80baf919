"""A fault hunt: preparations and measurements one after another, what they cost and leave, and how it was done.

A hunt is its list of acts by name: everything else is worked out from it again.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from trainer.bench.faults import Fault
from trainer.bench.measurements import Case, Findings, Measurement
from trainer.bench.plans import Advice, Mask, Situation, best, remaining
from trainer.errors import NotFound

OPENING = "control-room"  # what a hunt tells of itself before anything is done
CONFIRMING_MINUTES = 10.0  # a look that confirms what is known already is never held against anybody
STOPPED_MINUTES = 1.0  # an unsafe order costs the time to say why
SHARES = {"diagnosis": 0.5, "remedy": 0.1, "time": 0.2, "safety": 0.2}
UNSAFE_COST = 0.5  # of the share for safety, each time


@dataclass(frozen=True)
class Preparation:
    """Something done before or after measuring: what it changes, and how long it takes [min]."""

    name: str
    title: str
    minutes: float


@dataclass(frozen=True)
class State:
    """Whether a bypass is in place, and whether the loop is isolated."""

    bypassed: bool = False
    isolated: bool = False


PREPARED = {
    "arrange-bypass": {"bypassed": True},
    "remove-bypass": {"bypassed": False},
    "isolate": {"isolated": True},
    "restore-power": {"isolated": False},
}


@dataclass(frozen=True)
class Act:
    """One act as it went: what was found, or why it was stopped; the suspects left after it."""

    name: str
    minutes: float
    clock: float
    findings: Findings = ()
    stopped: str = ""
    unsafe: bool = False
    left: Mask | None = None


@dataclass(frozen=True)
class Notebook:
    """All acts of a hunt so far, and where things stand."""

    acts: tuple[Act, ...]
    state: State
    left: Mask

    @property
    def minutes(self) -> float:
        """Time used [min]."""
        return self.acts[-1].clock if self.acts else 0.0

    @property
    def unsafe(self) -> int:
        """How often something unsafe was stopped."""
        return sum(act.unsafe for act in self.acts)


@dataclass(frozen=True)
class Score:
    """What a hunt was worth, each part 0 to 1, and what else could not be told from the truth.

    `certainty` is the probability that the measurements made leave to the truth: below 1 a right name was a guess.
    """

    diagnosis: float
    remedy: float
    time: float
    safety: float
    twins: tuple[str, ...]
    certainty: float
    best_minutes: float

    @property
    def total(self) -> float:
        """All parts by their shares, 0 to 1."""
        return sum(share * float(getattr(self, part)) for part, share in SHARES.items())


class Hunt:
    """A situation with the truth in it.

    Parameters
    ----------
    situation : Situation
        The rig and all that could be wrong.
    fault : Fault
        What is wrong.
    truth : Case
        The channel with that fault in it, and where its process stands.
    preparations : sequence of Preparation
        With the names of `PREPARED`.
    """

    def __init__(self, situation: Situation, fault: Fault, truth: Case, preparations: Sequence[Preparation]) -> None:
        self.situation, self.fault, self.truth = situation, fault, truth
        self.preparations = {each.name: each for each in preparations}
        if set(self.preparations) != set(PREPARED):
            raise ValueError(f"the preparations are {', '.join(PREPARED)}")

    @property
    def opening(self) -> Findings:
        """What the control room shows at the start."""
        opening = self.situation.measurements.get(OPENING)
        return opening.findings(self.truth) if opening else ()

    @cached_property
    def at_start(self) -> Mask:
        """The suspects that could show what the control room shows at the start."""
        if OPENING in self.situation.measurements:
            return self.situation.agreeing(OPENING, self.truth)
        everything: Mask = np.ones(len(self.situation.suspects), bool)
        return everything

    def told(self, symptom: str) -> str:
        """A symptom with what the control room shows in it."""
        shown = next(iter(self.opening), None)
        if shown is None:
            return symptom
        return symptom.replace("{shown}", shown.text()).replace("{unit}", shown.unit)

    def replay(self, names: Iterable[str]) -> Notebook:
        """Go through acts one after another.

        Raises
        ------
        NotFound
            For a name that is neither a preparation nor a measurement.
        """
        notes = Notebook((), State(), self.at_start)
        for name in names:
            notes = self._act(notes, name)
        return notes

    def _act(self, notes: Notebook, name: str) -> Notebook:
        if name in self.preparations:
            return self._prepare(notes, self.preparations[name])
        if name not in self.situation.measurements:
            raise NotFound(f"there is no measurement {name}")
        measurement = self.situation.measurements[name]
        reason, unsafe = refusal(measurement, notes.state)
        if reason:
            minutes = STOPPED_MINUTES if unsafe else 0.0
            act = Act(name, minutes, notes.minutes + minutes, stopped=reason, unsafe=unsafe, left=notes.left)
            return replace(notes, acts=(*notes.acts, act))
        left = notes.left & self.situation.agreeing(name, self.truth)
        findings = measurement.findings(self.truth)
        act = Act(name, measurement.minutes, notes.minutes + measurement.minutes, findings, left=left)
        return replace(notes, acts=(*notes.acts, act), left=left)

    def _prepare(self, notes: Notebook, preparation: Preparation) -> Notebook:
        wanted = PREPARED[preparation.name]
        clock = notes.minutes + preparation.minutes
        if preparation.name == "isolate" and not notes.state.bypassed:
            stopped = "Isolating stops what the loop does: arrange the bypass with the operator first."
            act = Act(preparation.name, STOPPED_MINUTES, notes.minutes + STOPPED_MINUTES, stopped=stopped, unsafe=True)
            return replace(notes, acts=(*notes.acts, replace(act, left=notes.left)))
        act = Act(preparation.name, preparation.minutes, clock, left=notes.left)
        return replace(notes, acts=(*notes.acts, act), state=replace(notes.state, **wanted))

    def minutes_from(self, notes: Notebook) -> dict[str, float]:
        """What each measurement not yet made takes from where things stand, with its preparations [min]."""
        made = {OPENING, *(act.name for act in notes.acts if not act.stopped)}
        return {
            name: each.minutes + sum(self.preparations[one].minutes for one in _needed(each, notes.state))
            for name, each in self.situation.measurements.items()
            if name not in made
        }

    def advice(self, notes: Notebook) -> Advice | None:
        """What would tell most in a minute from here."""
        return best(self.situation, notes.left, self.minutes_from(notes))

    def best_plan(self) -> Notebook:
        """The acts of who always takes what tells most in a minute, until nothing more can be told."""
        notes = self.replay(())
        while len(remaining(self.situation, notes.left)) > 1 and (advice := self.advice(notes)):
            for name in (*_needed(advice.measurement, notes.state), advice.measurement.name):
                notes = self._act(notes, name)
        if notes.state.isolated:
            notes = self._act(notes, "restore-power")
        return self._act(notes, "remove-bypass") if notes.state.bypassed else notes

    def twins(self) -> tuple[str, ...]:
        """Faults that no measurement can tell from the true one, by name, the true one not among them."""
        left = self.at_start
        for name in self.situation.measurements:
            left = left & self.situation.agreeing(name, self.truth)
        return tuple(name for name in remaining(self.situation, left) if name != self.fault.name)

    def score(self, notes: Notebook, named: str, remedy: str) -> Score:
        """What the hunt was worth with a fault named and a remedy chosen; a bypass left in place is unsafe."""
        twins, planned = self.twins(), self.best_plan().minutes
        right = named == self.fault.name or named in twins
        left = remaining(self.situation, notes.left)
        certainty = sum(share for name, share in left.items() if name == self.fault.name or name in twins)
        unsafe = notes.unsafe + notes.state.bypassed + notes.state.isolated
        quick = min(1.0, max(planned, CONFIRMING_MINUTES) / max(notes.minutes, CONFIRMING_MINUTES))
        return Score(
            diagnosis=float(right),
            remedy=float(right and remedy == self.fault.remedy),
            time=float(right) * certainty * quick,  # a guess saves no time
            safety=max(0.0, 1.0 - UNSAFE_COST * unsafe),
            twins=twins,
            certainty=certainty,
            best_minutes=planned,
        )


def refusal(measurement: Measurement, state: State) -> tuple[str, bool]:
    """Why a measurement is stopped in a state, and whether it would be unsafe; empty where it goes ahead."""
    if measurement.opens_loop and not state.bypassed:
        return (
            "This opens the loop: what it controls or trips would act. Arrange the bypass with the operator first.",
            True,
        )
    if measurement.needs == "isolated" and not state.isolated:
        return measurement.unsafe or "Isolate the loop first, and prove it dead.", bool(measurement.unsafe)
    if measurement.needs == "powered" and state.isolated:
        return "The loop is isolated: there is nothing to read. Restore the supply first.", False
    return "", False


def _needed(measurement: Measurement, state: State) -> list[str]:
    """Preparations that a measurement needs in a state, in their order."""
    needed = []
    isolates = measurement.needs == "isolated" and not state.isolated
    if measurement.needs == "powered" and state.isolated:
        needed.append("restore-power")
    if (measurement.opens_loop or isolates) and not state.bypassed:
        needed.append("arrange-bypass")
    if isolates:
        needed.append("isolate")
    return needed
