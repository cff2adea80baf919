"""Which suspects are left after a measurement, and which measurement would tell most in a minute."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trainer.bench.faults import Suspect
from trainer.bench.measurements import Case, Findings, Measurement
from trainer.calculations.ranges import Array
from trainer.channel.simulation import Channel, Course

Mask = NDArray[np.bool_]
LEAST_BITS = 1e-9


@dataclass(frozen=True, eq=False)
class Predicted:
    """What a measurement would show for each suspect, arrays of shape (suspects, findings).

    Numbers as intervals (NaN where there is none), words as sets of bits; and the middle case: its number or its word.
    """

    labels: tuple[str, ...]
    lows: Array
    highs: Array
    words: NDArray[np.int64]
    middles: Array
    middle_words: NDArray[np.int64]

    def agree(self, numbers: Array, words: NDArray[np.int64]) -> Mask:
        """Which suspects (rows) could show what was found; shape (suspects,), or (found, suspects) for several."""
        numbers, words = numbers[..., None, :], words[..., None, :]
        # Not-a-number compares false, so a word never lies in an interval.
        inside = ((self.lows <= numbers) & (numbers <= self.highs)) | ((self.words & words) != 0)
        agreeing: Mask = inside.all(axis=-1)
        return agreeing


class Situation:
    """A rig with all that could be wrong with it, as far as a gauge tells where its process stands.

    Parameters
    ----------
    approved : Channel
        The healthy channel.
    suspects : sequence of Suspect
        All that could be wrong.
    measurements : sequence of Measurement
        All that can be measured.
    value, gauge : float
        Where the local gauge has the process, and how well it tells [unit of the process].
    unit : str
        Unit of the process.
    shift : Course
        A shift of running.
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
        self.approved, self.unit, self.shift = approved, unit, shift
        self.suspects = tuple(suspects)
        self.weights = np.array([each.weight for each in suspects])
        self.value, self.gauge = value, gauge
        around = (value - gauge, value, value + gauge)
        self._cases = [[self.case(each, at) for each in one.channels for at in around] for one in suspects]
        healthy = self.case(approved, value)
        self.measurements = {each.name: each for each in measurements if each.findings(healthy)}
        self._bits: dict[str, dict[str, int]] = {}
        self._predicted: dict[str, Predicted] = {}

    def case(self, channel: Channel, value: float) -> Case:
        """A channel of this situation with its process at a value [unit of the process].

        What the gauge is wrong by now it was wrong by over the shift too.
        """
        return Case(channel, self.approved, value, self.unit, self.shift.moved(value - self.value))

    def predicted(self, name: str) -> Predicted:
        """What a measurement would show for each suspect."""
        if name not in self._predicted:
            self._predicted[name] = self._predict(self.measurements[name])
        return self._predicted[name]

    def _predict(self, measurement: Measurement) -> Predicted:
        told = [[measurement.findings(case) for case in cases] for cases in self._cases]
        labels = tuple(dict.fromkeys(finding.label for each in told for one in each for finding in one))
        shape = (len(told), len(labels))
        lows, highs, middles = np.full(shape, math.inf), np.full(shape, -math.inf), np.full(shape, math.nan)
        words, middle_words = np.zeros(shape, np.int64), np.zeros(shape, np.int64)
        for row, each in enumerate(told):
            for findings in each:
                numbers, bits, slack = self._coded(labels, findings)
                lows[row] = np.fmin(lows[row], numbers - slack)
                highs[row] = np.fmax(highs[row], numbers + slack)
                words[row] |= bits
            # Where a range of sizes ends in a word, any number may come before it.
            mixed = (words[row] != 0) & (lows[row] < math.inf)
            lows[row, mixed], highs[row, mixed] = -math.inf, math.inf
            middles[row], middle_words[row], _ = self._coded(labels, each[len(each) // 2])
        return Predicted(labels, lows, highs, words, middles, middle_words)

    def _coded(self, labels: tuple[str, ...], findings: Findings) -> tuple[Array, NDArray[np.int64], Array]:
        """Findings as numbers, bits of words, and resolutions; one that is missing is a word of its own."""
        by_label = {finding.label: finding for finding in findings}
        numbers, bits = np.full(len(labels), math.nan), np.zeros(len(labels), np.int64)
        slack = np.zeros(len(labels))
        for index, label in enumerate(labels):
            finding = by_label.get(label)
            if finding is None or isinstance(finding.value, str):
                bits[index] = self._bit(label, str(finding.value) if finding else "")
            else:
                numbers[index], slack[index] = finding.value, finding.resolution + finding.doubt
        return numbers, bits, slack

    def _bit(self, label: str, word: str) -> int:
        """The bit of a word; each label has its own 62."""
        known = self._bits.setdefault(label, {})
        return 1 << min(known.setdefault(word, len(known)), 62)

    def agreeing(self, name: str, truth: Case) -> Mask:
        """Which suspects could show what a measurement finds in the true case."""
        predicted = self.predicted(name)
        findings = self.measurements[name].findings(truth)
        numbers, bits, _ = self._coded(predicted.labels, findings)
        return predicted.agree(numbers, bits)

    def information(self, name: str, left: Mask) -> float:
        """Bits that a measurement is expected to tell, the suspects `left` being possible."""
        here = np.flatnonzero(left)
        predicted = self.predicted(name)
        weights = self.weights[here] / self.weights[here].sum()
        agree = predicted.agree(predicted.middles[here], predicted.middle_words[here])[:, here]
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

    `minutes` gives what each of those not yet made takes from where things stand, preparations included.
    """
    if not left.any():
        return None
    offers = [
        Advice(situation.measurements[name], situation.information(name, left), each) for name, each in minutes.items()
    ]
    told = [each for each in offers if each.bits > LEAST_BITS]
    return max(told, key=lambda each: (each.rate, -each.minutes), default=None)


def remaining(situation: Situation, left: Mask) -> dict[str, float]:
    """Faults that are still possible, by name, with their probability."""
    total = float(situation.weights[left].sum())
    found: dict[str, float] = {}
    for index in np.flatnonzero(left):
        each = situation.suspects[int(index)]
        found[each.fault.name] = found.get(each.fault.name, 0.0) + each.weight / total
    return found
