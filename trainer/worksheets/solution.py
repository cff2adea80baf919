"""Formulas of a worked solution, in symbols and with the numbers put in, as LaTeX."""

from __future__ import annotations

import re

from trainer.units import format_number
from trainer.worksheets.snapshot import KeptGiven, KeptStep, Snapshot

NAME = re.compile(r"<(\w+)>")


def in_symbols(snapshot: Snapshot, step: KeptStep) -> str:
    """The formula of a step, left side included, in symbols."""
    return _written(step, NAME.sub(lambda match: _symbol(_node(snapshot, match[1])), step.formula))


def with_numbers(snapshot: Snapshot, step: KeptStep, decimal: str = ".") -> str:
    """The formula of a step with the true values put in; negative ones in parentheses, but for the first."""

    def put_in(match: re.Match[str]) -> str:
        text = _number(_node(snapshot, match[1]), decimal)
        return f"({text})" if text.startswith("-") and match.start() > 0 else text

    return _written(step, NAME.sub(put_in, step.formula))


def _node(snapshot: Snapshot, name: str) -> KeptGiven | KeptStep:
    nodes: dict[str, KeptGiven | KeptStep] = {node.name: node for node in snapshot.givens}
    nodes.update((step.name, step) for step in snapshot.steps)
    return nodes[name]


def _symbol(node: KeptGiven | KeptStep) -> str:
    return node.symbol or rf"\text{{{node.title}}}"


def _number(node: KeptGiven | KeptStep, decimal: str) -> str:
    if node.kind != "number":
        return rf"\text{{{node.value}}}"
    text = format_number(node.value, node.decimals, decimal).replace("\N{MINUS SIGN}", "-")
    # Formulas know the point as part of a number, the comma only between two: as text it stays whole.
    return text if decimal == "." else re.sub(r"[0-9]+,[0-9]+", r"\\text{\g<0>}", text)


def _written(step: KeptStep, right: str) -> str:
    return f"{_symbol(step)} = {right}" if right else ""
