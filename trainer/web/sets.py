"""Problem sets: plan, preview, open, close, copy."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("sets", __name__)
