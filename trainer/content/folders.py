"""Where the shipped content lies: beside the package in a checkout, inside it when installed."""

from __future__ import annotations

from pathlib import Path

PACKAGE = Path(__file__).resolve().parent.parent


def shipped(name: str) -> Path:
    """The folder of shipped lessons or question banks."""
    inside = PACKAGE / name
    return inside if inside.is_dir() else PACKAGE.parent / name
