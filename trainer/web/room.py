"""A problem for the room: one variant shown large, worked together."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("room", __name__)
