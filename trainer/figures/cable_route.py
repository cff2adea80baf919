"""A signal cable beside line voltage, seen from above: the meters alongside ask for separation, a crossing does not."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.figures.inputs import Inputs
from trainer.language import gettext

if TYPE_CHECKING:
    from trainer.figures.style import Sheet

LOUD, QUIET = 206.0, 108.0  # heights of the two trays, in points
LEFT, RIGHT, CROSSING, MIDDLE = 60.0, 330.0, 400.0, 120.0


def _separation(inputs: Inputs) -> float:
    """The least, and more for each meter alongside [mm]."""
    more = inputs.number("per_meter") * inputs.number("alongside", "m")
    return inputs.known("separation", "mm") or inputs.number("least", "mm") + more


def _needed(inputs: Inputs) -> str:
    return inputs.show(_separation(inputs), 0, "mm")


def _rule(inputs: Inputs) -> str:
    return gettext("{least} + {meters} × {more}").format(
        least=inputs.quantity("least", "mm"),
        meters=inputs.show(inputs.number("alongside", "m"), inputs["alongside"].decimals),
        more=inputs.show(inputs.number("per_meter"), inputs["per_meter"].decimals, "mm"),
    )


def words(inputs: Inputs, solved: bool) -> str:
    """The run alongside, the rule, and in the solved form the separation."""
    told = [
        gettext("A signal cable runs {meters} alongside a tray of line voltage.").format(
            meters=inputs.quantity("alongside", "m")
        ),
        gettext("The site rule asks for {rule}.").format(rule=_rule(inputs)),
        gettext("Another cable crosses the tray at a right angle: no meter alongside."),
    ]
    if not solved:
        return " ".join([*told, gettext("The separation is asked.")])
    return " ".join([*told, gettext("Separation: {x}.").format(x=_needed(inputs))])


def draw(sheet: Sheet, inputs: Inputs, solved: bool) -> None:
    """Draw both cables with the separation between them."""
    board, heads = sheet.board(), "<|-|>,head_width=0.3,head_length=0.6"
    middle: dict[str, Any] = {"va": "center"}
    ys = [LOUD - 11, LOUD - 11, LOUD + 11, LOUD + 11]
    board.fill([10, 452, 452, 10], ys, facecolor=sheet.theme.fill, edgecolor=sheet.theme.ink, linewidth=2.0, hatch="//")
    sheet.text(board, 14, LOUD + 28, gettext("line voltage: pumps, drives"), **middle)
    sheet.line(board, [LEFT - 44, LEFT, RIGHT, RIGHT + 26], [44, QUIET, QUIET, 44], sheet.theme.ink)
    sheet.text(board, RIGHT - 4, QUIET + 16, gettext("signals"), ha="right", **middle)
    sheet.line(board, [CROSSING] * 2, [20, 252], sheet.theme.ink, linestyle="--", zorder=4)
    crossing = gettext("crossing\nat 90°: 0 m")
    ground = {"facecolor": sheet.theme.sheet, "edgecolor": "none", "pad": 2}
    sheet.text(board, 454, 148, crossing, sheet.theme.quiet, ha="right", bbox=ground, zorder=5, **middle)
    sheet.arrow(board, (MIDDLE, QUIET + 2), (MIDDLE, LOUD - 13), sheet.theme.answer, arrowstyle=heads)
    told = _needed(inputs) if solved else "? mm"
    sheet.text(board, MIDDLE + 10, (LOUD + QUIET) / 2 + 4, told, sheet.theme.answer, weight="bold", **middle)
    sheet.arrow(board, (LEFT, QUIET - 16), (RIGHT, QUIET - 16), sheet.theme.known, arrowstyle=heads)
    along = gettext("{x} alongside").format(x=inputs.quantity("alongside", "m"))
    style: dict[str, Any] = {"ha": "center", "va": "center"}
    sheet.text(board, (LEFT + RIGHT) / 2, QUIET - 34, along, sheet.theme.known, **style)
    rule = f"{_rule(inputs)} = {_needed(inputs)}" if solved else _rule(inputs)
    sheet.text(board, (LEFT + RIGHT) / 2, 20, rule, **style)
