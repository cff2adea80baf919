"""Plots of results: where they stand on a page, and the image itself in each theme."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping

from flask import Response, abort, request

from trainer.figures import THEMES, Plain, Theme, draw, words
from trainer.web.sheets import PlacedFigure
from trainer.web.visits import decimal_sign

Values = Mapping[str, Plain]


def placed(name: str, values: Values, address: Callable[[Theme], str]) -> PlacedFigure | None:
    """A plot as the macro ``figure`` takes it; none without values."""
    if not values:
        return None
    light, dark, print_ = map(address, THEMES)
    return PlacedFigure(light, dark, print_, words(name, values, "solved", decimal_sign()))


def image(name: str, values: Values, theme: Theme) -> Response:
    """The plot as an answer, known again by its bytes."""
    if not values:
        abort(404)
    drawn = draw(name, values, "solved", theme, decimal_sign())
    response = Response(drawn, mimetype="image/svg+xml")
    response.set_etag(hashlib.sha256(drawn).hexdigest()[:32])
    response.make_conditional(request)
    return response
