"""What can go wrong, said so that the person who caused it can mend it."""

from __future__ import annotations


class TrainerError(Exception):
    """A fault of input or surroundings, told in one sentence without a traceback."""


class OutOfRange(TrainerError, ValueError):
    """A quantity outside the range in which a calculation is defined.

    Examples
    --------
    >>> print(OutOfRange("temperature", 850.1, -200, 850, "°C"))
    temperature 850.1 °C is outside -200 to 850 °C
    """

    def __init__(self, quantity: str, value: float, lowest: float, highest: float, unit: str = "") -> None:
        self.quantity, self.value, self.lowest, self.highest, self.unit = (
            quantity,
            value,
            lowest,
            highest,
            unit,
        )
        tail = f" {unit}" if unit else ""
        super().__init__(f"{quantity} {value:.10g}{tail} is outside {lowest:g} to {highest:g}{tail}")


class NotFound(TrainerError):
    """A name that stands for nothing: a problem, a lesson, an attempt."""


class Conflict(TrainerError):
    """A request that came too late, twice or out of order."""


class ContentError(TrainerError):
    """Faults in question banks or lessons, all of them at once."""

    def __init__(self, faults: list[str]) -> None:
        self.faults = faults
        super().__init__("\n".join(faults))
