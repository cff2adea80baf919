"""How a question bank draws the givens of a problem: a value, one of several, a range, rows drawn together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from trainer.content.faults import Faults
from trainer.worksheets.draw import Choice, Draw, Fixed, Grid, Within
from trainer.worksheets.worksheet import Given, Worksheet

DRAW_KEYS = ("low", "high", "step", "avoid", "of", "choose", "value")
LARGEST = 1e12
STEPS_AT_MOST = 1_000_000
KINDS = {"number": "is a number", "row": "is a list of numbers"}


def read_draws(entry: Mapping[str, Any], sheet: Worksheet, faults: Faults) -> tuple[Draw, ...]:
    """The draws of an entry of a bank, in order; what is wrong with them goes to ``faults``."""
    return tuple(_GivensReader(entry, sheet, faults).read())


def is_number(value: Any) -> bool:
    """Whether it is a number that a measurement can have; TOML knows inf, nan and numbers without end too."""
    return isinstance(value, int | float) and not isinstance(value, bool) and -LARGEST <= value <= LARGEST


def is_pair(value: Any) -> bool:
    """Whether it is a list of two numbers, the first not above the second."""
    return _is_list(value, 2) and all(map(is_number, value)) and value[0] <= value[1]


class _GivensReader:
    """The tables ``together`` and ``givens`` of one problem."""

    def __init__(self, entry: Mapping[str, Any], sheet: Worksheet, faults: Faults) -> None:
        self.entry, self.sheet, self.faults = entry, sheet, faults
        self.drawn: set[str] = set()

    def read(self) -> Iterator[Draw]:
        for rows in self.entry.get("together", ()):
            if together := self._together(rows):
                yield together
        if "givens" not in self.entry:
            return  # told already
        for name, how in self.entry["givens"].items():
            if name not in self.sheet.givens:
                self.faults.name("givens", name, self.sheet.givens)
            elif name in self.drawn:
                self.faults.add(f"givens.{name}", how, "is drawn already in together")
            else:
                if draw := self._draw(self.sheet.givens[name], how):
                    yield draw
                self.drawn.add(name)
        for given in self.sheet.givens.values():
            if given.name not in self.drawn and given.prepare is None:
                self.faults.add(f"givens.{given.name}", "nothing", f"is required by worksheet {self.sheet.name}")

    def _together(self, rows: Any) -> Choice | None:
        if not isinstance(rows, dict) or set(rows) != {"givens", "rows"}:
            self.faults.add("together", rows, 'is written {givens = ["a", "b"], rows = [[1, 2], [3, 4]]}')
            return None
        names, table = rows["givens"], rows["rows"]
        if not isinstance(names, list) or not names or not all(isinstance(name, str) for name in names):
            self.faults.add("together.givens", names, "is a list of givens")
            return None
        before = len(self.faults.lines)
        for name in names:
            self._note_together(name)
        if not isinstance(table, list) or not table or not all(_is_list(row, len(names)) for row in table):
            self.faults.add("together.rows", table, f"is a list of rows with {len(names)} values each")
            return None
        for row in table:
            for name, value in zip(names, row, strict=True):
                if name in self.sheet.givens:
                    self._fits(f"together.{name}", value, self.sheet.givens[name])
        if len(self.faults.lines) > before:
            return None
        return Choice(tuple(names), tuple(tuple(map(_value, row)) for row in table))

    def _note_together(self, name: str) -> None:
        if name not in self.sheet.givens:
            self.faults.name("together.givens", name, self.sheet.givens)
        elif name in self.drawn:
            self.faults.add("together.givens", name, "is drawn already in together")
        self.drawn.add(name)

    def _draw(self, given: Given, how: Any) -> Draw | None:
        key, ways = f"givens.{given.name}", how if isinstance(how, dict) else {"value": how}
        self.faults.within(key).unknown(ways, DRAW_KEYS)
        fixed = [way for way in ("value", "choose") if way in ways]
        if fixed and len(set(ways) & set(DRAW_KEYS)) > 1:
            self.faults.add(key, how, "is a value, or choose with a list, or low, high and step: one of them")
            return None
        if fixed:
            return self._chosen(key, ways["choose"] if "choose" in ways else [ways["value"]], given)
        if given.kind != "number" or not all(is_number(ways.get(end)) for end in ("low", "high", "step")):
            numbers = "numbers low, high and step, or " if given.kind == "number" else ""
            self.faults.add(key, how, f"needs {numbers}choose, or value")
            return None
        low, high, step = ways["low"], ways["high"], ways["step"]
        if low >= high or step <= 0 or (high - low) / step > STEPS_AT_MOST:
            self.faults.add(key, how, f"needs low under high and a step above zero, at most {STEPS_AT_MOST} steps")
            return None
        return self._ranged(given.name, key, ways)

    def _chosen(self, key: str, values: Any, given: Given) -> Draw | None:
        if not isinstance(values, list) or not values:
            self.faults.add(key, values, "chooses from a list of values")
            return None
        sound = [self._fits(key, value, given) for value in values]
        rows = tuple((_value(value),) for value in values)
        if not all(sound):
            return None
        return Choice((given.name,), rows) if len(rows) > 1 else Fixed(given.name, rows[0][0])

    def _fits(self, key: str, value: Any, given: Given) -> bool:
        """Whether a value is of the kind of the given; if not, the fault is told."""
        if given.options:
            cells = value if isinstance(value, list) and given.kind != "choice" else [value]
            strange = [cell for cell in cells if cell not in given.options]
            if strange:
                self.faults.name(key, strange[0], given.options)
            return not strange
        if given.kind == "row":
            fits = isinstance(value, list) and bool(value) and all(map(is_number, value))
        else:
            fits = is_number(value) if given.kind == "number" else isinstance(value, str | list)
        if not fits:
            self.faults.add(key, value, KINDS.get(given.kind, "is text"))
        return fits

    def _ranged(self, name: str, key: str, how: Mapping[str, Any]) -> Draw | None:
        avoid, low, high = how.get("avoid", []), how["low"], how["high"]
        if not isinstance(avoid, list) or not all(map(is_pair, avoid)):
            self.faults.add(f"{key}.avoid", avoid, "is a list of [from, to], from not above to")
            return None
        zones = tuple((float(a), float(b)) for a, b in avoid)
        fine = (high - low) / 1000 if "of" in how else how["step"]
        if not Grid(name, low, high, fine, zones).runs:
            self.faults.add(key, how, "leaves no value outside the zones to avoid")
            return None
        if "of" not in how:
            return Grid(name, low, high, how["step"], zones)
        ends = how["of"]
        numbers = [given for given in self.drawn if given in self.sheet.givens]
        numbers = [given for given in numbers if self.sheet.givens[given].kind == "number"]
        if not _is_list(ends, 2) or not all(end in numbers for end in ends):
            self.faults.add(f"{key}.of", ends, "names two givens drawn before it")
            return None
        return Within(name, (ends[0], ends[1]), low, high, how["step"], zones)


def _is_list(value: Any, length: int) -> bool:
    return isinstance(value, list) and len(value) == length


def _value(value: Any) -> Any:
    """Numbers as floats, lists as tuples of them."""
    if isinstance(value, list):
        return tuple(map(_value, value))
    return float(value) if is_number(value) else value
