"""Marks from paper, found again by the code of a version."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("paper_marks", __name__)
