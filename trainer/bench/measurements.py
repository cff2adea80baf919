"""What can be measured on a channel, how long it takes, and what it asks for before it may be done."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trainer.bench import loop_looks, record_looks, sensor_looks
from trainer.bench.instruments import LOOKS, Case, Finding, Findings, Look

Needs = Literal["", "powered", "isolated"]
REGISTERED = (sensor_looks, loop_looks, record_looks)  # importing them fills the list of looks

__all__ = ["LOOKS", "Case", "Finding", "Findings", "Look", "Measurement"]


@dataclass(frozen=True)
class Measurement:
    """A measurement that can be chosen: what, where, with what, how long, and what it needs.

    Attributes
    ----------
    name, title, place, instrument : str
        What it is, and the part of the channel where it is done.
    minutes : float
        How long it takes: a declared training value.
    needs : {'', 'powered', 'isolated'}
        The state of the loop it asks for.
    opens_loop : bool
        Whether it interrupts what the loop does, so that a bypass must be arranged first.
    unsafe : str
        Why it is stopped in the wrong state; empty where it is merely of no use.
    """

    name: str
    title: str
    place: str
    instrument: str
    minutes: float
    needs: Needs = ""
    opens_loop: bool = False
    unsafe: str = ""

    def __post_init__(self) -> None:
        if not self.minutes > 0.0:
            raise ValueError(f"a measurement takes its time, not {self.minutes:g} minutes")

    def findings(self, case: Case) -> Findings:
        """What it shows; nothing where the channel has no such point."""
        return LOOKS[self.name](case)
