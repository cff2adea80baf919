"""Formulas against the element list and the layout rules of MathML Core."""

import subprocess
import sys
import time
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.content.formulas import FormulaRefused, mathml
from trainer.errors import TrainerError

# W3C MathML Core, index of elements (from memory), without the ones that formulas here have no use for:
# annotation, annotation-xml, maction, merror, mmultiscripts, mpadded, mphantom, mprescripts, ms, semantics.
ELEMENTS = """
math mrow mi mn mo mtext mspace mfrac msqrt mroot msub msup msubsup munder mover munderover mtable mtr
mtd mstyle
"""
# Attributes of MathML Core (global, mo, mspace, mfrac, mover and munderover), and alttext of MathML 3, 2.2.1.
ATTRIBUTES = """
display alttext displaystyle scriptlevel mathvariant form fence stretchy minsize maxsize width
linethickness accent
"""
CORE, CORE_ATTRIBUTES = set(ELEMENTS.split()), set(ATTRIBUTES.split())


def words(markup):
    return "".join(ET.fromstring(markup).itertext())


# The same formulas as set by hand; the sign is U+2212 (Unicode 16.0, Mathematical Operators: MINUS SIGN).
@pytest.mark.parametrize(
    ("latex", "text"),
    [
        (r"f = \frac{I - 4}{16}", "f=I−416"),
        (r"-4.5\,\mathrm{mA}", "−4.5mA"),
        (r"\pm 0.1\,\%", "±0.1%"),
        (r"1 - e^{-t/\tau}", "1−e−t/τ"),
        (r"R_\mathrm{lead} \le 2\,\Omega", "Rlead≤2Ω"),
        (r"\Delta t < 5", "Δt<5"),
        (r"\text{a < b \& c}", "a\xa0<\xa0b\xa0&\xa0c"),
    ],
)
def test_says_what_was_written(latex, text):
    assert words(mathml(latex)) == text


def test_fraction_has_its_two_parts():
    fraction = ET.fromstring(mathml(r"\frac{I - 4}{16}")).find(".//mfrac")
    assert ["".join(part.itertext()) for part in fraction] == ["I−4", "16"]


# MathML Core, 3.2.2: a single letter in mi is slanted unless mathvariant is normal; several stand upright.
def test_units_stand_upright_as_one_word():
    letters = ET.fromstring(mathml(r"3\,\mathrm{kPa} + I\,\mathrm{V} + \mathrm{°C} + 2\,\Omega")).iter("mi")
    assert [(mi.text, mi.get("mathvariant")) for mi in letters] == [
        ("kPa", None),
        ("I", None),
        ("V", "normal"),
        ("°C", None),
        ("Ω", "normal"),
    ]


# MathML Core, 3.2.4: the form of an operator inside a row is infix unless said otherwise.
@pytest.mark.parametrize(
    ("latex", "form"), [("x = -5", "prefix"), (r"x \cdot +5", "prefix"), ("x - 5", None), ("(x) - 5", None)]
)
def test_sign_belongs_to_its_number(latex, form):
    signs = [mo for mo in ET.fromstring(mathml(latex)).iter("mo") if mo.text in "−+"]
    assert [sign.get("form") for sign in signs] == [form]


def test_display_and_words_are_attributes_of_math():
    root = ET.fromstring(mathml("x", words='less than < and "quotes"', display=True))
    assert root.tag == "math"
    assert root.attrib == {"display": "block", "alttext": 'less than < and "quotes"'}
    assert "display" not in ET.fromstring(mathml("x")).attrib


# Escaping, OWASP ASVS 5.0.0 V1.2: markup inside text is text.
@pytest.mark.parametrize(
    "latex",
    [
        r"\text{<script>alert(1)</script>}",
        r"\text{<img src=x onerror=alert(1)>}",
        r"\text{&lt;script&gt;alert(1)&lt;/script&gt;}",
        r"\mathrm{<script>}",
        r"</math><script>alert(1)</script>",
    ],
)
def test_markup_in_a_formula_is_text(latex):
    markup = mathml(latex)
    assert {element.tag for element in ET.fromstring(markup).iter()} <= CORE
    assert "<script" not in markup
    assert "<img" not in markup


@pytest.mark.parametrize(
    ("latex", "why"),
    [
        (r"\href{javascript:alert(1)}{x}", "href"),
        (r"\style{x:y}{z}", "style"),
        (r"\class{x}{z}", "class"),
        (r"\color{red}{x}", "mathcolor"),
        (r"\hspace{5000em}x", "width"),
        (r"\boxed{x}", "menclose"),
        (r"\phantom{x}", "mphantom, which is not"),
        (r"\unheardof{x}", r"\unheardof"),
        (r"\frac{1}", "mfrac"),
        (r"a & b", "&"),
        (r"\left(", "cannot be read"),
        (r"x^2^3", "cannot be read"),
        ("  ", "empty"),
        ("{x", "braces"),
        ("x}{", "braces"),
        ("x\x00", "control"),
        (r"\newcommand{\a}{x}\a", "defines"),
        (r"\def\a{xxxx}\a\a", "defines"),
    ],
)
def test_refuses_and_names_the_reason(latex, why):
    with pytest.raises(FormulaRefused) as refused:
        mathml(latex)
    assert why in refused.value.why
    assert isinstance(refused.value, TrainerError)
    assert latex in str(refused.value)


@pytest.mark.parametrize("latex", ["{" * 2000 + "x" + "}" * 2000, "{" * 21 + "x" + "}" * 21, "x" * 501, "[" * 20_000])
def test_length_and_depth_are_bounded(latex):
    with pytest.raises(FormulaRefused, match=r"at most 500|more than 20 deep"):
        mathml(latex)


def test_the_bounds_themselves_are_allowed():
    assert words(mathml("{" * 20 + "x" + "}" * 20)) == "x"
    assert words(mathml("x" * 500)) == "x" * 500


@pytest.mark.parametrize("piece", [r"\sqrt", r"\left(", r"\frac", "x_", "^", "'", r"\begin{matrix}", r"\text{$", r"\\"])
def test_hostile_repetition_ends_soon(piece):
    latex = piece * (500 // len(piece))
    start = time.perf_counter()
    try:
        markup = mathml(latex)
    except FormulaRefused:
        markup = "<math></math>"
    assert {element.tag for element in ET.fromstring(markup).iter()} <= CORE
    assert time.perf_counter() - start < 5  # seconds; measured under 0.05


HOSTILE = r"""
\frac \sqrt \text \mathrm \left( \right) \begin{cases} \end{cases} \\ & { } ^ _ $ <script> </math> &lt;
\href \style \class \color \hspace{9em} \over \overline \pm - + = 4 12.5 x \Omega ° % ' \{ [ ] \unknown
\tag \hat \sum {x} {1}{2}
"""
PIECES = st.sampled_from(HOSTILE.split())


@given(st.one_of(st.text(max_size=60), st.lists(PIECES, max_size=25).map(" ".join)), st.booleans())
def test_any_text_gives_listed_elements_or_is_refused(latex, display):
    try:
        root = ET.fromstring(mathml(latex, display=display))
    except FormulaRefused:
        return
    assert root.tag == "math"
    for element in root.iter():
        assert element.tag in CORE
        assert set(element.attrib) <= CORE_ATTRIBUTES


def test_import_does_not_load_the_converter():
    code = "import sys, trainer.content.formulas; sys.exit('latex2mathml' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
