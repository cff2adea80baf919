"""What the results of a set say of its problems."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("items", __name__)
