"""A record carried between PCs: nothing is lost and nothing is taken twice, in whatever order."""

import json
from itertools import permutations
from uuid import UUID

import pytest
from handover_shop import CLOCK, Pc
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from set_shop import RIGHT

from trainer.errors import Conflict, NotFound
from trainer.exchange.handover_rows import COLUMNS
from trainer.exchange.handovers import unpack
from trainer.practice import people
from trainer.practice.handovers import collect, hand_over, known_under, look, works
from trainer.practice.record_merging import joined
from trainer.storage.accounts import own_work
from trainer.storage.records import delete_record

ADDED = ("attempt", "entry", "mark", "override", "remark", "complaint", "sign_off", "witnessed")


@pytest.fixture(scope="module")
def pcs(tmp_path_factory) -> list[Pc]:
    folder = tmp_path_factory.mktemp("pcs")
    opened = [Pc(folder, name) for name in ("workshop", "class", "site")]
    yield opened
    for pc in opened:
        pc.database.close()


def carry(pcs, learner, source, target) -> None:
    pcs[target].collect(pcs[source].handed_over(learner))


def exchange_all(pcs, learner) -> None:
    """Round the ring twice: after the first round one PC has seen everything, after the second all have."""
    for _ in range(2):
        for source in range(len(pcs)):
            carry(pcs, learner, source, (source + 1) % len(pcs))


def ids_of(state) -> set:
    return {(name, row["id"]) for name in ADDED for row in state[name]}


# Any order of work, handing over and collecting

ON_SHEETS = ("enter", "enter", "enter", "steps", "solution", "aid", "draft", "remark", "override", "complain")
ACTS = st.sampled_from(("start", "unguided", *ON_SHEETS, "preferences", "answer", "sign_off", "withdraw", "witness"))
TEXTS = st.sampled_from(("0.45", "112.5", "0.56", "140", "45", "-0.45", "?"))
WORK = st.tuples(
    st.integers(0, 2), ACTS, st.integers(0, 5), st.sampled_from(("fraction", "value")), TEXTS, st.booleans()
)
CARRY = st.tuples(st.integers(0, 2), st.integers(0, 2)).filter(lambda pair: pair[0] != pair[1])


def act(pc, learner, kind, number, step, text, same) -> None:
    state = pc.state(learner)
    if not state["learner"]:
        return
    if kind in ("start", "unguided"):
        pc.start(learner, "guided" if kind == "start" else kind)
    elif kind == "preferences":
        pc.preferences(learner, "," if same else ".")
    elif kind in ("sign_off", "witness"):
        getattr(pc, kind)(learner)
    elif kind == "withdraw" and state["sign_off"]:
        pc.withdraw(state["sign_off"][number % len(state["sign_off"])]["id"], text)
    elif kind == "answer":
        for each in state["complaint"][number:]:
            if each["settled"] is None:
                pc.answer(each["id"], text)
    elif state["attempt"]:
        on_sheet(pc, learner, kind, state["attempt"][number % len(state["attempt"])], step, text, same)


