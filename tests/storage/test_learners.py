from datetime import timedelta
from uuid import uuid4

import pytest

from trainer.errors import NotFound
from trainer.storage.learners import add_learner, change_learner, get_learner, list_learners


def test_a_learner_is_found_as_added(session, clock):
    added = add_learner(session, "Ben Weir", clock(), decimal_sign=",", temperature_unit="°F", language="de")
    session.expire_all()
    found = get_learner(session, added.id)

    assert (found.name, found.decimal_sign, found.temperature_unit, found.language) == ("Ben Weir", ",", "°F", "de")
    assert found.created == found.changed == clock()
    assert not found.archived


def test_an_unknown_id_is_not_found(session):
    with pytest.raises(NotFound):
        get_learner(session, uuid4())


def test_only_what_is_given_changes(session, learner, clock):
    clock.advance(timedelta(days=2))
    change_learner(session, learner.id, clock(), decimal_sign=",")
    session.expire_all()
    found = get_learner(session, learner.id)

    assert (found.name, found.decimal_sign, found.temperature_unit) == ("Ada Pump", ",", "°C")
    assert found.changed - found.created == timedelta(days=2)


def test_the_list_leaves_out_guests_and_the_archived(session, learner, clock):
    gone = add_learner(session, "Cy Dairy", clock())
    add_learner(session, "", clock())
    add_learner(session, "Abe Kiln", clock())
    change_learner(session, gone.id, clock(), archived=True)

    assert [found.name for found in list_learners(session)] == ["Abe Kiln", "Ada Pump"]
    assert [found.name for found in list_learners(session, archived=True)] == ["Cy Dairy"]
