import random
from datetime import UTC, datetime, timedelta, timezone

from trainer.storage.ids import new_id


# RFC 9562 (2024), appendix A.6: example of a version 7 UUID, 2022-02-22 14:22:22.00 GMT-05:00,
# 017F22E2-79B0-7CC3-98C4-DC0C0C07398F; its first 48 bits are the milliseconds 0x017F22E279B0.
def test_the_bits_of_version_7():
    made = new_id(datetime(2022, 2, 22, 14, 22, 22, tzinfo=timezone(timedelta(hours=-5))))

    assert made.hex[:12] == "017f22e279b0"
    assert made.version == 7
    assert made.variant == "specified in RFC 4122"


def test_ids_of_one_millisecond_come_in_order():
    at = datetime(2026, 3, 2, tzinfo=UTC)
    ids = [new_id(at) for _ in range(2000)]

    assert ids == sorted(set(ids))


def test_ids_sort_by_their_moment():
    moments = [datetime(2026, 3, 2, tzinfo=UTC) + timedelta(milliseconds=n) for n in range(200)]
    shuffled = random.Random(3).sample(moments, len(moments))
    ids = {at: new_id(at) for at in shuffled}

    assert [ids[at] for at in moments] == sorted(ids.values())


def test_two_makers_of_one_moment_do_not_meet():
    at, later = datetime(2026, 3, 2, tzinfo=UTC), datetime(2026, 3, 3, tzinfo=UTC)
    ids = set()
    for _ in range(500):
        ids |= {new_id(at), new_id(later)}  # going back and forth makes each draw anew

    assert len(ids) == 1000