def on_sheet(pc, learner, kind, attempt, step, text, same) -> None:
    own = attempt["id"]
    try:
        if kind == "enter":
            pc.enter(learner, own, step, text, "the same form" if same else "")
        elif kind in ("steps", "solution"):
            getattr(pc, kind)(own, learner)
        elif kind == "override":
            pc.override(own, 0.5)
        elif kind == "draft" and attempt["finished"] is None:
            pc.draft(own, text)
        elif kind in ("aid", "remark", "complain"):
            getattr(pc, kind)(own)
    except Conflict:
        pass  # the sheet asks for nothing like that now


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.one_of(WORK, WORK, CARRY), max_size=24), st.data())
def test_whatever_the_order_all_pcs_hold_the_same_in_the_end_and_nothing_is_lost(pcs, course, data):
    learner = pcs[0].person()
    sheet = pcs[0].start(learner)
    for target in (1, 2):
        carry(pcs, learner, 0, target)
    kept = {("attempt", sheet)}
    old = [pcs[0].handed_over(learner)]
    for each in course:
        if len(each) == 2:
            old.append(pcs[each[0]].handed_over(learner))
            pcs[each[1]].collect(old[-1])
        else:
            act(pcs[each[0]], learner, *each[1:])
        kept |= ids_of(pcs[each[0]].state(learner))
    exchange_all(pcs, learner)
    states = [pc.state(learner) for pc in pcs]
    assert states[0] == states[1] == states[2]
    assert kept <= ids_of(states[0])
    for content in data.draw(st.permutations(old)):  # an old stick found again
        assert pcs[1].collect(content).nothing_new
    assert pcs[1].state(learner) == states[0]
    firsts = [(row["attempt_id"], row["step"]) for row in states[0]["entry"] if row["first"]]
    assert len(firsts) == len(set(firsts))


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(WORK, min_size=3, max_size=15))
def test_joining_copies_of_a_sheet_is_commutative_associative_and_idempotent(pcs, course):
    learner = pcs[0].person()
    sheet = pcs[0].start(learner, "unguided")
    for target in (1, 2):
        carry(pcs, learner, 0, target)
    for each in course:
        act(pcs[each[0]], learner, *each[1:])
    copies = []
    for pc in pcs:
        with pc.database.reading() as session:
            copies.append(works(hand_over(session, learner).tables)[sheet].tables())

    def join(one, other):
        return joined(*(works(_whole(tables))[sheet] for tables in (one, other))).tables()

    outcomes = {_text(join(join(a, b), c)) for a, b, c in permutations(copies)}
    outcomes |= {_text(join(a, join(b, c))) for a, b, c in permutations(copies)}
    assert len(outcomes) == 1
    together = join(join(*copies[:2]), copies[2])
    assert all(_text(join(together, each)) == _text(together) for each in (*copies, together))


def _whole(tables):
    return dict.fromkeys(COLUMNS, ()) | tables


def _text(tables) -> str:
    """Rows in one order; which of two PCs' rows came first is nothing that is kept."""
    return json.dumps({name: sorted(map(repr, map(_sorted, rows))) for name, rows in sorted(tables.items())})


def _sorted(row):
    return sorted(row.items())


# What changes in place


@pytest.fixture
def twins(pcs):
    """A person with a sheet under way on two PCs."""
    learner = pcs[0].person()
    sheet = pcs[0].start(learner)
    carry(pcs, learner, 0, 1)
    return learner, sheet


def both(pcs, learner):
    """The same state on two PCs after an exchange."""
    carry(pcs, learner, 0, 1)
    carry(pcs, learner, 1, 0)
    one, other = (pc.state(learner) for pc in pcs[:2])
    assert one == other
    return one


def test_a_sheet_worked_half_on_each_pc_is_finished_when_the_halves_meet(pcs, twins):
    learner, sheet = twins
    pcs[0].enter(learner, sheet, "fraction", "0.45")
    carry(pcs, learner, 0, 1)
    pcs[1].enter(learner, sheet, "value", "112.5")
    (row,) = both(pcs, learner)["attempt"]
    assert (row["value"], row["evidence"]) == (1.0, True)


def test_halves_typed_without_knowing_of_each_other_are_valued_together(pcs):
    learner = pcs[0].person()
    sheet = pcs[0].start(learner)
    carry(pcs, learner, 0, 1)
    pcs[0].enter(learner, sheet, "fraction", "0.56")  # the live zero left in: worth nothing
    pcs[1].enter(learner, sheet, "fraction", "0.45")
    pcs[1].enter(learner, sheet, "value", "112.5")
    state = both(pcs, learner)
    (row,) = state["attempt"]
    assert row["value"] == 1.0  # as it was finished there
    assert [each["text"] for each in state["entry"] if each["first"]] == ["0.56", "112.5"]
    assert sorted(each["number"] for each in state["entry"] if each["step"] == "fraction") == [1, 2]


