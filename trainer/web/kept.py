"""What is kept of a person, who sees it, for how long, and where it lies."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("kept", __name__)
