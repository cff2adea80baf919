"""A figure to test with: what is given, what is asked, and the answers that its open form must not show."""

from dataclasses import dataclass
from typing import Any

from trainer.figures import Plain


@dataclass(frozen=True)
class Case:
    """A figure with what is given and what is asked of it."""

    name: str
    given: dict[str, Plain]
    asked: dict[str, Plain]
    answers: tuple[str, ...]

    @property
    def solved(self) -> dict[str, Plain]:
        return self.given | self.asked


def value(number: Any, unit: str = "", decimals: int = 0, title: str = "") -> Plain:
    """A value with the decimals that a problem would show it with."""
    return Plain(number, unit, decimals, title)
