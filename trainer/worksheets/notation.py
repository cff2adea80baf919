"""The formula of an expression, as LaTeX with each value's name in angle brackets.

A worksheet written as data need not say its formulas twice: what is shown is what is worked.
"""

from __future__ import annotations

import ast
from collections.abc import Mapping
from typing import Any

from trainer.worksheets.expressions import NO_CONSTANTS, names_in, node, parse, with_constants
from trainer.worksheets.worksheet import Formula, Values

SUM, PRODUCT, SIGN, POWER, ATOM = range(5)
STRENGTH: Mapping[type[ast.AST], int] = {ast.Add: SUM, ast.Sub: SUM, ast.Mult: PRODUCT, ast.Div: ATOM, ast.Pow: POWER}
FENCED: Mapping[str, tuple[str, str]] = {
    "sqrt": (r"\sqrt{", "}"),
    "abs": (r"\left|", r"\right|"),
    "exp": (r"e^{", "}"),
    "log": (r"\ln(", ")"),
    "log10": (r"\log_{10}(", ")"),
    "sin": (r"\sin(", ")"),
    "min": (r"\min(", ")"),
    "max": (r"\max(", ")"),
}


class _NoFormula(Exception):
    """An expression that has no notation of its own, such as a calculation called by name."""


def formula(text: str, constants: Mapping[str, Any] = NO_CONSTANTS) -> Formula:
    """The formula of an expression; empty where it has none.

    Where the expression depends on a condition the formula does too, so it is then a function of the values.

    Examples
    --------
    >>> formula("(signal - 4) / 16 * span")
    '\\\\frac{<signal> - 4}{16} \\\\times <span>'
    """
    tree = parse(text)
    try:
        if not isinstance(tree, ast.IfExp):
            return _written(with_constants(tree, constants), SUM)
        then, other = (_written(with_constants(part, constants), SUM) for part in (tree.body, tree.orelse))
    except _NoFormula:
        return ""
    holds = node(ast.unparse(tree.test), constants)

    def branch(values: Values) -> str:
        return then if holds(values) else other

    return branch


def by_word(word: str, formulas: Mapping[str, str], constants: Mapping[str, Any] = NO_CONSTANTS) -> Formula:
    """One of several formulas, by the word that an expression gives.

    Examples
    --------
    >>> by_word("wires", {"two": "2 <lead>", "four": "0"})({"wires": "four"})
    '0'
    """
    found = node(word, constants)

    def one(values: Values) -> str:
        return formulas.get(str(found(values)), "")

    return one


def _written(tree: ast.expr, inside: int) -> str:
    text, strength = _parts(tree)
    return f"({text})" if strength < inside else text


def _parts(tree: ast.expr) -> tuple[str, int]:
    if isinstance(tree, ast.Name) and names_in(tree):
        return f"<{tree.id}>", ATOM
    if isinstance(tree, ast.Name) and tree.id == "pi":
        return r"\pi", ATOM
    if isinstance(tree, ast.Constant) and isinstance(tree.value, int | float):
        return _number(tree.value), ATOM
    if isinstance(tree, ast.UnaryOp) and isinstance(tree.op, ast.USub):
        return f"-{_written(tree.operand, SIGN)}", SIGN
    if isinstance(tree, ast.BinOp) and type(tree.op) in STRENGTH:
        return _operation(tree), STRENGTH[type(tree.op)]
    if isinstance(tree, ast.Call) and isinstance(tree.func, ast.Name) and tree.func.id in FENCED and not tree.keywords:
        opened, closed = FENCED[tree.func.id]
        return opened + ", ".join(_written(arg, SUM) for arg in tree.args) + closed, ATOM
    raise _NoFormula


def _operation(tree: ast.BinOp) -> str:
    if isinstance(tree.op, ast.Div):
        return rf"\frac{{{_written(tree.left, SUM)}}}{{{_written(tree.right, SUM)}}}"
    if isinstance(tree.op, ast.Pow):
        return f"{_written(tree.left, ATOM)}^{{{_written(tree.right, SUM)}}}"
    if isinstance(tree.op, ast.Mult):
        return rf"{_written(tree.left, PRODUCT)} \times {_written(tree.right, SIGN)}"
    sign = "+" if isinstance(tree.op, ast.Add) else "-"
    return f"{_written(tree.left, SUM)} {sign} {_written(tree.right, PRODUCT if sign == '-' else SUM)}"


def _number(value: Any) -> str:
    text = repr(value)
    if "e" not in text:
        return text.removesuffix(".0")
    digits, power = text.split("e")
    return rf"{digits.removesuffix('.0')} \times 10^{{{int(power)}}}"
