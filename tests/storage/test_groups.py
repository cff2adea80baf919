from datetime import timedelta
from uuid import uuid4

import pytest
from sqlalchemy.exc import IntegrityError

from trainer.errors import NotFound
from trainer.storage import groups
from trainer.storage.learners import add_learner


@pytest.fixture
def group(session, clock):
    return groups.add_group(session, "Night shift", "AAAA-2222", clock())


def test_a_group_is_found_by_id_name_and_code(session, group):
    assert groups.get_group(session, group.id) is group
    assert groups.find_group(session, " NIGHT shift") is group
    assert groups.group_by_code(session, "AAAA-2222") is group
    assert (groups.find_group(session, "Day"), groups.group_by_code(session, "BBBB-2222")) == (None, None)
    with pytest.raises(NotFound, match="there is no such group"):
        groups.get_group(session, uuid4())


@pytest.mark.parametrize(("name", "code"), [("night SHIFT", "BBBB-2222"), ("Day shift", "AAAA-2222")])
def test_names_and_codes_are_one_group_s(session, group, clock, name, code):
    with pytest.raises(IntegrityError):
        groups.add_group(session, name, code, clock())


def test_the_list_counts_who_is_in(session, group, learner, clock):
    other = groups.add_group(session, "Day shift", "BBBB-2222", clock())
    ben = add_learner(session, "Ben", clock())
    for who in (learner, ben):
        groups.put_member(session, group.id, who.id, clock())
    groups.end_membership(session, group.id, ben.id, clock())
    assert [(line.group.name, line.members, line.open_sets) for line in groups.list_groups(session)] == [
        ("Day shift", 0, 0),
        ("Night shift", 1, 0),
    ]
    other.archived = True
    session.flush()
    assert [line.group.name for line in groups.list_groups(session)] == ["Night shift"]
    assert [line.group.name for line in groups.list_groups(session, archived=True)] == ["Day shift"]
    assert groups.group_by_code(session, "BBBB-2222") is None


def test_a_membership_is_one_row_that_ends_and_begins_again(session, group, learner, clock):
    begun = clock()
    groups.put_member(session, group.id, learner.id, begun)
    assert groups.is_member(session, group.id, learner.id)
    clock.advance(timedelta(days=1))
    groups.end_membership(session, group.id, learner.id, clock())
    groups.end_membership(session, group.id, learner.id, clock() + timedelta(days=1))
    assert not groups.is_member(session, group.id, learner.id)
    assert groups.members_of(session, group.id) == []
    (past,) = groups.members_of(session, group.id, past=True)
    assert (past.joined, past.ended, past.name) == (begun, clock(), "Ada Pump")
    groups.put_member(session, group.id, learner.id, clock())
    (back,) = groups.members_of(session, group.id)
    assert (back.joined, back.ended) == (begun, None)
    groups.end_membership(session, uuid4(), learner.id, clock())  # not there: nothing to end


def test_a_learner_s_groups_without_those_put_away(session, group, learner, clock):
    other = groups.add_group(session, "Day shift", "BBBB-2222", clock())
    for each in (group, other):
        groups.put_member(session, each.id, learner.id, clock())
    assert [each.name for each in groups.groups_of(session, learner.id)] == ["Day shift", "Night shift"]
    other.archived = True
    session.flush()
    assert [each.name for each in groups.groups_of(session, learner.id)] == ["Night shift"]
