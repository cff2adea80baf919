"""Results of a set, a learner's sheet with what is said of it, marking again, slips seen."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("results", __name__)
