"""Steps and slips written as arithmetic: parsed to a tree, checked against a short list, never evaluated as code.

An expression is built once into nested functions of its values, so that a worksheet written as data works as fast as
one written in Python. There are no loops, and a dot reaches nothing but the calculations and the parts of what they
give; numbers, texts and rows cannot grow without end: so that working an expression is bounded by its length.
"""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Mapping
from difflib import get_close_matches
from typing import Any, TypeGuard

import numpy as np

from trainer.errors import TrainerError
from trainer.worksheets.functions import CELLS_AT_MOST, FUNCTIONS
from trainer.worksheets.vocabulary import CALCULATIONS
from trainer.worksheets.worksheet import Node

LENGTH_AT_MOST = 600
NODES_AT_MOST = 200
CALLS_AT_MOST = 30
LARGEST_WHOLE = 2**63

Work = Callable[[tuple[Any, ...]], Any]


def _sum(a: Any, b: Any) -> Any:
    """Texts and rows are not put together: in steps that double them they would grow without end."""
    if isinstance(a, str | tuple):
        raise TypeError("only numbers can be added")
    return a + b


def _product(a: Any, b: Any) -> Any:
    """The product of numbers; a whole one that has become too long to be exact is none."""
    if isinstance(a, str | tuple) or isinstance(b, str | tuple):
        raise TypeError("only numbers can be multiplied")
    result = a * b
    if isinstance(result, int) and abs(result) > LARGEST_WHOLE:
        raise OverflowError("too large a whole number")
    return result


def _power(a: Any, b: Any) -> Any:
    """A power of floats, which is worked at once whatever its size."""
    result = (float(a) if isinstance(a, int) else a) ** b
    if isinstance(result, complex):
        raise ArithmeticError("no root of a negative number")
    return result


OPERATORS: Mapping[type[ast.AST], Callable[..., Any]] = {
    ast.Add: _sum,
    ast.Sub: operator.sub,
    ast.Mult: _product,
    ast.Div: operator.truediv,
    ast.Pow: _power,
    ast.USub: operator.neg,
    ast.UAdd: operator.pos,
    ast.Not: operator.not_,
    ast.Eq: operator.eq,
    ast.NotEq: operator.ne,
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
    ast.In: lambda a, b: a in b,
    ast.NotIn: lambda a, b: a not in b,
}
KNOWN: Mapping[str, Any] = {**FUNCTIONS, **CALCULATIONS}
NAMES: Mapping[str, Any] = {"none": None, "pi": math.pi}
# What calculations give, and has parts: a tolerance class its base, a scaling its slope. A whole number has parts, too,
# but some of them give as many bytes as they are asked for.
CLASSES = frozenset(
    value for value in CALCULATIONS.values() if isinstance(value, type) and not issubclass(value, Exception | int)
)
NO_CONSTANTS: Mapping[str, Any] = {}


class ExpressionFault(TrainerError):
    """An expression that cannot be used, and why."""


def parse(text: str) -> ast.expr:
    """The tree of an expression.

    Raises
    ------
    ExpressionFault
        It is too long, no expression, or uses what is not on the list.
    """
    if len(text) > LENGTH_AT_MOST:
        raise ExpressionFault(f"an expression has at most {LENGTH_AT_MOST} characters, this one has {len(text)}")
    try:
        tree = ast.parse(" ".join(text.split()), mode="eval").body
    except (SyntaxError, ValueError, MemoryError, RecursionError) as fault:
        where = f" near column {fault.offset}" if isinstance(fault, SyntaxError) and fault.offset else ""
        raise ExpressionFault(f"is no expression{where}") from None
    parts = list(ast.walk(tree))
    if len(parts) > NODES_AT_MOST:
        raise ExpressionFault(f"an expression has at most {NODES_AT_MOST} parts")
    if sum(isinstance(part, ast.Call) for part in parts) > CALLS_AT_MOST:
        raise ExpressionFault(f"an expression calls at most {CALLS_AT_MOST} functions")
    return tree


