"""How every figure looks: colors, sizes, marks, and the way from a drawing to SVG."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Any

import matplotlib
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from trainer.units import format_number

# In points. A figure fills a phone of 360 CSS pixels, 0.78 pixels for a point: 16 points are more than 9 there.
WIDTH, HEIGHT = 460.8, 259.2
SIZE, LARGE = 16, 18
THIN, LINE, THICK = 1.2, 2.0, 3.0

SETTINGS: dict[Any, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "trainer",
    "text.parse_math": False,  # a dollar sign is a dollar sign
    "font.family": ["sans-serif"],
    "font.sans-serif": ["DejaVu Sans"],  # to measure with; the reader's own sans serif is drawn
    "path.simplify": True,
    "axes.unicode_minus": True,
    "figure.constrained_layout.use": False,
    "figure.autolayout": False,
}
_MEASURED, _GENERIC = b"'DejaVu Sans', sans-serif", b"sans-serif"
_NO_METADATA = {"Date": None, "Creator": None, "Format": None, "Type": None}
_CONTROL = {code: None for code in range(32) if chr(code) != "\n"}  # no XML holds them
_lock = Lock()  # settings and font cache of the library belong to the process


@dataclass(frozen=True)
class Theme:
    """Colors by what they mean; a line style or a label always says the same."""

    sheet: str
    fill: str
    quiet: str
    ink: str
    known: str
    answer: str


THEMES = {
    "light": Theme("#fcfcf7", "#e3e8dc", "#56616b", "#1c2733", "#0a5872", "#1d6b3a"),
    "dark": Theme("#1f2623", "#2a332f", "#a3ada8", "#e6ebe4", "#7cc4de", "#7fce9b"),
    "print": Theme("#ffffff", "#e4e4e4", "#4a4a4a", "#000000", "#000000", "#000000"),
}


class Sheet:
    """An empty figure of one theme, with the few marks that figures are made of."""

    large, thin, thick = LARGE, THIN, THICK

    def __init__(self, theme: Theme) -> None:
        self.theme, self.height = theme, HEIGHT
        self.figure = Figure(figsize=(WIDTH / 72, HEIGHT / 72), facecolor=theme.sheet)

    def grow(self, height: float) -> None:
        """Make the empty sheet higher or lower, in points."""
        self.height = height
        self.figure.set_size_inches(WIDTH / 72, height / 72)

    def board(self) -> Axes:
        """The whole sheet, measured in points from its lower left corner."""
        axes = self.figure.add_axes((0, 0, 1, 1))
        axes.set(xlim=(0, WIDTH), ylim=(0, self.height))
        axes.axis("off")
        return axes

    def plot(self, left: float, bottom: float, width: float, height: float) -> Axes:
        """A plot with a line at its left and lower side, placed in points."""
        axes = self.figure.add_axes((left / WIDTH, bottom / self.height, width / WIDTH, height / self.height))
        axes.set_facecolor("none")
        axes.spines[["top", "right"]].set_visible(False)
        for spine in axes.spines.values():
            spine.set(color=self.theme.quiet, linewidth=THIN)
        axes.tick_params(colors=self.theme.quiet, labelcolor=self.theme.ink, labelsize=SIZE, width=THIN)
        return axes

    def line(self, axes: Axes, xs: Sequence[float], ys: Sequence[float], color: str, **style: Any) -> None:
        """A line through points; it may leave the plot."""
        axes.plot(xs, ys, color=color, **({"linewidth": LINE, "clip_on": False} | style))

    def text(
        self,
        axes: Axes,
        x: float,
        y: float,
        text: str,
        color: str = "",
        shift: tuple[float, float] = (0.0, 0.0),
        **style: Any,
    ) -> None:
        """A label beside a place, shifted by points; it may lie outside the plot."""
        look: dict[str, Any] = {"fontsize": SIZE, "linespacing": 1.1, "annotation_clip": False} | style
        color = color or self.theme.ink
        axes.annotate(text.translate(_CONTROL), (x, y), shift, textcoords="offset points", color=color, **look)

    @staticmethod
    def shorten(text: str, most: int) -> str:
        """Keep a label within a number of characters."""
        return text if len(text) <= most else text[: most - 1].rstrip() + "…"

    def ticks(self, axis: Axis, decimal: str, most: int = 4, few: bool = False) -> None:
        """Round numbers along an axis; only two of them where a reading of it is asked."""
        low, high = sorted(axis.get_view_interval())
        places = [tick for tick in MaxNLocator(most, steps=[1, 2, 5, 10]).tick_values(low, high) if low <= tick <= high]
        if few and places:
            places = [places[0], places[-1]]
        decimals = max((len(f"{place:.6f}".rstrip("0").partition(".")[2]) for place in places), default=0)
        axis.set_ticks(places, [format_number(place, decimals, decimal) for place in places])

    def arrow(self, axes: Axes, start: tuple[float, float], end: tuple[float, float], color: str, **style: Any) -> None:
        """A line with a head at its end."""
        look = {"arrowstyle": "-|>,head_width=0.35,head_length=0.7", "linewidth": LINE, "shrinkA": 0, "shrinkB": 0}
        axes.annotate("", xy=end, xytext=start, arrowprops=look | {"color": color} | style, annotation_clip=False)


def render(paint: Callable[[Sheet], None], theme: str) -> bytes:
    """Paint a sheet of a theme and give it as SVG; the same painting gives the same bytes, in any thread."""
    buffer = io.BytesIO()
    with _lock, matplotlib.rc_context(SETTINGS):
        sheet = Sheet(THEMES[theme])
        paint(sheet)
        sheet.figure.savefig(buffer, format="svg", metadata=_NO_METADATA)
    return buffer.getvalue().replace(_MEASURED, _GENERIC)
