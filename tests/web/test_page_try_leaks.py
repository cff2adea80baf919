"""An assessed try tells nothing of its answers, before it is handed in and after, until the solutions are shown.

The check is that of the open sheets: with other answers, slips and formulas in what is kept, pages, figures, answers to
the script and headers stay the same to the byte. OWASP ASVS 5.0.0, V15.3.1.
"""

from itertools import cycle

import pytest
from set_room import BRINE, Room, keep, try_of
from test_page_entries import form_of
from test_page_leaks import disguise
from web_visitors import Visitor, services_of, without_tokens

from trainer.figures import THEMES
from trainer.practice.sheet import MODES
from trainer.storage.results import attempts_of_try

AT_ONCE, SHARES = 24, 3  # problems in a try; shares, so that several processes can share the problems


@pytest.fixture
def room(app) -> Room:
    return Room(app)


@pytest.fixture
def ada(visitor, room) -> Visitor:
    room.admit(visitor.become_guest())
    return visitor


def put(app, address: str, change) -> None:
    """Put other snapshots into the attempts of a try."""
    with services_of(app).database.writing() as session:
        for attempt in attempts_of_try(session, try_of(address)):
            attempt.snapshot = change(attempt)


def disguise_all(app, address: str) -> dict:
    """Put other answers into the attempts of a try, and tell what stood there."""
    stood = {}

    def change(attempt):
        stood[attempt.id] = attempt.snapshot
        return disguise(attempt.snapshot)

    put(app, address, change)
    return stood


def seen(visitor, paths) -> dict[str, str]:
    """All that is given at some addresses."""
    told = {}
    for path in paths:
        answer = visitor.get(path)
        headers = [f"{name}: {value}" for name, value in answer.headers if name not in ("Date", "Set-Cookie")]
        told[path] = "\n".join([str(answer.status_code), *headers, without_tokens(answer.get_data(as_text=True))])
    return told


def fill(room, visitor, address: str, number: int) -> None:
    """Right values into every box of a sheet."""
    page = visitor.page(f"{address}/{number}")
    form = {}
    for step in room.snapshot(address, number).steps:
        if f'name="was.{step.name}"' in page:
            form[f"was.{step.name}"] = "?"
            form |= {f"entry.{step.name}{key.removeprefix('entry')}": text for key, text in form_of(step).items()}
    assert visitor.post(f"{address}/{number}", **form).status_code == 303
    visitor.page(address)  # which says once that it is kept


@pytest.mark.parametrize("share", range(SHARES))
def test_no_page_of_an_assessed_try_depends_on_its_answers(app, room, ada, library, share):
    themes, modes = cycle(THEMES), cycle(MODES)
    chosen = [(problem, next(modes)) for problem in library.problems][share::SHARES]
    for begin in range(0, len(chosen), AT_ONCE):
        part = chosen[begin : begin + AT_ONCE]
        address = room.begin(ada, room.open(f"Set {part[0][0]}", problems=part))
        numbers = range(1, len(part) + 1)
        for number in numbers[:: len(part) // 3]:
            fill(room, ada, address, number)
        ids = [attempt.id for attempt in room.attempts(address)]
        figures = [f"/sheets/{each}/figure/open-{next(themes)}.svg" for each in ids]
        sheets = [f"{address}/{number}" for number in numbers]
        paths = [address, f"{address}/hand-in", *sheets, *figures]
        before = seen(ada, paths)
        assert {told[:3] for told in before.values()} <= {"200", "404"}
        assert not any("Marked" in told for told in before.values())
        stood = disguise_all(app, address)
        assert seen(ada, paths) == before
        put(app, address, lambda attempt, stood=stood: stood[attempt.id])
        assert ada.post(f"{address}/hand-in").status_code == 303
        paths = [address, *sheets, "/", "/progress/"]
        before = seen(ada, paths)
        assert sum("Right." in told for told in before.values()) >= 3
        disguise_all(app, address)
        assert seen(ada, paths) == before


def test_the_answer_to_the_script_does_not_depend_on_them_either(app, room, ada):
    address = room.begin(ada, room.open(problems=((BRINE, "guided"),)))
    texts = ("0.5", "99", "-3 mA", "half", "")

    def answers():
        return [ada.post(f"{address}/1/box", step="fraction", **{"entry.fraction": text}).json for text in texts]

    before = answers()
    disguise_all(app, address)
    assert answers() == before


def test_a_shown_solution_does_depend_on_its_answers(app, room, ada):
    """So the checks above can fail."""
    given = room.open()
    address = room.begin(ada, given)
    keep(ada, address, fraction="0.5")
    ada.post(f"{address}/hand-in")
    room.close(given, release_solutions=True)
    before = seen(ada, [f"{address}/1/solution"])
    disguise_all(app, address)
    assert seen(ada, [f"{address}/1/solution"]) != before