def node(text: str, constants: Mapping[str, Any] = NO_CONSTANTS) -> Node:
    """An expression as a node of the graph, with the names it takes; ``constants`` are put in for theirs.

    Examples
    --------
    >>> fraction = node("(signal - 4) / 16")
    >>> fraction.arguments, fraction({"signal": 11.2})
    (('signal',), 0.45)
    >>> node("next_size[size]", {"next_size": {"0.5": "0.75"}})({"size": "0.5"})
    '0.75'
    """
    tree = with_constants(parse(text), constants)
    names = tuple(dict.fromkeys(names_in(tree)))
    work = _build(tree, {name: place for place, name in enumerate(names)})
    if "each(" in text:
        return Node(_by_cells(work), names)
    return Node(lambda *values: work(values), names)


def _by_cells(work: Work) -> Callable[..., Any]:
    """Work with arrays, in which a division by zero is the error that it is with single numbers."""

    def worked(*values: Any) -> Any:
        with np.errstate(divide="raise", invalid="raise", over="raise"):
            return work(values)

    return worked


def with_constants(tree: ast.expr, constants: Mapping[str, Any]) -> ast.expr:
    """The tree with the values of constants in place of their names."""

    class Put(ast.NodeTransformer):
        def visit_Name(self, name: ast.Name) -> ast.expr:
            return ast.Constant(constants[name.id]) if name.id in constants else name

    return Put().visit(tree) if constants else tree


def names_in(tree: ast.expr) -> list[str]:
    """The values that a tree takes, in the order in which they are met."""
    if isinstance(tree, ast.Name):
        return [] if tree.id in NAMES else [tree.id]
    if isinstance(tree, ast.Attribute):
        return names_in(tree.value) if _is_part(tree) else []
    parts = ast.iter_child_nodes(tree)
    if isinstance(tree, ast.Call):
        owner = [tree.func.value] if _is_part(tree.func) else []
        parts = iter([*owner, *tree.args, *(keyword.value for keyword in tree.keywords)])
    return [name for part in parts if isinstance(part, ast.expr) for name in names_in(part)]


def _build(tree: ast.expr, places: Mapping[str, int]) -> Work:
    builder = BUILDERS.get(type(tree))
    if builder is None:
        raise ExpressionFault(f"{ast.unparse(tree)[:40]} is not allowed: only arithmetic, comparison and calculations")
    return builder(tree, places)


def _constant(tree: ast.Constant, places: Mapping[str, int]) -> Work:
    value: Any = tree.value
    if isinstance(value, tuple | Mapping):  # a constant of the worksheet: none is written so
        return lambda values: value
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ExpressionFault(f"{ast.unparse(tree)[:40]} is neither a number nor a word in quotes")
    try:
        kept = value if isinstance(value, str) else float(value)
    except OverflowError:
        raise ExpressionFault("a number is too large") from None
    return lambda values: kept


def _name(tree: ast.Name, places: Mapping[str, int]) -> Work:
    if tree.id in NAMES:
        constant = NAMES[tree.id]
        return lambda values: constant
    place = places[tree.id]
    return lambda values: values[place]


def _attribute(tree: ast.Attribute, places: Mapping[str, int]) -> Work:
    if not _is_part(tree) or tree.attr.startswith("_"):
        return _function(tree)
    owner, name = _build(tree.value, places), tree.attr
    return lambda values: _part(owner(values), name)


def _is_part(tree: ast.expr) -> TypeGuard[ast.Attribute]:
    """Whether a dot stands after what a calculation gave or a table holds, rather than within a name."""
    return (
        isinstance(tree, ast.Attribute)
        and isinstance(tree.value, ast.Call | ast.Subscript | ast.Attribute)
        and (not isinstance(tree.value, ast.Attribute) or _is_part(tree.value))
    )


def _part(owner: Any, name: str) -> Any:
    """A part of what a calculation gave; where that is none, so are its parts."""
    if owner is None:
        return None
    if type(owner) not in CLASSES:
        raise TypeError(f"{name} is no part of a calculation")
    return getattr(owner, name)