def test_help_taken_on_one_pc_counts_on_the_other(pcs, twins):
    learner, sheet = twins
    pcs[1].solution(sheet, learner)
    for step, text in RIGHT["booster"].items():
        pcs[0].enter(learner, sheet, step, text)
    (row,) = both(pcs, learner)["attempt"]
    assert (row["value"], row["aided"], row["evidence"]) == (1.0, True, False)
    assert {each["counts"] for each in pcs[0].state(learner)["evidence"]} == {False}


def test_a_solution_looked_at_after_the_end_takes_nothing_away(pcs, twins):
    learner, sheet = twins
    for step, text in RIGHT["booster"].items():
        pcs[0].enter(learner, sheet, step, text)
    carry(pcs, learner, 0, 1)
    pcs[1].solution(sheet, learner)
    (row,) = both(pcs, learner)["attempt"]
    assert (row["aided"], row["evidence"]) == (False, True)
    assert row["solution_opened"] is not None


def test_the_preferences_changed_last_hold_on_both(pcs, twins):
    learner, _ = twins
    pcs[0].preferences(learner, ",")
    pcs[1].preferences(learner, ".")
    (row,) = both(pcs, learner)["learner"]
    assert row["decimal_sign"] == "."


def test_the_first_answer_and_the_first_withdrawal_hold(pcs, twins):
    learner, sheet = twins
    told, signed = pcs[0].complain(sheet), pcs[0].sign_off(learner)
    carry(pcs, learner, 0, 1)
    pcs[1].answer(told, "The unit is right.")
    pcs[1].withdraw(signed, "Not seen after all.")
    pcs[0].answer(told, "Mended.")
    pcs[0].withdraw(signed, "Wrong person.")
    state = both(pcs, learner)
    assert [each["answer"] for each in state["complaint"]] == ["The unit is right."]
    assert [each["withdrawn_reason"] for each in state["sign_off"]] == ["Not seen after all."]


def test_a_draft_that_was_handed_in_elsewhere_does_not_come_back(pcs, twins):
    learner, sheet = twins
    pcs[0].draft(sheet, "11")
    pcs[0].enter(learner, sheet, "fraction", "0.45")
    carry(pcs, learner, 0, 1)
    assert [each["text"] for each in pcs[1].drafts(sheet)] == ["11"]
    pcs[1].draft(sheet, "112")
    assert [each["text"] for each in both(pcs, learner)["draft"]] == ["112"]
    pcs[1].enter(learner, sheet, "value", "112.5")
    assert both(pcs, learner)["draft"] == []


# Whose record it is


def test_a_record_that_is_new_arrives_without_an_account_and_can_be_given_one(pcs):
    learner = pcs[0].person("Wim Weir")
    arrival = pcs[1].collect(pcs[0].handed_over(learner))
    assert (arrival.known, arrival.new["learner"]) == (False, 1)
    with pcs[1].database.writing() as session:
        assert people.find_person(session, learner, CLOCK()).role == people.GUEST
        people.give_account(session, learner, CLOCK())
    carry(pcs, learner, 0, 1)  # an account here stays as it is
    with pcs[1].database.reading() as session:
        assert people.find_person(session, learner, CLOCK()).name == "Wim Weir"


def test_the_same_name_is_not_the_same_person(pcs):
    here, there = pcs[0].person("Bo Loop"), pcs[1].person("Bo Loop")
    pcs[0].start(here)
    pcs[1].start(there)
    before = pcs[1].state(there)
    arrival = pcs[1].collect(pcs[0].handed_over(here))
    assert not arrival.known
    assert pcs[1].state(there) == before
    assert len(pcs[1].state(here)["attempt"]) == 1


