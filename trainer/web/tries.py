"""A learner's tries at a set: start, work, hand in."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("tries", __name__)
