"""Formulas: LaTeX made into MathML Core, with nothing let through that is not on a list."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from html import unescape
from xml.etree import ElementTree as ET  # only builds and writes here; nothing is parsed

from trainer.errors import TrainerError

LENGTH_AT_MOST = 500
DEPTH_AT_MOST = 20

# MathML Core elements, and how many children each must have (None: any number).
ELEMENTS: Mapping[str, int | None] = {
    "math": None,
    "mrow": None,
    "mi": 0,
    "mn": 0,
    "mo": 0,
    "mtext": 0,
    "mspace": 0,
    "mfrac": 2,
    "msqrt": None,
    "mroot": 2,
    "msub": 2,
    "msup": 2,
    "msubsup": 3,
    "munder": 2,
    "mover": 2,
    "munderover": 3,
    "mtable": None,
    "mtr": None,
    "mtd": None,
    "mstyle": None,
}
_TRUTH = "true|false"
_WIDTH = r"-?\d(\.\d+)?em"  # under 10 em, so that no formula can push the page aside
ATTRIBUTES: Mapping[str, str] = {
    "accent": _TRUTH,
    "displaystyle": _TRUTH,
    "fence": _TRUTH,
    "form": "prefix|infix|postfix",
    "linethickness": r"0|0px|0em",
    "mathvariant": "normal",
    "maxsize": _WIDTH,
    "minsize": _WIDTH,
    "scriptlevel": r"[0-2]",
    "stretchy": _TRUTH,
    "width": _WIDTH,
}
# Not in MathML Core, without effect in browsers: left out in silence.
LEFT_OUT = frozenset({"xmlns", "display", "columnalign"})

_DEFINES = re.compile(r"\\(re)?newcommand|\\providecommand|\\[egx]?def(?![a-z])|\\let(?![a-z])")
_BRACES = re.compile(r"\\.|[{}]", re.DOTALL)
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
_ESCAPED = re.compile(r"\\([&%#$_])")
_SIGNS = frozenset("−+±∓")
_CLOSING = frozenset(")]}|%′!")


class FormulaRefused(TrainerError):
    """A formula that is not shown; ``why`` says the reason alone."""

    def __init__(self, latex: str, why: str) -> None:
        self.why = why
        shown = latex if len(latex) <= 60 else latex[:60] + " ..."
        super().__init__(f"formula {shown} {why}")


@lru_cache(maxsize=2048)
def mathml(latex: str, words: str | None = None, display: bool = False) -> str:
    r"""Make a formula into markup that is safe to embed in a page.

    Parameters
    ----------
    latex : str
        The formula, at most 500 characters and 20 braces deep; macros cannot be defined in it.
    words : str, optional
        The formula as one would say it, for screen readers without MathML.
    display : bool
        Whether it stands on a line of its own.

    Raises
    ------
    FormulaRefused
        Where the formula cannot be read, is too long or deep, or asks for more than MathML Core.

    Examples
    --------
    >>> mathml("R = 2")
    '<math><mrow><mi>R</mi><mo>=</mo><mn>2</mn></mrow></math>'
    >>> mathml("-5", words="minus five")
    '<math alttext="minus five"><mrow><mo>−</mo><mn>5</mn></mrow></math>'

    References
    ----------
    W3C MathML Core: elements and attributes; ``alttext`` is from MathML 3, section 2.2.1.
    """
    _check_size(latex)
    root = _rebuilt(_converted(latex, display), latex)
    if display:
        root.set("display", "block")
    if words:
        root.set("alttext", _CONTROL.sub(" ", words))
    return ET.tostring(root, encoding="unicode")


def _check_size(latex: str) -> None:
    if not latex.strip():
        raise FormulaRefused(latex, "is empty")
    if len(latex) > LENGTH_AT_MOST:
        raise FormulaRefused(latex, f"has {len(latex)} characters; at most {LENGTH_AT_MOST} are read")
    if _CONTROL.search(latex):
        raise FormulaRefused(latex, "has a control character")
    if _DEFINES.search(latex):
        raise FormulaRefused(latex, "defines a command; commands cannot be defined in a formula")
    depth = 0
    for match in _BRACES.finditer(latex):
        depth += {"{": 1, "}": -1}.get(match[0], 0)
        if depth > DEPTH_AT_MOST:
            raise FormulaRefused(latex, f"has braces more than {DEPTH_AT_MOST} deep")
        if depth < 0:
            break
    if depth:
        raise FormulaRefused(latex, "has braces that do not match")


def _converted(latex: str, display: bool) -> ET.Element:
    from latex2mathml.converter import Converter  # heavy: only when a formula is drawn

    spaced = latex.replace(r"\mathrm{", r"\mathrm {")  # without the space a single letter comes out slanted
    try:
        found: ET.Element = Converter(display="block" if display else "inline").convert_to_element(spaced)
    except (Exception, RecursionError) as fault:  # the converter raises many kinds, most without words
        raise FormulaRefused(latex, f"cannot be read ({type(fault).__name__})") from fault
    return found


def _rebuilt(element: ET.Element, latex: str) -> ET.Element:
    """A copy made of listed elements and attributes alone."""
    tag, text = element.tag, unescape(element.text or "")
    if tag not in ELEMENTS:
        raise FormulaRefused(latex, f"uses {tag}, which is not in the listed part of MathML Core")
    if tag != "mtext" and (text.startswith("\\") or text in ("&", "}")):
        raise FormulaRefused(latex, f"has {text}, which is not known here")
    copy = ET.Element("mo" if tag == "mi" and text in _SIGNS else tag, _attributes(element, latex))
    children = [_rebuilt(child, latex) for child in element]
    expected = ELEMENTS[tag]
    if expected is not None and len(children) != expected:
        raise FormulaRefused(latex, f"has {len(children)} parts in {tag}, which needs {expected}")
    if tag == "mi" and text == "Ω":
        copy.set("mathvariant", "normal")  # here always the ohm, and units stand upright
    copy.text = (_ESCAPED.sub(r"\1", text) if tag == "mtext" else text) or None
    copy.extend(_signed(_joined(children)) if tag in ("mrow", "mtd", "msqrt", "mstyle") else children)
    return copy


def _attributes(element: ET.Element, latex: str) -> dict[str, str]:
    kept = {}
    for name, value in element.attrib.items():
        if name in LEFT_OUT or (element.tag == "mo" and name == "accent"):
            continue
        if name not in ATTRIBUTES or not re.fullmatch(ATTRIBUTES[name], value):
            raise FormulaRefused(latex, f"asks for {name} = {value} on {element.tag}, which is not allowed")
        kept[name] = value
    return kept


def _joined(children: list[ET.Element]) -> list[ET.Element]:
    """Upright letters side by side become one word: kPa, not k P a."""
    found: list[ET.Element] = []
    for child in children:
        upright = child.tag == "mi" and child.get("mathvariant") == "normal"
        if upright and found and found[-1].tag == "mi" and found[-1].get("mathvariant") == "normal":
            found[-1].text = (found[-1].text or "") + (child.text or "")
        else:
            found.append(child)
    for child in found:
        if child.tag == "mi" and len(child.text or "") > 1:
            child.attrib.pop("mathvariant", None)  # several letters stand upright by themselves
    return found


def _signed(children: list[ET.Element]) -> list[ET.Element]:
    """A sign after another operator belongs to its number: = −5, not = − 5."""
    before: ET.Element | None = None
    for child in children:
        after_operator = before is not None and before.tag == "mo" and (before.text or "") not in _CLOSING
        if after_operator and child.tag == "mo" and child.text in _SIGNS:
            child.set("form", "prefix")
        if child.tag != "mspace":
            before = child
    return children
