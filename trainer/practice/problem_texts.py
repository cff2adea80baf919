"""What stands in the boxes of a form for a problem: the way back from an entry to typed text."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from trainer.errors import TrainerError
from trainer.language import gettext
from trainer.practice.problem_forms import FIXED, ONE_OF, RANGE, SHARE, TABLES
from trainer.worksheets.draw import Choice, Fixed, Grid, Within
from trainer.worksheets.problem import Problem
from trainer.worksheets.worksheet import Worksheet


def texts_of(problem: Problem, decimal: str = ".") -> dict[str, str]:
    """What stands in the boxes for a problem.

    Raises
    ------
    TrainerError
        A given is drawn as rows of rows, for which there are no boxes.
    """
    texts = {
        "worksheet": problem.worksheet.name,
        "id": problem.id,
        "title": problem.title,
        "text": problem.text,
        "level": problem.level,
        "place": problem.place,
        "skill": problem.skill,
        "cautions": "\n".join(problem.cautions),
    }
    for name, own in problem.units.items():
        texts[f"unit-{name}"] = own
    for name, (low, high) in problem.keep.items():
        texts |= {f"keep-low-{name}": shown(low, decimal), f"keep-high-{name}": shown(high, decimal)}
    for name, tolerance in problem.tolerances.items():
        texts[f"tolerance-{name}"] = shown(tolerance, decimal)
    tables = 0
    for draw in problem.draws:
        if isinstance(draw, Choice) and len(draw.names) > 1:
            tables += 1
            texts |= _table_texts(draw, problem.worksheet, tables, decimal)
        else:
            texts |= _draw_texts(draw, decimal)
    return texts


def _draw_texts(draw: Any, decimal: str) -> dict[str, str]:
    if isinstance(draw, Fixed):
        return {f"how-{draw.name}": FIXED, f"value-{draw.name}": shown(draw.value, decimal)}
    if isinstance(draw, Choice):
        (name,) = draw.names
        return {f"how-{name}": ONE_OF, f"choose-{name}": "\n".join(shown(row[0], decimal) for row in draw.rows)}
    assert isinstance(draw, Grid | Within)  # noqa: S101  there are no others
    texts = {f"{key}-{draw.name}": shown(getattr(draw, key), decimal) for key in ("low", "high", "step")}
    zones = (gettext("{low} to {high}").format(low=shown(a, decimal), high=shown(b, decimal)) for a, b in draw.avoid)
    texts |= {f"how-{draw.name}": RANGE, f"avoid-{draw.name}": "; ".join(zones)}
    if isinstance(draw, Within):
        texts |= dict(zip((f"from-{draw.name}", f"to-{draw.name}"), draw.range, strict=True))
        texts[f"how-{draw.name}"] = SHARE
    return texts


def _table_texts(draw: Choice, sheet: Worksheet, number: int, decimal: str) -> dict[str, str]:
    """Rows with the columns in the order of the worksheet."""
    order = sorted(draw.names, key=list(sheet.givens).index)
    places = [draw.names.index(name) for name in order]
    rows = (" | ".join(shown(row[place], decimal) for place in places) for row in draw.rows)
    return {f"how-{name}": TABLES[number - 1] for name in order} | {f"rows-{number}": "\n".join(rows)}


def shown(value: Any, decimal: str = ".") -> str:
    """A value as it is typed.

    Examples
    --------
    >>> shown(12.50, ","), shown((4.0, 8.0)), shown(1e-07)
    ('12,5', '4; 8', '0.0000001')
    """
    if isinstance(value, tuple) and any(isinstance(each, tuple) for each in value):
        raise TrainerError(gettext("The form has no boxes for rows of rows: write this problem as the text of a bank."))
    if isinstance(value, tuple):
        return "; ".join(shown(each, decimal) for each in value)
    if isinstance(value, str):
        return value
    text = f"{Decimal(repr(float(value))):f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text).replace(".", decimal)
