"""Papers: choose problems, look at a version and its key, print them here or take them as a PDF."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Any

from flask import Blueprint, Response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as Redirect

from trainer.errors import NotFound, TrainerError
from trainer.figures import FIGURES, draw, words
from trainer.language import gettext
from trainer.practice import papers
from trainer.practice.paper_items import GivenLine, OpenFigure, paper_item
from trainer.practice.paper_marks import keep_paper
from trainer.practice.public import LARGEST_SEED, problem_of
from trainer.web.chooser import choice
from trainer.web.policy import open_to
from trainer.web.services import services, writing
from trainer.web.show import formula
from trainer.web.visits import decimal_sign
from trainer.worksheets.problem import Problem
from trainer.worksheets.snapshot import snapshot

pages = Blueprint("papers", __name__, url_prefix="/papers")
USUAL_VERSIONS = 3
MOST_PRINTED = 600  # problems times versions in one file: longer ones would keep others waiting
SIZES = {"A4": "A4", "letter": "letter"}
_printing = Lock()  # one file at a time


@dataclass(frozen=True)
class Order:
    """What is to be printed: problems, versions, seed, title, size of the sheets."""

    problems: tuple[Problem, ...]
    versions: int
    seed: int
    title: str
    size: str

    def arguments(self, **more: Any) -> dict[str, Any]:
        """What an address needs to say all this."""
        names = [problem.id for problem in self.problems]
        own = {"problem": names, "versions": self.versions, "seed": self.seed, "title": self.title, "page": self.size}
        return own | more


@pages.get("/")
@open_to("instructors")
def choose() -> str:
    """Choose problems by strand, skill and level."""
    return _choices()


@pages.post("/")
@open_to("instructors")
def make() -> tuple[str, int] | Redirect:
    """Keep which problems the papers have, so that marks can be typed in by their codes, and show the first one."""
    try:
        order = _order()
        title = papers.check_title(order.title)
    except TrainerError as fault:
        return _choices(str(fault)), 400
    names = [problem.id for problem in order.problems]
    with writing() as session:
        keep_paper(session, names, order.seed, title, services().clock())
    return redirect(url_for("papers.paper", **order.arguments()), 303)


@pages.get("/paper")
@open_to("instructors")
def paper() -> str | Redirect:
    """One version as it is handed out."""
    if not request.args:
        return redirect(url_for("papers.choose"))
    order, version = _order(), _version()
    sheet = papers.paper_of(version, order.title, decimal_sign())
    return render_template(
        "paper.html", paper=sheet, order=order, givens=_given_rows, figure_words=_figure_words, **_links(order, version)
    )


@pages.get("/key")
@open_to("instructors")
def key() -> str | Redirect:
    """The key of one version."""
    if not request.args:
        return redirect(url_for("papers.choose"))
    order, version = _order(), _version()
    sheet = papers.key_of(version, order.title, decimal_sign())
    return render_template("paper_key.html", paper=sheet, order=order, **_links(order, version))


@pages.get("/papers.pdf")
@open_to("instructors")
def papers_file() -> Response | Redirect:
    """All versions as one file."""
    if not request.args:
        return redirect(url_for("papers.choose"))
    order = _printable()
    sheets = (papers.paper_of(version, order.title, decimal_sign()) for version in _drawn(order))
    return _file(order, "papers", sheets, ())


@pages.get("/keys.pdf")
@open_to("instructors")
def keys_file() -> Response | Redirect:
    """The keys of all versions as one file."""
    if not request.args:
        return redirect(url_for("papers.choose"))
    order = _printable()
    keys = (papers.key_of(version, order.title, decimal_sign()) for version in _drawn(order))
    return _file(order, "keys", (), keys)


@pages.get("/figure/<problem_id>/<int:number>.svg")
@open_to("instructors")
def figure(problem_id: str, number: int) -> Response:
    """The open figure of a problem on a paper, by the seed of its numbers."""
    problem = problem_of(services().library.problems, problem_id)
    if number > LARGEST_SEED:
        raise NotFound(gettext("There is no such page."))
    drawn = paper_item(snapshot(problem.variant(number)), 1, decimal_sign()).figure
    if drawn is None or drawn.name not in FIGURES:
        raise NotFound(gettext("There is no such page."))
    return Response(draw(drawn.name, dict(drawn.values), "open", "print", decimal_sign()), mimetype="image/svg+xml")


def _choices(error: str = "") -> str:
    return render_template(
        "papers.html",
        choice=choice(request.values, request.values.getlist("problem")),
        versions=request.values.get("versions", str(USUAL_VERSIONS)),
        seed=request.values.get("seed", "1"),
        title=request.values.get("title", ""),
        sizes=SIZES,
        size=request.values.get("page", "A4"),
        error=error,
    )


def _order() -> Order:
    try:
        problems = papers.chosen(services().library, request.values.getlist("problem"))
    except NotFound as fault:
        raise TrainerError(str(fault)) from fault  # a choice that cannot be met, not a page that is missing
    size = request.values.get("page", "A4")
    if size not in SIZES:
        raise TrainerError(gettext("A sheet is A4 or letter."))
    order = Order(
        problems,
        _number("versions", gettext("number of versions"), USUAL_VERSIONS),
        _number("seed", gettext("seed of the set"), 1),
        request.values.get("title", ""),
        size,
    )
    papers.check_order(order.problems, order.versions, order.seed)
    return order


def _version() -> papers.Version:
    order, number = _order(), _number("version", gettext("version"), 1)
    if not 1 <= number <= order.versions:
        raise TrainerError(gettext("There are versions 1 to {n}.").format(n=order.versions))
    return papers.draw_version(order.problems, order.seed, number)


def _number(name: str, title: str, usual: int) -> int:
    text = request.values.get(name, "").strip() or str(usual)
    if not (text.isascii() and text.removeprefix("-").isdecimal() and len(text) <= 18):
        raise TrainerError(gettext("The {title} is a whole number.").format(title=title))
    return int(text)


def _printable() -> Order:
    order = _order()
    if len(order.problems) * order.versions > MOST_PRINTED:
        said = gettext("{found} problems are too many for one file here; at most {most} are printed at once.")
        raise TrainerError(said.format(found=len(order.problems) * order.versions, most=MOST_PRINTED))
    return order


def _drawn(order: Order) -> Iterable[papers.Version]:
    return papers.draw_versions(order.problems, order.versions, order.seed)


def _file(order: Order, name: str, sheets: Iterable[papers.Paper], keys: Iterable[papers.Key]) -> Response:
    from trainer.exchange.paper_pdf import paper_pdf  # heavy: only where a file is made

    with _printing:
        content = paper_pdf(sheets, keys, "letter" if order.size == "letter" else "A4", decimal_sign())
    answer = Response(content, mimetype="application/pdf")
    answer.headers.set("Content-Disposition", "attachment", filename=f"{name}-{order.seed}.pdf")
    return answer


def _links(order: Order, version: papers.Version) -> dict[str, Any]:
    return {"numbers": range(1, order.versions + 1), "version": version.number, "link": _address(order)}


def _address(order: Order) -> Any:
    return lambda endpoint, **more: url_for(endpoint, **order.arguments(**more))


def _given_rows(givens: Sequence[GivenLine]) -> list[tuple[str, Any, str, str, bool]]:
    return [(each.title, formula(each.symbol, each.title), each.value, each.unit, each.words) for each in givens]


def _figure_words(drawn: OpenFigure | None) -> str:
    if drawn is None or drawn.name not in FIGURES:
        return ""
    return words(drawn.name, dict(drawn.values), "open", decimal_sign())
