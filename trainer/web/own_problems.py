"""Own problems: choose a worksheet and ranges, look at variants, keep them in a bank."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("own_problems", __name__)
