"""Sign-offs: the evidence for a skill, an instructor's word, and work that was witnessed."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("signoffs", __name__)
