"""Which suspects are left after a measurement, and which measurement would tell most in a minute."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trainer.bench.faults import Suspect
from trainer.bench.measurements import Case, Finding, Measurement
from trainer.calculations.ranges import Array
from trainer.channel.simulation import Channel, Course

Mask = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Predicted:
    """What a measurement would show for each suspect: numbers as intervals, words as codes.

    `lows` and `highs` have the shape (suspects, findings); words stand in both as one code.
    """

    labels: tuple[str, ...]
    lows: Array
    highs: Array
    middles: Array


class Situation:
    """A rig with all that could be wrong with it, as far as the gauge tells where its process stands.

    Parameters
    ----------
    approved : Channel
        The healthy channel.
    suspects : sequence of Suspect
        All that could be wrong.
    measurements : sequence of Measurement
        All that can be measured.
    value, gauge : float
        Where the process stands, and how well that is known [unit of the process].
    """

    def __init__(
        self,
        approved: Channel,
        suspects: Sequence[Suspect],
        measurements: Sequence[Measurement],
        value: float,
        gauge: float,
        unit: str,
        shift: Course,
    ) -> None:
        self.suspects, self.gauge = tuple(suspects), gauge
        self.measurements = {each.name: each for each in measurements}
        # Cases at the least, the usual and the greatest value that the gauge allows.
        self._cases = [
            [Case(each.channel, approved, value + side * gauge, unit, shift) for side in (-1.0, 0.0, 1.0)]
            for each in suspects
        ]
        self._codes: dict[str, float] = {}
        self._predicted: dict[str, Predicted] = {}

    @cached_property
    def weights(self) -> Array:
        """Probability of each suspect before anything was measured."""
        return np.array([each.weight for each in self.suspects])

    def case(self, index: int) -> Case:
        """The case in which a suspect is the truth."""
        return self._cases[index][1]

    def predicted(self, name: str) -> Predicted:
        """What a measurement would show for each suspect."""
        if name not in self._predicted:
            self._predicted[name] = self._predict(self.measurements[name])
        return self._predicted[name]

    def _predict(self, measurement: Measurement) -> Predicted:
        told = [[measurement.findings(case) for case in cases] for cases in self._cases]
        labels = tuple(dict.fromkeys(finding.label for three in told for each in three for finding in each))
        table = np.array([[self._row(labels, each) for each in three] for three in told])
        slack = np.array([[self._slack(labels, three[1])] for three in told])[:, 0]
        if not labels:
            empty = np.zeros((len(self.suspects), 0))
            return Predicted((), empty, empty, empty)
        return Predicted(labels, table.min(axis=1) - slack, table.max(axis=1) + slack, table[:, 1])

    def _row(self, labels: tuple[str, ...], findings: tuple[Finding, ...]) -> list[float]:
        by_label = {finding.label: finding for finding in findings}
        return [self._number(by_label.get(label)) for label in labels]

    def _number(self, finding: Finding | None) -> float:
        """A word, or a missing finding, as a number far away that no other word has."""
        if finding is None or isinstance(finding.value, str):
            word = finding.value if finding else ""
            return self._codes.setdefault(str(word), 1e12 * (len(self._codes) + 1))
        return finding.value

    def _slack(self, labels: tuple[str, ...], findings: tuple[Finding, ...]) -> list[float]:
        by_label = {finding.label: finding for finding in findings}
        return [by_label[label].resolution if label in by_label else 0.0 for label in labels]

    def agreeing(self, name: str, truth: int) -> Mask:
        """Which suspects would show what is found when one of them is the truth."""
        found = self.predicted(name)
        inside = (found.lows <= found.middles[truth]) & (found.middles[truth] <= found.highs)
        agreeing: Mask = inside.all(axis=1)
        return agreeing

    def information(self, name: str, left: Mask) -> float:
        """Bits that a measurement is expected to tell, the suspects `left` being possible."""
        here = np.flatnonzero(left)
        found = self.predicted(name)
        if here.size < 2 or not found.labels:
            return 0.0
        weights = self.weights[here] / self.weights[here].sum()
        middles, lows, highs = found.middles[here], found.lows[here], found.highs[here]
        agree = ((lows[None] <= middles[:, None]) & (middles[:, None] <= highs[None])).all(axis=2)
        return float(weights @ -np.log2(np.minimum(agree @ weights, 1.0)))


@dataclass(frozen=True)
class Advice:
    """A measurement with what it is expected to tell [bits] and what it takes with its preparation [min]."""

    measurement: Measurement
    bits: float
    minutes: float

    @property
    def rate(self) -> float:
        """Expected bits in a minute."""
        return self.bits / self.minutes


def best(situation: Situation, left: Mask, minutes: Mapping[str, float]) -> Advice | None:
    """The measurement that tells most in a minute; None where nothing tells any more.

    `minutes` gives what each takes from where things stand, preparations included.
    """
    offers = [
        Advice(measurement, situation.information(name, left), minutes[name])
        for name, measurement in situation.measurements.items()
    ]
    told = [each for each in offers if each.bits > 1e-9]
    return max(told, key=lambda each: (each.rate, -each.minutes), default=None)


def remaining(situation: Situation, left: Mask) -> dict[str, float]:
    """Faults that are still possible, by name, with their probability."""
    total = float(situation.weights[left].sum())
    found: dict[str, float] = {}
    for index in np.flatnonzero(left):
        each = situation.suspects[int(index)]
        found[each.fault.name] = found.get(each.fault.name, 0.0) + each.weight / total
    return found


def certain(situation: Situation, left: Mask) -> bool:
    """Whether one fault alone is left."""
    return len(remaining(situation, left)) == 1 and not math.isclose(float(left.sum()), 0.0)
