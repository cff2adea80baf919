"""Groups: who is in them, their codes, and joining one."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("groups", __name__)
