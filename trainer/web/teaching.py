"""The first page of an instructor: groups, their sets, and what waits for an answer."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("teaching", __name__)