def _two_sided(tree: ast.BinOp, places: Mapping[str, int]) -> Work:
    work, left, right = _operator(tree.op), _build(tree.left, places), _build(tree.right, places)
    return lambda values: work(left(values), right(values))


def _one_sided(tree: ast.UnaryOp, places: Mapping[str, int]) -> Work:
    work, operand = _operator(tree.op), _build(tree.operand, places)
    return lambda values: work(operand(values))


def _and_or(tree: ast.BoolOp, places: Mapping[str, int]) -> Work:
    parts = [_build(part, places) for part in tree.values]
    decide = all if isinstance(tree.op, ast.And) else any
    return lambda values: decide(part(values) for part in parts)


def _compared(tree: ast.Compare, places: Mapping[str, int]) -> Work:
    terms = [_build(term, places) for term in (tree.left, *tree.comparators)]
    links = list(zip([_operator(op) for op in tree.ops], terms, terms[1:], strict=False))
    return lambda values: all(holds(left(values), right(values)) for holds, left, right in links)


def _chosen(tree: ast.IfExp, places: Mapping[str, int]) -> Work:
    test, then, other = (_build(part, places) for part in (tree.test, tree.body, tree.orelse))
    return lambda values: then(values) if test(values) else other(values)


def _called(tree: ast.Call, places: Mapping[str, int]) -> Work:
    find = _attribute(tree.func, places) if isinstance(tree.func, ast.Attribute) else _function(tree.func)
    args = [_build(arg, places) for arg in tree.args]
    if any(keyword.arg is None for keyword in tree.keywords):
        raise ExpressionFault("** is not allowed")
    named = {str(keyword.arg): _build(keyword.value, places) for keyword in tree.keywords}
    return lambda values: find(values)(
        *[arg(values) for arg in args], **{name: value(values) for name, value in named.items()}
    )


def _function(tree: ast.expr) -> Work:
    known = _known(ast.unparse(tree))
    return lambda values: known


def _row(tree: ast.Tuple, places: Mapping[str, int]) -> Work:
    cells = [_build(cell, places) for cell in tree.elts]
    return lambda values: _bounded(tuple([cell(values) for cell in cells]))


def _bounded(row: tuple[Any, ...]) -> tuple[Any, ...]:
    """A row as it is; rows in rows are two deep at most, and short."""
    inner = [cell for cell in row if isinstance(cell, tuple)]
    if inner:
        deeper = any(isinstance(each, tuple) for cell in inner for each in cell)
        if deeper or sum(map(len, inner)) > CELLS_AT_MOST:
            raise TypeError(f"rows in a row hold no rows, and at most {CELLS_AT_MOST} cells together")
    return row


def _cell(tree: ast.Subscript, places: Mapping[str, int]) -> Work:
    held, index = _build(tree.value, places), _build(tree.slice, places)

    def cell(values: tuple[Any, ...]) -> Any:
        """One cell of a row; of a table what stands for a word, which may be none."""
        row = held(values)
        return row.get(index(values)) if isinstance(row, Mapping) else row[int(index(values))]

    return cell


def _operator(kind: ast.AST) -> Callable[..., Any]:
    if type(kind) not in OPERATORS:
        raise ExpressionFault(f"{type(kind).__name__} is no operator here")
    return OPERATORS[type(kind)]


def _known(name: str) -> Any:
    """A function or constant by name, from the short list alone."""
    if name not in KNOWN:
        near = get_close_matches(name, KNOWN, 1)
        raise ExpressionFault(f"{name[:60]} is no calculation here" + (f"; did you mean {near[0]}?" if near else ""))
    return KNOWN[name]


BUILDERS: Mapping[type[ast.expr], Callable[[Any, Mapping[str, int]], Work]] = {
    ast.Constant: _constant,
    ast.Name: _name,
    ast.Attribute: _attribute,
    ast.BinOp: _two_sided,
    ast.UnaryOp: _one_sided,
    ast.BoolOp: _and_or,
    ast.Compare: _compared,
    ast.IfExp: _chosen,
    ast.Call: _called,
    ast.Tuple: _row,
    ast.Subscript: _cell,
}
