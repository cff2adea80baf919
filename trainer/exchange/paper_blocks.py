"""The items of a paper and of its key as blocks."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from trainer import language
from trainer.exchange.answer_boxes import blank_step
from trainer.exchange.blocks import LEAD, SMALL, SMALLEST, TEXT, Block, Column, beside, space, stacked
from trainer.exchange.pdf_pen import QUIET
from trainer.figures import FIGURES, draw
from trainer.language import gettext
from trainer.practice.paper_items import GivenLine, Item, KeyItem, OpenFigure, WorkedStep, Wrong

HEADING = 11.5
MARGIN = 30.0  # on the left, for the numbers
FIGURE_WIDTH, FIGURE_HEIGHT = 236.0, 132.75  # as wide to high as figures are
VALUE_WIDTH = 54.0
KEPT_FIGURES = 256


def item_blocks(column: Column, item: Item, decimal: str) -> Iterator[Block]:
    """A problem: all of it up to its first step on one page, each later step whole."""
    body = column.part(MARGIN, column.width - MARGIN)
    yield from _heading(column, body, item.number, item.title, item.skill)
    for caution in item.cautions:
        yield from body.lines(f"\N{WARNING SIGN} {caution}", "bold", SMALL, kept=True)
    if item.cautions:
        yield space(3, kept=True)
    yield from body.lines(item.text, kept=True)
    yield space(4, kept=True)
    yield _given_part(body, item, decimal)
    yield space(4, kept=True)
    yield from body.lines(gettext("Find: {what}").format(what=item.find), "bold", kept=True)
    yield space(4, kept=True)
    for step in item.steps:
        yield from _numbered(column, step.number, blank_step(body, step), 4.0 if step.kind == "number" else 0.0)
    yield space(10)


def _heading(column: Column, body: Column, number: int, title: str, skill: str) -> Iterator[Block]:
    pen = column.pen
    words = body.part(0, body.width - pen.measure(skill, "plain", SMALL) - 10)

    def paint(y: float) -> None:
        pen.line((column.left, y), (column.left + column.width, y), wide=1.0)
        pen.text(column.left, y + 6 + HEADING, str(number), "bold", HEADING)
        pen.text_to(body.left + body.width, y + 6 + HEADING, skill, size=SMALL, shade=QUIET)

    heading = stacked([space(6), *words.lines(title, "bold", HEADING)])
    yield beside([[heading], [Block(heading.height, paint)]], kept=True)
    yield space(3, kept=True)


def _numbered(column: Column, number: int, blocks: list[Block], lead: float = 0.0) -> Iterator[Block]:
    """Blocks of a step with its number in the margin."""
    first = blocks[0]

    def paint(y: float) -> None:
        column.pen.text_to(column.left + MARGIN - 10, y + lead + TEXT, str(number), "mono", TEXT)
        first.paint(y)

    yield Block(first.height, paint, first.kept)
    yield from blocks[1:]


def _given_part(body: Column, item: Item, decimal: str) -> Block:
    """The givens, with the figure at their right."""
    svg = _figure(item.figure, decimal, language.current()) if item.figure else b""
    wide = body.width - (FIGURE_WIDTH + 10 if svg else 0)
    givens = [block for given in item.givens for block in _given(body.part(0, wide), given)]
    columns = [givens]
    if svg:
        x = body.left + body.width - FIGURE_WIDTH
        columns.append([Block(FIGURE_HEIGHT, lambda y: body.pen.picture(svg, x, y, FIGURE_WIDTH, FIGURE_HEIGHT))])
    return beside(columns, kept=True)


def _given(column: Column, given: GivenLine) -> list[Block]:
    """Title and symbol, the value in its column, the unit after it; a long value below the title."""
    pen = column.pen
    title_width = min(column.width * 0.6, 210.0)
    title = column.part(0, title_width).titled(given.title, given.symbol)
    edge = column.left + title_width + VALUE_WIDTH
    unit_room = column.width - title_width - VALUE_WIDTH - 5
    fits = pen.measure(given.value, "mono", TEXT) <= VALUE_WIDTH and pen.measure(given.unit, "plain", TEXT) <= unit_room
    if given.words or not fits:
        value = column.part(title_width + 10, column.width - title_width - 10)
        return [beside([title, value.lines(f"{given.value} {given.unit}".rstrip())])]

    def paint(y: float) -> None:
        pen.text_to(edge, y + TEXT, given.value, "mono", TEXT)
        pen.text(edge + 5, y + TEXT, given.unit)

    return [beside([title, [Block(TEXT * LEAD, paint)]])]


@lru_cache(KEPT_FIGURES)
def _figure(figure: OpenFigure, decimal: str, _language: str) -> bytes:
    """A figure for paper; the same numbers are drawn once."""
    return draw(figure.name, dict(figure.values), "open", "print", decimal) if figure.name in FIGURES else b""


def key_note(column: Column) -> list[Block]:
    """How to read the lines under a step."""
    said = gettext("✗ wrong value → the answer that comes of it, and the slip behind it.")
    return [*column.lines(said, size=SMALL, shade=QUIET, kept=True), space(6, kept=True)]


def key_blocks(column: Column, item: KeyItem) -> Iterator[Block]:
    """A problem worked: the first step stands with the heading, each step is whole."""
    body = column.part(MARGIN, column.width - MARGIN)
    yield from _heading(column, body, item.number, item.title, item.skill)
    drawn = gettext("Problem {problem}, seed {seed}").format(problem=item.problem, seed=item.seed)
    yield body.line(drawn, "mono", SMALLEST, QUIET, kept=True)
    yield space(3, kept=True)
    told = [gettext("Source: {source}").format(source=source) for source in item.sources]
    sources = [block for text in told for block in body.lines(text, size=SMALLEST, shade=QUIET)]
    for step in item.steps:
        last = sources if step.number == len(item.steps) else []
        yield from _numbered(column, step.number, [stacked([*_worked(body, step), *last])])
    yield space(9)


def _worked(body: Column, step: WorkedStep) -> list[Block]:
    """Title, tolerance and value on one line, the formula, then what slips lead to."""
    pen, small, edge = body.pen, body.part(12, body.width - 12), body.left + body.width
    wide = pen.measure(step.value, "bold", TEXT)
    told = wide + pen.measure(step.tolerance, "plain", SMALL) + 20

    def value(y: float) -> None:
        pen.text_to(edge, y + TEXT, step.value, "bold", TEXT)
        pen.text_to(edge - wide - 8, y + TEXT, step.tolerance, size=SMALL, shade=QUIET)

    if told <= body.width * 0.6:
        head = [beside([body.part(0, body.width - told).titled(step.title, ""), [Block(TEXT * LEAD, value)]])]
    else:
        limits = small.lines(step.tolerance, size=SMALL, shade=QUIET) if step.tolerance else []
        head = [*body.titled(step.title, ""), *small.lines(step.value, "bold"), *limits]
    rule = [] if step.symbols or not step.rule else small.lines(step.rule, size=SMALL)
    slips = [block for slip in step.slips for block in _slip(small, slip)]
    return [*head, *_formulas(small, step), *rule, *slips, space(5)]


def _formulas(column: Column, step: WorkedStep) -> list[Block]:
    """Symbols and numbers, side by side where there is room."""
    boxes = [column.typesetter.formula(each, TEXT, column.width) for each in (step.symbols, step.numbers) if each]
    if len(boxes) < 2 or step.symbols == step.numbers:
        return [column.formula(box) for box in boxes[:1]]
    symbols, numbers = boxes
    middle = max(column.width * 0.42, symbols.width + 18)
    if middle + numbers.width > column.width:
        return [column.formula(symbols), column.formula(numbers)]
    up, down = max(symbols.up, numbers.up), max(symbols.down, numbers.down)

    def paint(y: float) -> None:
        symbols.draw(column.pen, column.left, y + 1.5 + up)
        numbers.draw(column.pen, column.left + middle, y + 1.5 + up)

    return [Block(up + down + 3, paint)]


def _slip(column: Column, slip: Wrong) -> list[Block]:
    """The wrong value, what it makes of the answer, and the sentence."""
    wrong = f"{slip.value} \N{RIGHTWARDS ARROW} {slip.answer}" if slip.answer else slip.value
    mark = column.part(0, 14).line("\N{BALLOT X}", size=SMALL, shade=QUIET)
    if column.pen.measure(wrong, "plain", SMALL) <= 130:
        values, words = column.part(14, 130), column.part(152, column.width - 152)
        return [beside([[mark], values.lines(wrong, size=SMALL), words.lines(slip.message, size=SMALL)])]
    text = column.part(14, column.width - 14)
    return [beside([[mark], [*text.lines(wrong, size=SMALL), *text.lines(slip.message, size=SMALL)]])]
