"""What somebody with bad intent would try at the pages and at the server itself; each was possible once.

By OWASP ASVS 5.0.0: V15.3.1 (data given out), V6.3.1 (guessing), V7.4.2 (ended accounts), V1.2.10 (formulas in CSV),
V15.2.2 and V5.2.1 (resources taken by a request or a file).
"""

import json
import socket
from contextlib import contextmanager
from threading import Thread
from urllib.request import urlopen
from uuid import uuid4

import pytest
from set_room import BRINE, Room, keep, try_of
from test_page_leaks import disguise, keep_disguised
from web_visitors import Visitor, attempt_of, learners, services_of

from trainer.errors import OutOfRange
from trainer.exchange.csv_files import csv_chunks
from trainer.exchange.handover_rows import LONGEST_LINE, check, rows_of
from trainer.practice import accounts, handovers, reviews, sets
from trainer.practice.accounts import TRIES, WINDOW, SignInRefused, Throttled, add_person, note_failures, sign_in
from trainer.practice.person_records import SHOWN
from trainer.storage.attempts import HUNT, get_attempt
from trainer.storage.models import Account
from trainer.storage.results import attempts_of_try
from trainer.storage.reviews import add_sign_off
from trainer.web.requests import LARGEST_HEAD, PageServer
from trainer.worksheets.expressions import node

WORDS, NEW = "four tinned ferrules", "blue heron kettle"
WAIT = 4.0  # s, less than the server gives an idle connection


def copy_of(visitor: Visitor) -> dict:
    """The own record as a file, without what differs each time it is taken."""
    copy = json.loads(visitor.get("/kept/record.json").data)
    return {name: part for name, part in copy.items() if name not in ("exported", "deletion_key")}


def attempt_in(copy: dict) -> dict:
    return copy["record"]["attempt"][-1]


@pytest.fixture
def lea(app) -> Visitor:
    """Signed in with an account."""
    with services_of(app).database.writing() as session:
        code = add_person(session, "Lea", "learner", services_of(app).clock()).code
    visitor = Visitor(app)
    assert visitor.post("/code", code=code, passphrase=WORDS, again=WORDS).status_code == 303
    return visitor


# The copy of one's own record.
@pytest.mark.parametrize("mode", ["guided", "unguided"])
def test_a_copy_of_the_record_tells_no_answer_of_an_open_sheet(app, visitor, mode):
    sheet = visitor.start(BRINE, mode)
    visitor.enter(sheet, "fraction" if mode == "guided" else "value", "12345")
    before = copy_of(visitor)
    assert "seed" not in attempt_in(before)
    assert set(attempt_in(before)["snapshot"]) <= {*SHOWN, "givens"}
    assert {"basis", "message", "slip"}.isdisjoint(before["record"]["mark"][0])
    keep_disguised(app, sheet)
    assert copy_of(visitor) == before
    visitor.post(f"{sheet}/solution")
    assert attempt_in(copy_of(visitor))["snapshot"]["steps"]


def test_a_copy_of_the_record_tells_no_answer_of_an_assessed_set_before_its_release(app, visitor):
    room = Room(app)
    room.admit(visitor.become_guest())
    made = room.open(kind="assessed")
    address = room.begin(visitor, made)

    def tells_nothing() -> None:
        before = copy_of(visitor)
        with services_of(app).database.writing() as session:
            (attempt,) = attempts_of_try(session, try_of(address))
            stood, seed = attempt.snapshot, attempt.seed
            attempt.snapshot, attempt.seed = disguise(stood), seed + 1
        assert copy_of(visitor) == before
        with services_of(app).database.writing() as session:
            (attempt,) = attempts_of_try(session, try_of(address))
            attempt.snapshot, attempt.seed = stood, seed

    tells_nothing()
    keep(visitor, address, fraction="0.9999")
    assert visitor.post(f"{address}/hand-in").status_code == 303
    tells_nothing()
    assert "basis" not in copy_of(visitor)["record"]["mark"][0]
    room.close(made)
    with services_of(app).database.writing() as session:
        sets.release_solutions(session, made.id, services_of(app).clock())
    assert attempt_in(copy_of(visitor))["snapshot"]["steps"]
    assert copy_of(visitor)["record"]["mark"][0]["basis"]


def test_a_copy_of_the_record_tells_no_fault_of_an_open_hunt(app, visitor):
    hunt = visitor.post("/hunts/", rig="dairy-outlet").location
    with services_of(app).database.reading() as session:
        kept = get_attempt(session, attempt_of(hunt), kind=HUNT).snapshot
    assert {"fault", "truth"} <= set(kept)
    assert set(attempt_in(copy_of(visitor))["snapshot"]) == {"title", "symptom", "givens"}
    assert "seed" not in attempt_in(copy_of(visitor))


