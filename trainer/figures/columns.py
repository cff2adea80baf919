"""Words in lines and columns, as drawings of records and of orders of work have them."""

from __future__ import annotations

import re

from trainer.errors import TrainerError
from trainer.figures.inputs import Inputs
from trainer.language import gettext

NUMBER = re.compile(r"(?<=\d)\.(?=\d)")
BASE = 5.8  # from the middle of a line down to where its letters stand, in points


def texts(inputs: Inputs, name: str, most: int) -> tuple[str, ...]:
    """A row of words in the language in use, the numbers in them with the decimal mark in use."""
    entries = inputs.words(name)
    if not 0 < len(entries) <= most:
        raise TrainerError(f"figure '{inputs.figure}' takes 1 to {most} lines, {name} has {len(entries)}")
    return tuple(NUMBER.sub(inputs.decimal, gettext(entry) if entry else "") for entry in entries)


def alike(inputs: Inputs, *names: str) -> None:
    """Refuse rows of different lengths."""
    lengths = [len(inputs[name].value) for name in names if name in inputs]
    if len(set(lengths)) > 1:
        raise TrainerError(f"figure '{inputs.figure}' takes rows of one length: {', '.join(names)}")


def heights(count: int, top: float, low: float, highest: float) -> list[float]:
    """Middles of so many lines from the top down, none of them higher than the highest, in points."""
    line = min((top - low) / count, highest)
    return [top - line * (number + 0.5) for number in range(count)]
