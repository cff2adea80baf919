"""Lesson text against CommonMark, the rules of the pages, and hostile input."""

import re
import time
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.content.markdown import Example, Figure, outline, render
from trainer.errors import TrainerError

# Everything CommonMark and its tables can make, without img; MathML Core; what the stand-in hooks below make.
TAGS = """
h2 h3 h4 h5 h6 p br hr em strong code pre blockquote ul ol li a table thead tbody tr th td span div
section figure math mrow mi mn mo mtext mspace mfrac msqrt mroot msub msup msubsup munder mover
munderover mtable mtr mtd mstyle
"""
HELD = """
href title class scope start display displaystyle scriptlevel mathvariant form fence stretchy minsize
maxsize width linethickness accent
"""
ALLOWED, ATTRIBUTES = set(TAGS.split()), set(HELD.split())


class Page(HTMLParser):
    def __init__(self, html):
        super().__init__(convert_charrefs=True)
        self.tags, self.text = [], ""
        self.feed(html)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.text += data

    def named(self, tag):
        return [attrs for name, attrs in self.tags if name == tag]


def shown(text, **hooks):
    hooks = {"example": lambda *_: "<section></section>", "figure": lambda *_: "<figure></figure>"} | hooks
    return render(text, **hooks)


def assert_harmless(html):
    page = Page(html)
    for tag, attrs in page.tags:
        assert tag in ALLOWED
        assert set(attrs) <= ATTRIBUTES
        if tag == "a":
            assert not re.match(r"[\s\x00-\x20]*([a-z][a-z0-9+.-]*:|[/\\]{2})", attrs["href"], re.IGNORECASE)
    return page


# CommonMark 0.31.2, section numbers beside each; tables: GitHub Flavored Markdown 0.29, section 4.10.
@pytest.mark.parametrize(
    ("text", "html"),
    [
        ("*foo* **bar**", "<p><em>foo</em> <strong>bar</strong></p>\n"),  # 6.2
        ("## foo\n### bar", "<h2>foo</h2>\n<h3>bar</h3>\n"),  # 4.2
        ("- a\n- b", "<ul>\n<li>a</li>\n<li>b</li>\n</ul>\n"),  # 5.3
        ("> a", "<blockquote>\n<p>a</p>\n</blockquote>\n"),  # 5.1
        ("```\n<\n >\n```", "<pre><code>&lt;\n &gt;\n</code></pre>\n"),  # 4.5
        ("costs $5 or $6", "<p>costs $5 or $6</p>\n"),  # dollars beside digits are money: common practice
    ],
)
def test_commonmark(text, html):
    assert shown(text) == html


def test_headings_start_at_h2():
    assert shown("# foo") == "<h2>foo</h2>\n"
    assert shown("foo\n===") == "<h2>foo</h2>\n"


# WCAG 2.2, 1.3.1 (technique H63): heads have a scope. A style attribute would need unsafe-inline in the CSP.
def test_table_heads_have_scope_and_no_style():
    page = assert_harmless(shown("| a | b |\n|:--|--:|\n| 1 | 2 |"))
    assert page.named("th") == [{"class": "left", "scope": "col"}, {"class": "right", "scope": "col"}]
    assert page.named("td") == [{"class": "left"}, {"class": "right"}]


def test_formulas_inline_and_displayed():
    page = assert_harmless(shown("with $x_0$ and\n\n$$f = \\frac{I - 4}{16}$$\n"))
    assert page.named("math") == [{}, {"display": "block"}]
    assert len(page.named("mfrac")) == 1


def test_refused_formula_is_shown_as_code():
    assert shown(r"$\href{javascript:alert(1)}{x}$").count(r"<code>\href{javascript:alert(1)}{x}</code>") == 1


def test_raw_html_is_text():
    page = assert_harmless(shown("<script>alert(1)</script>\n\na <b onclick='x()'>b</b>"))
    assert "<script>alert(1)</script>" in page.text
    assert [tag for tag, _ in page.tags] == ["p", "p"]


# Open redirect and script links, OWASP ASVS 5.0.0 V1.2, V3.7.2.
@pytest.mark.parametrize(
    "address",
    [
        "javascript:alert(1)",
        "JaVaScRiPt:alert(1)",
        "&#106;avascript:alert(1)",
        "java&#9;script:alert(1)",
        "data:text/html,x",
        "vbscript:x",
        "file:///etc/passwd",
        "https://example.org/",
        "//example.org/",
        "/\\example.org",
        "\\\\example.org",
        "https:example.org",
        "skill:S3",
        "skill:javascript:alert(1)",
    ],
)
def test_links_that_lead_out_are_text(address):
    for text in (f"[word]({address})", f"[word]\n\n[word]: {address}", f"<{address}> word"):
        page = assert_harmless(shown(text))
        assert not page.named("a")
        assert "word" in page.text
    assert [line for line in outline(f"[word]({address})").faults if line.startswith("link = ")]


@pytest.mark.parametrize("address", ["/skills", "tables", "../S3.1", "/lessons/S3.1?a=b#c"])
def test_links_inside_stay(address):
    assert Page(shown(f"[word]({address})")).named("a") == [{"href": address}]
    assert outline(f"[word]({address})").faults == ()


