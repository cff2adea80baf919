import threading
import time
from itertools import groupby

import pytest
from sqlalchemy.exc import TimeoutError as Timeout

from trainer.storage import writer
from trainer.storage.learners import add_learner, list_learners
from trainer.storage.writer import Line


def test_those_who_wait_get_in_as_they_came():
    line, served, came = Line(), [], threading.Semaphore(0)
    assert line.enter(1)

    def wait(number: int) -> None:
        came.release()
        assert line.enter(10)
        served.append(number)
        line.leave()

    threads = [threading.Thread(target=wait, args=(number,)) for number in range(6)]
    for number, thread in enumerate(threads, 1):
        thread.start()
        came.acquire()
        while len(line._waiting) < number:
            time.sleep(0.001)
    line.leave()
    for thread in threads:
        thread.join()

    assert served == list(range(6))


def test_one_who_gives_up_leaves_no_gap():
    line = Line()
    assert line.enter(1)
    assert not line.enter(0.01)
    line.leave()

    assert line.enter(0.01)


def test_the_thread_that_let_go_does_not_get_in_first_again(database, clock):
    turns, rounds, start = [], 20, threading.Barrier(3)

    def work() -> None:
        start.wait()
        for _ in range(rounds):
            with database.writing() as session:
                add_learner(session, "Ada Pump", clock())
                turns.append(threading.get_ident())

    threads = [threading.Thread(target=work) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    longest = max(len(list(run)) for _, run in groupby(turns))

    assert len(turns) == 3 * rounds
    assert longest < 15  # nobody has fifteen turns on end while others wait


def test_a_writer_inside_a_writer_is_told_instead_of_waiting_for_ever(database, clock, monkeypatch):
    monkeypatch.setattr(writer, "PATIENCE", 0.05)

    with database.writing() as outer:
        add_learner(outer, "Ada Pump", clock())
        with database.new_session(writing=True) as inner, pytest.raises(Timeout, match="the database was busy"):
            add_learner(inner, "Ben Weir", clock())

    with database.writing() as after:
        add_learner(after, "Cy Dairy", clock())
        assert [learner.name for learner in list_learners(after)] == ["Ada Pump", "Cy Dairy"]