# Guessing.
def test_the_old_passphrase_cannot_be_guessed_at_an_open_browser(app, lea, clock):
    change = {"passphrase": NEW, "again": NEW}
    tried = [lea.post("/passphrase", old=f"guess {n}", **change).status_code for n in range(TRIES)]
    assert tried == [400] * TRIES
    late = lea.post("/passphrase", old=WORDS, **change)
    assert (late.status_code, "Retry-After" in late.headers) == (429, True)
    assert Visitor(app).post("/sign-in", name="Lea", passphrase=WORDS).status_code == 303
    clock.advance(WINDOW)
    assert lea.post("/passphrase", old=WORDS, **change).status_code == 303


def test_many_guesses_at_the_same_time_are_no_more_than_one_after_another(app, lea, monkeypatch):
    found = services_of(app)

    def while_others_fail(*_) -> bool:
        for _ in range(TRIES):
            note_failures(found.database, ("name lea",), found.clock())
        return True

    monkeypatch.setattr(accounts, "matches", while_others_fail)
    with pytest.raises(Throttled):
        sign_in(found.database, "Lea", WORDS, "10.0.0.1", found.clock())


def test_ones_own_name_is_no_passphrase_where_a_code_knows_the_name(app):
    with services_of(app).database.writing() as session:
        code = add_person(session, "Lea Kettle", "learner", services_of(app).clock()).code
    visitor = Visitor(app)
    assert visitor.post("/code", code=code, passphrase="lea kettle", again="lea kettle").status_code == 400
    assert visitor.post("/code", code=code, passphrase=WORDS, again=WORDS).status_code == 303


# Ended accounts.
@pytest.mark.parametrize("change", [{"disabled": True}, {"passphrase_hash": "another"}])
def test_a_sign_in_on_its_way_does_not_outlive_what_ends_it(app, lea, monkeypatch, change):
    found = services_of(app)

    def meanwhile(*_) -> bool:
        alter(app, **change)
        return True

    monkeypatch.setattr(accounts, "matches", meanwhile)
    with pytest.raises(SignInRefused):
        sign_in(found.database, "Lea", WORDS, "10.0.0.1", found.clock())


def test_a_session_of_a_disabled_account_is_nobodys(app, lea):
    assert lea.get("/passphrase").status_code == 200
    alter(app, disabled=True)
    assert lea.get("/passphrase").status_code == 303
    assert "Lea" not in lea.page("/")


def alter(app, **change) -> None:
    with services_of(app).database.writing() as session:
        account = session.query(Account).filter_by(name="Lea").one()
        for name, value in change.items():
            setattr(account, name, value)


# Files that are taken or given out.
@pytest.mark.parametrize("text", ["Bo;=1+1", "Bo\t=1+1", 'Bo";=1+1', "Bo\n=1+1"])
def test_a_cell_does_not_fall_apart_where_another_sign_parts_cells(text):
    lines = b"".join(csv_chunks(["name", "mark"], [[text, 1.0]])).decode("utf-8-sig")
    assert lines == 'name,mark\r\n"' + text.replace('"', '""') + '",1\r\n'


def test_a_small_file_does_not_unpack_to_one_enormous_row():
    row = {"attempt_id": "01", "step": "a", "text": "b", "kept": "c" * LONGEST_LINE}
    with pytest.raises(ValueError, match="does not hold what it should"):
        rows_of("draft", json.dumps(row).encode())


def test_rows_are_read_one_after_another(monkeypatch):
    read = []
    monkeypatch.setattr("trainer.exchange.handover_rows.json.loads", lambda line, **_: read.append(line))
    with pytest.raises(ValueError, match="does not hold what it should"):
        rows_of("draft", b"{}\n" * 1000)
    assert read == ["{}\n"]


# Expressions of banks: whole numbers have no end, so nothing is worked with a power of any size.
def test_rounding_works_with_floats_alone():
    assert [type(node(text)({})) for text in ("round(floor(15.5), 0 - 1)", "round(1 < 2, 0 - 1)")] == [float, float]


def test_a_word_has_a_number_of_bits_that_words_have():
    with pytest.raises(OutOfRange, match="bits 65 is outside 1 to 64"):
        node("counts.overflows(floor(5), floor(65))")({})


