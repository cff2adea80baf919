"""A worked problem as a small calculation graph: givens, steps and slips.

Everything done with a problem is one evaluation of its graph, :meth:`Worksheet.solve`, with some node replaced:
by the learner's own earlier value (follow-through) or by a known wrong method (a slip).
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from trainer.errors import OutOfRange
from trainer.worksheets.kinds import Kind, Value, is_plain
from trainer.worksheets.tolerance import EXACT, Tolerance, absolute

Values = Mapping[str, Value]
Formula = str | Callable[[Values], str]
_NOTHING: Mapping[str, Any] = {}


class NotMade(Exception):
    """A slip that cannot be made with these numbers: its function gave None."""


@dataclass(frozen=True)
class Node:
    """A plain function and the names of the values it takes."""

    function: Callable[..., Any]
    arguments: tuple[str, ...]

    @classmethod
    def of(cls, function: Callable[..., Any]) -> Node:
        """Read the names of the arguments from the function itself."""
        return cls(function, tuple(inspect.signature(function).parameters))

    def __call__(self, values: Values) -> Any:
        """Work the node from the values it takes."""
        return self.function(*[values[name] for name in self.arguments])


@dataclass(frozen=True)
class Given:
    """A drawn input of a worksheet.

    ``unit`` is empty where the problem chooses it. A ``hidden`` given is drawn but never shown: others are worked
    out from it by their ``prepare`` function, as a reading is from a true temperature.
    """

    name: str
    title: str
    symbol: str = ""
    unit: str = ""
    kind: Kind = "number"
    options: tuple[str, ...] = ()
    hidden: bool = False
    decimals: int | None = None
    prepare: Node | None = None
    worksheet: Worksheet = field(kw_only=True, repr=False, compare=False)

    def slip(self, message: str, **options: Any) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
        """Declare a known wrong way to take this given; write it below the steps that take the given."""
        return self.worksheet.slip_of(self.name, message, **options)


@dataclass(frozen=True)
class Step:
    """One named result, with what a page needs to ask for it and to explain it.

    ``formula`` names values in angle brackets: ``r"\\frac{<current> - 4}{16}"``; ``rule`` says the same in words.
    ``unit`` may be "as lower" (the unit of that given) or "difference as lower". Learner values at or beyond the ends
    of ``possible`` are not followed up in later steps. ``over`` names the given whose entries label a row.
    """

    name: str
    title: str
    node: Node
    formula: Formula = ""
    rule: str = ""
    symbol: str = ""
    unit: str = ""
    kind: Kind = "number"
    options: tuple[str, ...] = ()
    over: str = ""
    tolerance: Tolerance = EXACT
    decimals: int | None = None
    possible: tuple[float, float] | None = None
    ask_unit: bool = False
    skill: str = ""
    worksheet: Worksheet = field(kw_only=True, repr=False, compare=False)

    def __call__(self, *args: Any, **named: Any) -> Any:
        """Work the step as the plain function it is."""
        return self.node.function(*args, **named)

    def slip(self, message: str, **options: Any) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
        """Declare a known wrong method for this step, with one sentence that helps."""
        return self.worksheet.slip_of(self.name, message, **options)


@dataclass(frozen=True)
class Slip:
    """A known wrong method: nodes replaced, the step where it shows first, one helpful sentence.

    ``coincides`` declares that its value may lie near the right one or another slip's; it is then not named.
    """

    name: str
    step: str
    message: str
    replaces: Mapping[str, Node]
    coincides: bool = False


@dataclass(frozen=True)
class FigureUse:
    """The figure of a worksheet and which values go into it; those that are steps only in the solved form."""

    name: str
    values: Mapping[str, str]


class Worksheet:
    """A calculation graph, built by decorators or from data, then only read."""

    def __init__(
        self,
        name: str,
        title: str,
        skill: str,
        *,
        version: int = 1,
        figure: FigureUse | None = None,
        cautions: tuple[str, ...] = (),
        sources: tuple[str, ...] = (),
    ) -> None:
        self.name, self.title, self.skill, self.version = name, title, skill, version
        self.figure, self.cautions, self.sources = figure, cautions, sources
        self.givens: dict[str, Given] = {}
        self.steps: dict[str, Step] = {}
        self.slips: dict[str, Slip] = {}
        self.refusals: list[Node] = []
        self.constants: dict[str, Any] = {}  # what the expressions of a bank may name besides
        self.bank = ""  # the question bank that defines it, if one does

    def __repr__(self) -> str:
        return f"Worksheet({self.name!r})"

    # Building

    def given(self, name: str, title: str, **options: Any) -> Given:
        """Declare a drawn input."""
        given = Given(name, title, worksheet=self, **options)
        self._check_new(name, given.prepare)
        self.givens[name] = given
        return given

    def prepared(self, title: str, **options: Any) -> Callable[[Callable[..., Any]], Given]:
        """Declare a given that is worked out from those drawn before it."""

        def declare(function: Callable[..., Any]) -> Given:
            return self.given(function.__name__, title, prepare=Node.of(function), **options)

        return declare

    def step(self, title: str, **options: Any) -> Callable[[Callable[..., Any]], Step]:
        """Declare the next step; the function's name is the step's, its arguments are givens or earlier steps."""

        def declare(function: Callable[..., Any]) -> Step:
            if isinstance(options.get("tolerance"), int | float):
                options["tolerance"] = absolute(options["tolerance"])
            return self.add_step(options.pop("name", function.__name__), title, Node.of(function), **options)

        return declare

    def slip_of(
        self, replaced: str, message: str, *, name: str = "", coincides: bool = False
    ) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
        """Declare a slip that replaces one node: the step itself, or a given as the first step that takes it."""

        def declare(function: Callable[..., Any]) -> Callable[..., Any]:
            self.add_slip_of(replaced, message, name or function.__name__, Node.of(function), coincides)
            return function

        return declare

    def slip(self, message: str, name: str, step: str, coincides: bool = False, **replaces: Callable[..., Any]) -> Slip:
        """Declare a slip that replaces any nodes and shows first at a step."""
        nodes = {node: Node.of(function) for node, function in replaces.items()}
        return self.add_slip(message, name, step, nodes, coincides)

    def add_step(self, name: str, title: str, node: Node, **options: Any) -> Step:
        """Add the next step from its node."""
        step = Step(name, title, node, skill=options.pop("skill", self.skill), worksheet=self, **options)
        self._check_new(name, node)
        self.steps[name] = step
        return step

    def share_step(self, step: Step) -> Step:
        """Add a step of another worksheet as the next one, with the slips that replace it alone."""
        of_other = step.worksheet
        self._check_new(step.name, step.node)
        skill = self.skill if step.skill == of_other.skill else step.skill
        self.steps[step.name] = replace(step, skill=skill, worksheet=self)
        for slip in of_other.slips.values():
            if set(slip.replaces) == {step.name}:
                self.add_slip(slip.message, slip.name, step.name, slip.replaces, slip.coincides)
        return self.steps[step.name]

    def add_slip_of(self, replaced: str, message: str, name: str, node: Node, coincides: bool = False) -> Slip:
        """Add a slip of one step, or of a given at the first step that takes it."""
        takers = [step.name for step in self.steps.values() if replaced in (step.name, *step.node.arguments)]
        if not takers:
            raise ValueError(f"{self.name}: no step takes {replaced}")
        return self.add_slip(message, name, takers[0], {replaced: node}, coincides)

    def add_slip(self, message: str, name: str, step: str, nodes: Mapping[str, Node], coincides: bool = False) -> Slip:
        """Add a slip that replaces any nodes and shows first at a step."""
        if name in self.slips:
            raise ValueError(f"{self.name}: slip {name} is declared twice")
        if step not in self.steps:
            raise ValueError(f"{self.name}: slip {name} shows at {step}, which is no step")
        for replaced, node in nodes.items():
            self._check_replaced(name, replaced, node)
        self.slips[name] = Slip(name, step, message, nodes, coincides)
        return self.slips[name]

    def refuse(self, function: Callable[..., bool | None]) -> Callable[..., bool | None]:
        """Declare a condition over givens and steps under which a draw teaches badly.

        It holds, or it raises OutOfRange, whose sentence then says why.
        """
        self.refusals.append(Node.of(function))
        return function

    def _check_new(self, name: str, node: Node | None) -> None:
        if name in self.givens or name in self.steps or name in self.constants:
            raise ValueError(f"{self.name}: {name} is declared twice")
        self._check_arguments(name, node)

    def _check_arguments(self, name: str, node: Node | None) -> None:
        for argument in node.arguments if node else ():
            if argument not in self.givens and argument not in self.steps:
                raise ValueError(f"{self.name}: {name} takes {argument}, which is no given or earlier step")

    def _check_replaced(self, name: str, replaced: str, node: Node) -> None:
        """A slip takes what is known where the node it replaces is worked: givens, and steps before that node."""
        if replaced not in self.givens and replaced not in self.steps:
            raise ValueError(f"{self.name}: slip {name} replaces {replaced}, which is no given or step")
        self._check_arguments(name, node)
        order = list(self.steps)
        known = order[: order.index(replaced)] if replaced in self.steps else []
        for argument in node.arguments:
            if argument in self.steps and argument not in known:
                raise ValueError(f"{self.name}: slip {name} takes {argument}, which is worked later than {replaced}")

    # Reading

    @property
    def answer(self) -> Step:
        """The last step: what the problem asks for in the end."""
        return next(reversed(self.steps.values()))

    def solve(
        self, givens: Values, pinned: Values = _NOTHING, replaced: Mapping[str, Node] = _NOTHING
    ) -> dict[str, Any]:
        """Work every step from the givens.

        ``pinned`` holds values that stand for a step, such as the learner's own; ``replaced`` holds nodes that stand
        for a given or a step, such as those of a slip.

        Raises
        ------
        NotMade
            A replacing node gave None: it cannot be with these numbers.
        """
        return dict(self._worked(givens, pinned, replaced))

    def _worked(self, givens: Values, pinned: Values, replaced: Mapping[str, Node]) -> Iterator[tuple[str, Any]]:
        """Every given and step with its value, in order."""
        values: dict[str, Any] = dict(givens)
        values.update({name: node(givens) for name, node in replaced.items() if name in givens})
        yield from _made(values)
        for name, step in self.steps.items():
            values[name] = pinned[name] if name in pinned else replaced.get(name, step.node)(values)
            yield from _made({name: values[name]})

    def solve_slip(self, slip: Slip, givens: Values, pinned: Values = _NOTHING) -> dict[str, Any] | None:
        """Work the steps with the slip made, as far as its value can be carried on.

        None where the slip cannot be made with these numbers, or has no value at its own step.
        """
        values: dict[str, Any] = {}
        try:
            for name, value in self._worked(givens, pinned, slip.replaces):
                if not is_plain(value):
                    break
                values[name] = value
        except NotMade:
            return None
        except (OutOfRange, ArithmeticError):
            pass  # the steps from here on have no value
        return values if slip.step in values else None

    def needs(self, step: str) -> tuple[str, ...]:
        """The earlier steps that a step is worked from, directly or not, in order."""
        wanted = {step}
        for name in reversed(self.steps):
            if name in wanted:
                wanted.update(argument for argument in self.steps[name].node.arguments if argument in self.steps)
        return tuple(name for name in self.steps if name in wanted - {step})


def _made(values: Values) -> Iterator[tuple[str, Any]]:
    for name, value in values.items():
        if value is None:
            raise NotMade(name)
        yield name, value
