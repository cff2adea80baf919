"""People: make their accounts one by one or from a list, give codes, disable, export, delete."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("people", __name__)
