"""What every drawing keeps to: bytes, size, type, colors, and what a browser is handed."""

import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from importlib import import_module
from itertools import combinations
from xml.etree import ElementTree

import pytest
from figure_cases import CASES, DIGESTER, texts, value
from matplotlib.text import Text

from trainer.figures import FIGURES, THEMES, draw
from trainer.figures.inputs import Inputs
from trainer.figures.style import THEMES as COLORS
from trainer.figures.style import WIDTH, render
from trainer.figures.traces import thinned

PHONE = 360  # CSS pixels
SMALLEST = 12  # CSS pixels, 9 points


@pytest.fixture(params=["open", "solved"])
def form(request):
    return request.param


@pytest.mark.parametrize("theme", THEMES)
def test_a_drawing_is_small_and_the_same_each_time(case, form, theme):
    values = case.solved if form == "solved" else case.given
    svg = draw(case.name, values, form, theme)
    assert len(svg) < 40_000
    assert svg == draw(case.name, values, form, theme)
    assert ElementTree.fromstring(svg).tag.endswith("svg")
    assert COLORS[theme].sheet.encode() in svg


def test_eight_threads_draw_the_same_bytes():
    jobs = [(case.name, case.solved, "solved", theme) for case in CASES.values() for theme in THEMES]
    alone = [draw(*job) for job in jobs]
    with ThreadPoolExecutor(8) as threads:
        assert list(threads.map(lambda job: draw(*job), jobs * 2)) == alone * 2


def test_the_settings_of_the_library_are_left_alone():
    import matplotlib

    before = dict(matplotlib.rcParams)
    draw("range bars", CASES["signal asked"].given)
    assert dict(matplotlib.rcParams) == before


def test_labels_are_legible_at_the_width_of_a_phone(case, form):
    svg = draw(case.name, case.solved if form == "solved" else case.given, form)
    sizes = [float(size) for size in re.findall(rb"font(?:-size)?:[^;\"]*?([\d.]+)px", svg)]
    assert sizes
    assert min(sizes) * PHONE / WIDTH >= SMALLEST


def labels_of(name, values, form):
    """Every label with the box that it takes, and the size of the sheet, in pixels."""
    inputs, boxes, size = Inputs(name, {**FIGURES[name].always, **values}), [], []

    def paint(sheet):
        import_module(f"trainer.figures.{FIGURES[name].module}").draw(sheet, inputs, form == "solved")
        sheet.figure.draw_without_rendering()
        size.extend((sheet.figure.bbox.x1, sheet.figure.bbox.y1))
        boxes.extend(
            (label.get_text(), Text.get_window_extent(label))
            for label in sheet.figure.findobj(Text)
            if label.get_text()
        )

    render(paint, "light")
    return boxes, size


def lies_on_another(boxes):
    """Pairs of labels that overlap; lines of text may touch."""
    return [
        (label, other)
        for (label, box), (other, over) in combinations(boxes, 2)
        if min(box.x1, over.x1) - max(box.x0, over.x0) > 1 and min(box.y1, over.y1) - max(box.y0, over.y0) > 4
    ]


def test_labels_lie_on_the_sheet_and_not_on_each_other(case, form):
    boxes, (width, height) = labels_of(case.name, case.solved if form == "solved" else case.given, form)
    assert len(boxes) > 2
    for label, box in boxes:
        assert box.x0 >= 0, label
        assert box.x1 <= width, label
        assert box.y0 >= 0, label
        assert box.y1 <= height, label
    assert not lies_on_another(boxes)


def test_a_drawing_asks_for_nothing_from_outside(case):
    root = ElementTree.fromstring(draw(case.name, case.solved, "solved"))
    for element in root.iter():
        assert element.tag.rpartition("}")[2] not in ("script", "image", "foreignObject", "a")
        for name, content in element.attrib.items():
            assert not name.startswith("on")
            assert not name.endswith("href") or content.startswith("#")
            assert "url(" not in content or "url(#" in content


def test_type_is_any_sans_serif(case):
    svg = draw(case.name, case.given)
    assert b"DejaVu" not in svg
    assert b"sans-serif" in svg


def test_a_title_is_text_whatever_it_holds():
    hostile = DIGESTER | {"trace": value(DIGESTER["trace"].value, "°C", 1, "<script>$x^2$</script>&\x07")}
    assert "<script>$x^2$</script>&, °C" in texts(draw("alarm trace", hostile))


def test_a_long_noisy_trace_stays_small():
    noise = tuple(50.0 + i / 400 + (i * 7919 % 101) / 40 for i in range(3600))
    values = {"times": value(tuple(range(3600)), "s"), "trace": value(noise, "kPa"), "direction": value("rising")}
    svg = draw("alarm trace", values | {"set_point": value(55, "kPa"), "deadband": value(2, "kPa")}, "solved")
    assert 10_000 < len(svg) < 40_000


def test_a_long_trace_keeps_its_peaks():
    values = [0.0] * 5000
    values[1234], values[4321] = 7.0, -9.0
    times, kept = thinned(range(5000), values, 100)
    assert len(kept) <= 202
    assert dict(zip(times, kept, strict=True)) | {1234: 7.0, 4321: -9.0} == dict(zip(times, kept, strict=True))
    assert (times[0], times[-1]) == (0, 4999)


# WCAG 2.2, 1.4.3 and 1.4.11: 4.5:1 for text, 3:1 for lines
@pytest.mark.parametrize("theme", THEMES)
def test_colors_stand_out(theme):
    def luminance(color):
        channels = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    def contrast(one, other):
        high, low = sorted((luminance(one), luminance(other)), reverse=True)
        return (high + 0.05) / (low + 0.05)

    colors = COLORS[theme]
    for color in (colors.ink, colors.quiet, colors.known, colors.answer):
        assert contrast(color, colors.sheet) >= 4.5
        assert contrast(color, colors.fill) >= 3.0


def test_every_label_is_given_to_the_translator(case, form, monkeypatch):
    for module in {figure.module for figure in FIGURES.values()} | {"inputs", "value_bars", "columns"}:
        monkeypatch.setattr(f"trainer.figures.{module}.gettext", lambda message: "¤" + message)
    for text in texts(draw(case.name, case.solved if form == "solved" else case.given, form)):
        assert not re.search("[a-z]{4}", text) or "¤" in text, text


def run(code):
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()


def test_names_and_words_do_not_load_the_drawing_library():
    code = """
import sys
from trainer.figures import FIGURES, shown, words
bars = {"lower": 0, "upper": 60, "signal_low": 4, "signal_high": 20}
trace = {"trace": [3, 5, 4], "set_point": 5, "direction": "rising"}
assert words("range bars", {name: shown(raw) for name, raw in bars.items()})
assert words("alarm trace", {name: shown(raw) for name, raw in trace.items()}, "solved")
assert words("sensor curve", {"r0": shown(100), "temperature": shown(20)})
assert words("temperature scales", {"difference": shown(3)})
print("matplotlib" in sys.modules)
"""
    assert run(code) == ["False"]


def test_drawing_never_loads_the_state_machine_of_the_library():
    code = """
import sys
from trainer.figures import draw, shown
draw("temperature scales", {"difference": shown(3)})
print("matplotlib" in sys.modules, "matplotlib.pyplot" in sys.modules)
"""
    assert run(code) == ["True", "False"]
