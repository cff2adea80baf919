"""Ids in the order of time that two PCs never give twice."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime, timedelta
from threading import Lock
from uuid import UUID

from trainer.clock import as_utc

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_lock = Lock()
_last = (0, 0)


def new_id(at: datetime) -> UUID:
    """An id that sorts by the moment it was made, and within a millisecond after the ones made before it.

    References
    ----------
    RFC 9562 (2024), section 5.7 (version 7) and section 6.2, method 2 (monotonic random).
    """
    global _last
    milliseconds = (as_utc(at) - _EPOCH) // timedelta(milliseconds=1)
    with _lock:
        same = milliseconds == _last[0]
        tail = _last[1] + 1 + secrets.randbits(32) if same else secrets.randbits(73)  # 74 bits: room to count up
        _last = (milliseconds, tail)
    return UUID(int=milliseconds << 80 | 0x7 << 76 | tail >> 62 << 64 | 0b10 << 62 | tail & (1 << 62) - 1)
