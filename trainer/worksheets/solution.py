"""Formulas of a worked solution, in symbols and with the numbers put in, as LaTeX."""

from __future__ import annotations

import re

from trainer.units import format_number, format_quantity
from trainer.worksheets.snapshot import KeptGiven, KeptStep, Snapshot

NAME = re.compile(r"<(\w+)>")
TROUBLE = re.compile(r"[^\w .,-]")  # what has a meaning in formulas


def in_symbols(snapshot: Snapshot, step: KeptStep) -> str:
    """The formula of a step, left side included, in symbols."""
    return _written(step, NAME.sub(lambda match: _symbol(_node(snapshot, match[1])), step.formula))


def with_numbers(snapshot: Snapshot, step: KeptStep, decimal: str = ".") -> str:
    """The formula of a step with the true values put in; negative ones in parentheses, but for the first.

    A row is worked alike in every cell: it is shown for its second one, named before it and with its result, since
    the first is often at nothing, where the method does not show.
    """
    cell = min(1, len(step.value) - 1) if step.kind == "row" else None
    nodes = [_node(snapshot, name) for name in NAME.findall(step.formula)]

    def put_in(match: re.Match[str]) -> str:
        text = _number(_node(snapshot, match[1]), cell, decimal)
        return f"({text})" if text.startswith("-") and match.start() > 0 else text

    worked = _written(step, NAME.sub(put_in, step.formula))
    if cell is None or all(node.kind != "row" for node in nodes):
        return worked
    return rf"\text{{{_place(snapshot, step, cell, decimal)}: }} {worked} = {_number(step, cell, decimal)}"


def _node(snapshot: Snapshot, name: str) -> KeptGiven | KeptStep:
    nodes: dict[str, KeptGiven | KeptStep] = {node.name: node for node in snapshot.givens}
    nodes.update((step.name, step) for step in snapshot.steps)
    return nodes[name]


def _symbol(node: KeptGiven | KeptStep) -> str:
    return node.symbol or rf"\text{{{node.title}}}"


def _number(node: KeptGiven | KeptStep, cell: int | None, decimal: str) -> str:
    """A value, or the one in a cell of a row; a row as a whole stays a symbol."""
    if node.kind == "row":
        return _symbol(node) if cell is None else _figures(node.value[cell], node.decimals, decimal)
    return _figures(node.value, node.decimals, decimal) if node.kind == "number" else rf"\text{{{node.value}}}"


def _figures(value: float, decimals: int, decimal: str) -> str:
    text = format_number(value, decimals, decimal).replace("\N{MINUS SIGN}", "-")
    # Formulas know the point as part of a number, the comma only between two: as text it stays whole.
    return text if decimal == "." else re.sub(r"[0-9]+,[0-9]+", r"\\text{\g<0>}", text)


def _place(snapshot: Snapshot, step: KeptStep, cell: int, decimal: str) -> str:
    """What stands over a cell of a row, or its number."""
    over = next((given for given in snapshot.givens if given.name == step.over), None)
    if over is None:
        return f"{cell + 1}"
    if over.kind != "row":
        return TROUBLE.sub("", str(over.value[cell]))
    return format_quantity(over.value[cell], over.decimals, over.unit, decimal).replace("%", r"\%")


def _written(step: KeptStep, right: str) -> str:
    return f"{_symbol(step)} = {right}" if right else ""
