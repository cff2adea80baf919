"""Worksheets of strand S1: bridges in mV/V, load cells above all."""

from __future__ import annotations

from trainer.calculations import bridge
from trainer.worksheets.catalog.elements import BRIDGE_SOURCES as SOURCES
from trainer.worksheets.tolerance import relative, share_of
from trainer.worksheets.worksheet import Worksheet
