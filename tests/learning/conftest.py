"""Settings of the property tests."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("learning", deadline=None)  # a busy computer is no fault of a calculation
settings.load_profile("learning")
