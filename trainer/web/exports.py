"""Results, statistics, people and learning records as files."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("exports", __name__)
