"""Formulas for paper: the MathML of the pages laid out as boxes of letters and lines."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from xml.etree import ElementTree as ET  # reads what the program itself has written, from a list of elements

from trainer.content.formulas import mathml
from trainer.exchange.pdf_pen import Face, Pen

SMALLER, SMALLEST = 0.72, 5.0  # of subscripts; in points
AXIS, ASCENT, DESCENT = 0.31, 0.76, 0.24  # of the size
LINE = 0.05
RELATIONS = frozenset("=≈≤≥<>→⇒≠")
SIGNS = frozenset("+−±×·÷/")
TALL = frozenset("()[]|⌊⌋{}")
OVER = frozenset("¯‾→^~")


@dataclass(frozen=True)
class Letters:
    """A text at a place right of and below the box's base point."""

    x: float
    y: float
    text: str
    face: Face
    size: float


@dataclass(frozen=True)
class Strokes:
    """A line through points."""

    points: tuple[tuple[float, float], ...]
    wide: float


@dataclass(frozen=True)
class Box:
    """What is laid out: its width, its height above and below the base line, and the marks in it."""

    width: float
    up: float
    down: float
    marks: tuple[Letters | Strokes, ...] = ()

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.up + self.down

    def moved(self, x: float, y: float) -> tuple[Letters | Strokes, ...]:
        """Its marks elsewhere."""
        return tuple(
            replace(mark, x=mark.x + x, y=mark.y + y)
            if isinstance(mark, Letters)
            else replace(mark, points=tuple((px + x, py + y) for px, py in mark.points))
            for mark in self.marks
        )

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Put it on the page with its base point at a place."""
        for mark in self.moved(x, y):
            if isinstance(mark, Letters):
                pen.text(mark.x, mark.y, mark.text, mark.face, mark.size)
            else:
                pen.strokes(mark.points, mark.wide)


class Typesetter:
    """Lays formulas out with the letters of a pen; each is laid out once."""

    def __init__(self, pen: Pen) -> None:
        self._pen = pen
        self._known: dict[tuple[str, float], Box] = {}

    def formula(self, latex: str, size: float, widest: float = float("inf")) -> Box:
        """A formula, in smaller letters where it would be too wide."""
        box = self._formula(latex, size)
        while box.width > widest and size > SMALLEST:
            size = max(SMALLEST, min(size - 0.5, size * widest / box.width))
            box = self._formula(latex, size)
        return box

    def _formula(self, latex: str, size: float) -> Box:
        if (latex, size) not in self._known:
            self._known[latex, size] = self._box(ET.fromstring(mathml(latex)), size)  # noqa: S314 - our own markup
        return self._known[latex, size]

    def _box(self, element: ET.Element, size: float) -> Box:
        name = element.tag
        if name in ("mi", "mn", "mo", "mtext"):
            return self._word(element, size)
        if name == "mspace":
            return Box(float(element.get("width", "0em").removesuffix("em")) * size, 0, 0)
        made: dict[str, Callable[[ET.Element, float], Box]] = {
            "mfrac": self._fraction,
            "msqrt": self._root,
            "mroot": self._root,
            "msub": self._scripts,
            "msup": self._scripts,
            "msubsup": self._scripts,
            "munder": self._stack,
            "mover": self._stack,
            "munderover": self._stack,
            "mtable": self._table,
        }
        return made.get(name, self._row)(element, size)

    def _word(self, element: ET.Element, size: float) -> Box:
        text = element.text or ""
        upright = element.tag != "mi" or len(text) > 1 or element.get("mathvariant") == "normal" or not text.isalpha()
        face: Face = "plain" if upright else "slanted"
        width = self._pen.measure(text, face, size)
        return Box(width, ASCENT * size, DESCENT * size, (Letters(0, 0, text, face, size),))

    def _row(self, element: ET.Element, size: float) -> Box:
        boxes = [self._box(child, size) for child in element]
        inner = [box for child, box in zip(element, boxes, strict=True) if not _is_fence(child)]
        up, down = _reach(inner)
        parts: list[Box] = []
        before: ET.Element | None = None
        for child, box in zip(element, boxes, strict=True):
            if _is_fence(child) and up + down > 1.3 * size:
                box = self._fence(child.text or "", size, up, down)
            gap = _gap(child, before) * size
            parts.append(Box(gap + box.width + gap, box.up, box.down, box.moved(gap, 0)) if gap else box)
            if child.tag == "mi" and len(child.text or "") > 1:  # a name such as max is held off what it acts on
                parts.append(Box(0.12 * size, 0, 0))
            before = child
        return _beside(parts)

    def _fence(self, sign: str, size: float, up: float, down: float) -> Box:
        """A sign of parentheses stretched to what it holds."""
        wide, thick = 0.34 * size, LINE * size * 1.3
        bend = min(0.5 * size, (up + down) / 4)
        edge, belly = (0.28 * size, 0.08 * size) if sign in "([⌊{" else (0.06 * size, 0.26 * size)
        if sign in "()":
            third = (edge + belly) / 2
            points = [(edge, -up), (third, -up + bend / 2), (belly, -up + bend * 1.1), (belly, down - bend * 1.1)]
            points += [(third, down - bend / 2), (edge, down)]
        elif sign == "|":
            points = [(wide / 2, -up), (wide / 2, down)]
        else:
            points = [(edge, -up), (belly, -up), (belly, down), (edge, down)]
            points = points[1:] if sign in "⌊⌋" else points
        return Box(wide, up, down, (Strokes(tuple(points), thick),))

    def _fraction(self, element: ET.Element, size: float) -> Box:
        size = max(SMALLEST, size * 0.92)
        over, under = (self._box(child, size) for child in element)
        width, axis, gap = max(over.width, under.width) + 0.3 * size, -AXIS * size, 0.12 * size
        line = Strokes(((0.05 * size, axis), (width - 0.05 * size, axis)), LINE * size)
        top, bottom = axis - gap - over.down, axis + gap + under.up
        marks = over.moved((width - over.width) / 2, top) + under.moved((width - under.width) / 2, bottom)
        return Box(width, over.up - top, under.down + bottom, (*marks, line))

    def _root(self, element: ET.Element, size: float) -> Box:
        inner = self._box(element[0], size) if element.tag == "mroot" else self._row(element, size)
        lead, up, wide = 0.62 * size, inner.up + 0.1 * size, LINE * size
        hook = ((0.05 * size, -0.28 * size), (0.18 * size, -0.36 * size), (0.36 * size, inner.down))
        roof = ((lead - 0.06 * size, -up), (lead + inner.width + 0.08 * size, -up))
        width = lead + inner.width + 0.12 * size
        degree = self._box(element[1], SMALLER * size * 0.8).moved(0, -0.55 * size) if element.tag == "mroot" else ()
        return Box(width, up + wide, inner.down, (*inner.moved(lead, 0), Strokes(hook + roof, wide), *degree))

    def _scripts(self, element: ET.Element, size: float) -> Box:
        base, small = self._box(element[0], size), max(SMALLEST, SMALLER * size)
        scripts = [self._box(child, small) for child in element[1:]]
        lowered, raised = 0.2 * size, max(0.38 * size, base.up - 0.4 * size)
        places = {"msub": (lowered,), "msup": (-raised,), "msubsup": (lowered, -raised)}[element.tag]
        marks, up, down = list(base.marks), base.up, base.down
        for script, y in zip(scripts, places, strict=True):
            marks += script.moved(base.width + 0.05 * size, y)
            up, down = max(up, script.up - y), max(down, script.down + y)
        return Box(base.width + max(script.width for script in scripts) + 0.1 * size, up, down, tuple(marks))

    def _stack(self, element: ET.Element, size: float) -> Box:
        """Something over or under a base: a bar as a line, all else in small letters."""
        base = self._box(element[0], size)
        places = {"mover": (1,), "munder": (-1,), "munderover": (-1, 1)}[element.tag]
        marks, up, down = list(base.marks), base.up, base.down
        for child, place in zip(element[1:], places, strict=True):
            if place > 0 and (child.text or "") in OVER:
                marks.append(Strokes(((0.04 * size, -0.68 * size), (base.width, -0.68 * size)), LINE * size))
                continue
            other = self._box(child, max(SMALLEST, SMALLER * size))
            y = -up - other.down if place > 0 else down + other.up
            marks += other.moved((base.width - other.width) / 2, y)
            up, down = (up + other.height, down) if place > 0 else (up, down + other.height)
        return Box(base.width, up, down, tuple(marks))

    def _table(self, element: ET.Element, size: float) -> Box:
        """Lines one under the other, their cells in columns."""
        rows = [[self._row(cell, size) for cell in row] for row in element]
        columns = max(map(len, rows))
        widths = [max(row[at].width for row in rows if at < len(row)) + 0.8 * size for at in range(columns)]
        y = 0.0
        marks: list[Letters | Strokes] = []
        for row in rows:
            up, down = _reach(row)
            for at, cell in enumerate(row):
                marks += cell.moved(sum(widths[:at]), y + up)
            y += up + down + 0.2 * size
        whole = Box(sum(widths), 0, y, tuple(marks))
        up = y / 2 + AXIS * size
        return Box(whole.width, up, y - up, whole.moved(0, -up))


def _is_fence(element: ET.Element) -> bool:
    return element.tag == "mo" and element.get("stretchy") == "true" and (element.text or "") in TALL


def _gap(element: ET.Element, before: ET.Element | None) -> float:
    """Room on either side of an operator, in sizes."""
    text = (element.text or "").strip()
    if element.tag != "mo" or element.get("form") == "prefix" or before is None:
        return 0.0
    return 0.28 if text in RELATIONS else 0.2 if text in SIGNS else 0.0


def _reach(boxes: Iterable[Box]) -> tuple[float, float]:
    heights = [(box.up, box.down) for box in boxes]
    return max((up for up, _ in heights), default=0.0), max((down for _, down in heights), default=0.0)


def _beside(boxes: Sequence[Box]) -> Box:
    x = 0.0
    marks: list[Letters | Strokes] = []
    for box in boxes:
        marks += box.moved(x, 0)
        x += box.width
    return Box(x, *_reach(boxes), tuple(marks))