def test_an_instructor_says_that_two_records_are_one_person(pcs):
    here, there = pcs[0].person("Cy Bridge"), pcs[1].person("Cy Bridge")
    sheet, own = pcs[0].start(here), pcs[1].start(there)
    pcs[0].sign_off(here)
    arrival = pcs[1].collect(pcs[0].handed_over(here), into=there)
    assert arrival.into == there
    state = pcs[1].state(there)
    assert {row["id"] for row in state["attempt"]} == {sheet, own}
    assert len(state["sign_off"]) == 1
    assert pcs[1].state(here)["learner"] == []
    # Work goes on at both, and both ways as often as wanted; it is never moved.
    pcs[0].enter(here, sheet, "fraction", "0.45")
    pcs[1].enter(there, sheet, "fraction", "0.56")
    with pytest.raises(Conflict, match="under the record of Cy Bridge"):
        pcs[1].collect(pcs[0].handed_over(here))
    for _ in range(2):
        pcs[1].collect(pcs[0].handed_over(here), into=there)
        pcs[0].collect(pcs[1].handed_over(there), into=here)
    texts = [sorted(row["text"] for row in pc.state(who)["entry"]) for pc, who in ((pcs[0], here), (pcs[1], there))]
    assert texts == [["0.45", "0.56"]] * 2
    assert {row["learner_id"] for row in pcs[0].state(here)["attempt"]} == {here}


def test_work_of_a_guest_who_signed_in_elsewhere_stays_where_it_stands(pcs):
    guest, account = pcs[0].person(""), pcs[0].person("Di Span")
    sheet = pcs[0].start(guest)
    carry(pcs, guest, 0, 1)
    with pcs[0].database.writing() as session:
        own_work(session, guest, account)
    other = pcs[0].start(account)
    content = pcs[0].handed_over(account)
    before = pcs[1].state(guest)
    with pytest.raises(Conflict, match="a guest without a name"):
        pcs[1].collect(content)
    assert pcs[1].state(guest) == before
    assert pcs[1].state(account)["learner"] == []
    with pcs[1].database.reading() as session:
        assert [each.id for each in known_under(session, unpack(content).carried)] == [guest]
    pcs[1].collect(content, into=guest)
    assert {row["id"] for row in pcs[1].state(guest)["attempt"]} == {sheet, other}


def test_a_file_cannot_add_to_the_work_of_somebody_else(pcs):
    victim, forger = pcs[1].person("Eve Zero"), pcs[0].person("Fay Lead")
    sheet = pcs[1].start(victim)
    own = pcs[0].start(forger)
    pcs[0].enter(forger, own, "fraction", "0.45")
    pcs[1].enter(victim, sheet, "fraction", "0.56")
    before = pcs[1].state(victim)
    tables = unpack(pcs[0].handed_over(forger)).carried
    (entry,) = before["entry"]
    mine = tables.tables["entry"][0]["id"]
    for row in (*tables.tables["entry"], *tables.tables["mark"]):
        row |= {"id": entry["id"]} if row["id"] == mine else {"entry_id": entry["id"]}
    with pytest.raises(Conflict, match="not this person's"), pcs[1].database.writing() as session:
        collect(session, tables)
    assert pcs[1].state(victim) == before


def test_looking_changes_nothing_and_tells_what_collecting_does(pcs, twins):
    learner, sheet = twins
    pcs[0].enter(learner, sheet, "fraction", "0.45")
    content = pcs[0].handed_over(learner)
    before = pcs[1].state(learner)
    with pcs[1].database.reading() as session:
        seen = look(session, unpack(content).carried)
    assert pcs[1].state(learner) == before
    assert (seen.new["entry"], seen.new["mark"], seen.new["attempt"]) == (1, 1, 0)
    assert pcs[1].collect(content).new == seen.new


def test_who_is_not_known_cannot_be_handed_over_or_chosen(pcs):
    with pytest.raises(NotFound):
        pcs[0].handed_over(UUID(int=5))
    learner = pcs[0].person()
    with pytest.raises(NotFound):
        pcs[1].collect(pcs[0].handed_over(learner), into=UUID(int=5))


def test_a_record_deleted_here_can_be_collected_again(pcs, twins):
    learner, sheet = twins
    pcs[0].enter(learner, sheet, "fraction", "0.45")
    content, state = pcs[0].handed_over(learner), pcs[0].state(learner)
    with pcs[0].database.writing() as session:
        delete_record(session, learner)
    pcs[0].collect(content)
    assert pcs[0].state(learner) == state