def test_a_whole_number_has_no_parts():
    with pytest.raises(TypeError, match="is no part"):
        node("zones.Zone(1).to_bytes(floor(9))")({})


# The server itself, with a single thread.
@contextmanager
def served(app):
    server = PageServer(("127.0.0.1", 0), app, numthreads=1)
    server.timeout = WAIT + 4.0
    server.prepare()
    running = Thread(target=server.serve)
    running.start()
    try:
        yield server.bind_addr[1]
    finally:
        server.stop()
        running.join()


def answer_to(port: int, *parts: bytes) -> bytes:
    """The first line that the server sends."""
    with socket.create_connection(("127.0.0.1", port), timeout=WAIT) as connection:
        try:
            for part in parts:
                connection.sendall(part)
        except OSError:
            pass  # it does not read on
        return connection.recv(1000).partition(b"\r\n")[0]


def test_idle_connections_keep_nobody_waiting(app):
    with served(app) as port:
        idle = [socket.create_connection(("127.0.0.1", port)) for _ in range(5)]
        try:
            assert urlopen(f"http://127.0.0.1:{port}/sign-in", timeout=WAIT).status == 200
            idle[0].sendall(f"GET /sign-in HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode())
            idle[0].settimeout(WAIT)
            assert idle[0].recv(1000).startswith(b"HTTP/1.1 200")
        finally:
            for each in idle:
                each.close()


def test_a_head_has_an_end(app):
    with served(app) as port:
        start = f"GET /sign-in HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n".encode()
        assert b"200" in answer_to(port, start, b"X: " + b"a" * (LARGEST_HEAD // 2) + b"\r\n\r\n")
        assert b"413" in answer_to(port, start, b"X: " + b"a" * LARGEST_HEAD + b"\r\n\r\n")
        assert b"414" in answer_to(port, b"GET /" + b"a" * LARGEST_HEAD + b" HTTP/1.1\r\n\r\n")


def test_a_form_says_how_long_it_is(app):
    with served(app) as port:
        start = f"POST /sign-in HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nTransfer-Encoding: chunked\r\n\r\n"
        assert b"411" in answer_to(port, start.encode(), b"7fffffff\r\n")


# A record that was handed over is a file that its learner may have changed.
def test_a_file_does_not_change_a_result_of_a_set_that_is_here(app, visitor):
    room = Room(app)
    room.admit(visitor.become_guest())
    address = room.begin(visitor, room.open(kind="practice"))
    assert visitor.post(f"{address}/hand-in").status_code == 303
    with services_of(app).database.writing() as session:
        (kept,) = room.attempts(address)
        carried = handovers.hand_over(session, kept.learner_id)
        (row,) = carried.tables["attempt"]
        row |= {"value": 1.0, "finished": row["finished"] - WINDOW, "evidence": True}
        word = {"attempt_id": kept.id, "by_name": "Ina", "made": kept.finished}
        carried.tables["override"].append({"id": uuid4(), "value": 1.0, "reason": "Well done.", **word})
        carried.tables["remark"].append({"id": uuid4(), "text": "A word.", **word})
        handovers.collect(session, carried)
    with services_of(app).database.reading() as session:
        found = reviews.review(session, kept.id)
    assert (found.value, found.attempt.finished, found.overrides) == (0.0, kept.finished, ())
    assert [each.text for each in found.remarks] == ["A word."]


@pytest.mark.parametrize("change", [{"kind": "riddle"}, {"value": "abc"}, {"decimals": 10**6}, {"name": "another"}])
def test_a_file_with_a_sheet_that_cannot_be_shown_is_refused(app, visitor, change):
    visitor.enter(visitor.start(), "fraction", "0.5")
    with services_of(app).database.reading() as session:
        (learner,) = learners(app)
        carried = handovers.hand_over(session, learner)
    check(carried.tables)
    carried.tables["attempt"][0]["snapshot"]["steps"][0] |= change
    with pytest.raises((ValueError, TypeError, ArithmeticError)):
        check(carried.tables)


@pytest.mark.parametrize("evidence", [{}, {"standing": {}}, {"standing": "x", "attempts": 1}])
def test_a_sign_off_with_strange_evidence_is_shown(app, visitor, evidence):
    learner = visitor.become_guest()
    with services_of(app).database.writing() as session:
        add_sign_off(session, learner, "S3.2", by_name="Ina", remark="Seen.", evidence=evidence, at=app_time(app))
    teacher = Visitor(app)
    teacher.become_instructor()
    assert "Seen." in teacher.page(f"/people/{learner}/skills/S3.2")


def app_time(app):
    return services_of(app).clock()
