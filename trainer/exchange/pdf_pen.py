"""A pen on the pages of a PDF: measured text, lines and boxes, in points from the upper left corner."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Literal

from fpdf import FPDF
from fpdf.drawing_primitives import Transform
from fpdf.fonts import TTFFont
from fpdf.svg import SVGObject

from trainer.errors import TrainerError

Face = Literal["plain", "bold", "slanted", "mono"]
PageSize = Literal["A4", "letter"]

# Free fonts that come with the drawing library; they have every sign of the trade.
FILES: dict[Face, str] = {
    "plain": "DejaVuSans.ttf",
    "bold": "DejaVuSans-Bold.ttf",
    "slanted": "DejaVuSans-Oblique.ttf",
    "mono": "DejaVuSansMono.ttf",
}
STYLES: dict[Face, str] = {"plain": "", "bold": "B", "slanted": "I", "mono": ""}
FAMILY, MONO = "sans-serif", "monospace"  # as the figures name them
MADE = datetime(2000, 1, 1, tzinfo=UTC)  # the same paper is the same file, whenever it is made
INK, QUIET, RULE = 0, 70, 150
_PIXELS = re.compile(rb"(font-size: [\d.]+)px")
_CONTROL: dict[int, None] = dict.fromkeys((*range(32), *range(127, 160)))
_BUT_BREAKS: dict[int, None] = {code: None for code in _CONTROL if chr(code) != "\n"}


class Pen:
    """Draws on the newest page of a document."""

    def __init__(self, size: PageSize = "A4") -> None:
        self._pdf = FPDF(unit="pt", format=size)
        self._pdf.set_auto_page_break(False)
        self._pdf.set_margin(0)
        self._pdf.c_margin = 0
        self._pdf.set_lang("en")
        self._pdf.set_creator("signal-conditioning-trainer")
        self._pdf.set_creation_date(MADE)
        for face, path in _font_files().items():
            self._pdf.add_font(MONO if face == "mono" else FAMILY, STYLES[face], path)
        self._set: tuple[Face, float, int] | None = None
        self._width_of = lru_cache(50_000)(self._measure)

    @property
    def width(self) -> float:
        """Width of a page."""
        return float(self._pdf.w)

    @property
    def height(self) -> float:
        """Height of a page."""
        return float(self._pdf.h)

    def new_page(self) -> None:
        """Begin a page."""
        self._pdf.add_page()
        self._set = None

    def measure(self, text: str, face: Face, size: float) -> float:
        """Width of a text."""
        return self._width_of(text, face) * size

    def wrapped(self, text: str, face: Face, size: float, width: float) -> list[str]:
        """A text in lines no wider than a width; a word wider than that is broken."""
        lines: list[str] = []
        for paragraph in text.translate(_BUT_BREAKS).split("\n"):
            lines.extend(self._lines(paragraph, face, size, width))
        return lines or [""]

    def _lines(self, paragraph: str, face: Face, size: float, width: float) -> Iterator[str]:
        line, used, gap = "", 0.0, self.measure(" ", face, size)
        for word in re.split(" +", paragraph.strip(" ")):
            for piece in self._pieces(word, face, size, width):
                wide = self.measure(piece, face, size)
                if line and used + gap + wide > width:
                    yield line
                    line, used = piece, wide
                elif line:
                    line, used = f"{line} {piece}", used + gap + wide
                else:
                    line, used = piece, wide
        yield line

    def _pieces(self, word: str, face: Face, size: float, width: float) -> Iterator[str]:
        while self.measure(word, face, size) > width and len(word) > 1:
            fits = max(1, next(n for n in range(1, len(word) + 1) if self.measure(word[:n], face, size) > width) - 1)
            yield word[:fits]
            word = word[fits:]
        yield word

    def text(self, x: float, y: float, text: str, face: Face = "plain", size: float = 10, shade: int = INK) -> None:
        """A text that starts at a point of its base line."""
        if self._set != (face, size, shade):
            self._pdf.set_font(MONO if face == "mono" else FAMILY, STYLES[face], size)
            self._pdf.set_text_color(shade)
            self._set = (face, size, shade)
        self._pdf.text(x, y, text.translate(_CONTROL))

    def text_to(self, x: float, y: float, text: str, face: Face = "plain", size: float = 10, shade: int = INK) -> None:
        """A text that ends at a point of its base line."""
        self.text(x - self.measure(text, face, size), y, text, face, size, shade)

    def line(self, start: tuple[float, float], end: tuple[float, float], wide: float = 0.6, shade: int = INK) -> None:
        """A straight line."""
        self._pdf.set_draw_color(shade)
        self._pdf.set_line_width(wide)
        self._pdf.line(*start, *end)

    def box(self, x: float, y: float, width: float, height: float, wide: float = 0.8, shade: int = INK) -> None:
        """An empty box."""
        self._pdf.set_draw_color(shade)
        self._pdf.set_line_width(wide)
        self._pdf.rect(x, y, width, height)

    def bar(self, x: float, y: float, width: float, height: float) -> None:
        """A filled bar, as of a fraction."""
        self._pdf.set_fill_color(INK)
        self._pdf.rect(x, y, width, height, style="F")

    def strokes(self, points: tuple[tuple[float, float], ...], wide: float) -> None:
        """A line through points."""
        self._pdf.set_draw_color(INK)
        self._pdf.set_line_width(wide)
        self._pdf.polyline(list(points))

    def picture(self, svg: bytes, x: float, y: float, width: float, height: float) -> None:
        """A figure, its lines and letters as such."""
        drawing = SVGObject(_PIXELS.sub(rb"\1pt", svg))  # of its own units, which here are points
        drawing.width, drawing.height = width, height
        _, _, path = drawing.transform_to_page_viewport(self._pdf)
        path.transform = (path.transform or Transform.identity()) @ Transform.translation(x, y)
        self._pdf.draw_path(path, copy=False)  # read for this once only: a copy would take as long again
        self._set = None

    def bookmark(self, name: str) -> None:
        """Let the reader's list of contents lead to this page."""
        self._pdf.start_section(name)

    def finished(self, title: str) -> bytes:
        """The document, with its title."""
        self._pdf.set_title(title)
        return bytes(self._pdf.output())

    def close(self) -> None:
        """Let go of the font files, which the library reads from as it needs them."""
        for font in self._pdf.fonts.values():
            if isinstance(font, TTFFont):
                font.ttfont.close()

    def _measure(self, text: str, face: Face) -> float:
        font = self._pdf.fonts[(MONO if face == "mono" else FAMILY).lower() + STYLES[face]]
        return float(font.get_text_width(text, 1.0, None)[1])


@lru_cache(1)
def _font_files() -> dict[Face, Path]:
    spec = find_spec("matplotlib")
    folder = Path(next(iter(spec.submodule_search_locations))) if spec and spec.submodule_search_locations else Path()
    found = {face: folder / "mpl-data" / "fonts" / "ttf" / name for face, name in FILES.items()}
    if missing := next((path for path in found.values() if not path.is_file()), None):
        raise TrainerError(f"{missing.name} is missing: it comes with matplotlib, install that again")
    return found