def test_link_to_a_skill_gets_its_address():
    assert Page(shown("[x](skill:S3.1)")).named("a") == [{"href": "/lessons/S3.1"}]
    moved = shown("[x](skill:S11.9)", address=lambda skill: f"/here/{skill}.html")
    assert Page(moved).named("a") == [{"href": "/here/S11.9.html"}]
    assert outline("[x](skill:S3.1) [y](skill:S11.9)").skills == ("S3.1", "S11.9")


def test_images_are_named_as_faults_and_shown_as_text():
    assert assert_harmless(shown("![a loop](loop.png)")).text.strip() == "a loop"
    assert outline("![a loop](loop.png)").faults == ("image = loop.png: is not shown: a figure is a figure block",)


DIRECTIVES = """
```example
problem = "silo-level"
seed = 7
```

```figure
name = "range bars"
caption = "A kiln, 0 to 1250 °C."
upper = 1250.0
marks = [4, 20]
```
"""


def test_directives_are_found_and_rendered():
    found = outline(DIRECTIVES)
    assert found.examples == (Example("silo-level", 7),)
    assert found.figures == (Figure("range bars", {"upper": 1250.0, "marks": [4, 20]}, "A kiln, 0 to 1250 °C."),)
    assert found.faults == ()
    seen = []
    html = shown(
        DIRECTIVES,
        example=lambda problem, seed: seen.append((problem, seed)) or "<section>E</section>",
        figure=lambda name, values, caption: seen.append((name, dict(values), caption)) or "<figure>F</figure>",
    )
    assert html == "<section>E</section><figure>F</figure>"
    assert seen == [
        ("silo-level", 7),
        ("range bars", {"upper": 1250.0, "marks": [4, 20]}, "A kiln, 0 to 1250 °C."),
    ]


@pytest.mark.parametrize(
    ("block", "fault"),
    [
        ('```example\nproblem = "a"\nsead = 7\n```', "did you mean seed?"),
        ('```example\nproblem = "a"\nseed = true\n```', "seed = True: is a whole number from 0"),
        ("```example\nseed = 7\n```", "problem = None: is the id of a problem"),
        ("```example\nseed = \n```", "cannot be read"),
        ("```example\na = " + "[" * 3000 + "\n```", "cannot be read"),
        ('```figure\nname = "a"\n```', "caption = None: is a text and required"),
        ('```figure\nname = 3\ncaption = "c"\n```', "name = 3: is a text and required"),
        (r"$\frac{1}$", r"formula = \frac{1}: has 1 parts in mfrac"),
        ("# Title", "heading = Title: starts with ##"),
        ("Title\n===", "heading = Title: starts with ##"),
        ("## A\n\n#### B", "heading = B: skips a level: ### comes first"),
        ("|  | b |\n|--|--|\n| 1 | 2 |", "table = nothing: has words in every head cell"),
    ],
)
def test_faults_of_a_text(block, fault):
    found = outline(block, ("a.md",))
    assert any(fault in line for line in found.faults), found.faults
    assert all(line.startswith("a.md: ") for line in found.faults)
    assert_harmless(shown(block))


def test_all_faults_at_once():
    text = "# T\n\n[x](https://example.org) $\\frac{1}$\n\n```example\n```\n\n```figure\n```\n"
    heads = {line.partition(" = ")[0] for line in outline(text).faults}
    assert heads == {
        "heading",
        "link",
        "formula",
        "example: problem",
        "example: seed",
        "figure: name",
        "figure: caption",
    }


@pytest.mark.parametrize(
    "text",
    ["[" * 20_000, "![" * 10_000, "> " * 20_000, "$" * 20_000, "[a](" * 8_000, "*_" * 20_000, "|a" * 10_000],
)
def test_hostile_repetition_ends_soon(text):
    start = time.perf_counter()
    assert_harmless(shown(text))
    assert time.perf_counter() - start < 10  # seconds; measured under 1


def test_length_is_bounded():
    for reader in (shown, outline):
        with pytest.raises(TrainerError, match="has 65537 characters; at most 65536"):
            reader("[" * 65_537)


HOSTILE = r"""
<script> </script> <img/src=x/onerror=alert(1)> <a/href=x> <!-- --> <![CDATA[ onclick=x <javascript:a>
![x](data:a) [x](javascript:alert(1)) [x](skill:S3.1) $x$ $$ $\text{<script>}$ ``` ```example ```figure
[a]: [ ] ( ) ![ # ## === +++ | |-| > - * _ ` \ & &lt; &#0; &#106;avascript: name="<script>"
[x](/a'onload=1')
"""
PIECES = st.sampled_from([*HOSTILE.split(), "\n", "\n\n", " ", "\t", '[x](/a "onload=1")'])


@given(st.one_of(st.text(max_size=200), st.lists(PIECES, max_size=30).map("".join)))
def test_any_text_is_harmless(text):
    html = shown(text)
    assert "<script" not in html.lower()
    assert_harmless(html)
    outline(text)
