"""Banks in the data folder: names, whole files, every text kept, nobody overwritten."""

import os
import tomllib
from concurrent.futures import ThreadPoolExecutor
from datetime import date

import pytest
from bank_entries import entry
from hypothesis import given
from hypothesis import strategies as st

from trainer.content import own_banks as module
from trainer.content.bank_writer import written
from trainer.content.folders import shipped
from trainer.content.library import read_library
from trainer.content.own_banks import (
    LARGEST_BANK,
    BankChanged,
    check_name,
    kept_text,
    own_banks,
    read_bank,
    store_bank,
    texts_of,
)
from trainer.content.shelf import Shelf
from trainer.errors import NotFound, TrainerError


@pytest.mark.parametrize("name", ["own", "evening-class", "loops-2", "a" * 40, "history"])
def test_plain_names(name):
    assert check_name(name) == name


# Names of devices: Microsoft's naming rules for files; the same with an ending are the same device.
@pytest.mark.parametrize(
    "name",
    [
        *("", "../secret", "..", ".", "/etc/passwd", "a/b", "a\\b", "C:own", "own.toml", "-own", "own-", "a--b"),
        *("con", "nul", "com1", "lpt9", "aux", "prn", "CON", "Own", "a b", "a\0b", "a\n", "ö", "٣", "a" * 41),
        *("signals", "alarms"),
    ],
)
def test_other_names_are_refused_and_nothing_is_touched(tmp_path, name):
    for refused in (check_name, lambda name: read_bank(tmp_path, name), lambda name: texts_of(tmp_path, name)):
        with pytest.raises(TrainerError):
            refused(name)
    with pytest.raises(TrainerError):
        store_bank(tmp_path, name, "", "")
    assert list(tmp_path.rglob("*")) == []


def test_a_bank_is_stored_and_read_back(tmp_path):
    assert read_bank(tmp_path, "own").seen == ""
    stored = store_bank(tmp_path, "own", "# °C\n", "")
    assert stored == read_bank(tmp_path, "own")
    assert (tmp_path / "question_banks" / "own.toml").read_bytes() == "# °C\n".encode()
    assert own_banks(tmp_path) == ["own"]


def test_every_text_is_kept(tmp_path):
    folder = tmp_path / "question_banks"
    folder.mkdir()
    (folder / "own.toml").write_text("# by hand\n", "utf-8")
    seen = read_bank(tmp_path, "own").seen
    for text in ("# second\n", "# third\n", "# third\n", "# second\n"):
        seen = store_bank(tmp_path, "own", text, seen).seen
    assert [kept.number for kept in texts_of(tmp_path, "own")] == [4, 3, 2, 1]
    texts = [kept_text(tmp_path, "own", number) for number in range(1, 5)]
    assert texts == ["# by hand\n", "# second\n", "# third\n", "# second\n"]
    with pytest.raises(NotFound):
        kept_text(tmp_path, "own", 5)


def test_who_comes_second_is_told_and_nothing_is_lost(tmp_path):
    seen = store_bank(tmp_path, "own", "# one\n", "").seen
    store_bank(tmp_path, "own", "# theirs\n", seen)
    for late in (seen, "", "0" * 64):
        with pytest.raises(BankChanged):
            store_bank(tmp_path, "own", "# mine\n", late)
    assert read_bank(tmp_path, "own").text == "# theirs\n"


def test_of_many_at_once_one_wins(tmp_path):
    seen = store_bank(tmp_path, "own", "# one\n", "").seen

    def store(number):
        try:
            return store_bank(tmp_path, "own", f"# writer {number}\n", seen).text
        except BankChanged:
            return None

    with ThreadPoolExecutor(8) as threads:
        won = [text for text in threads.map(store, range(40)) if text]
    assert won == [read_bank(tmp_path, "own").text]
    assert len(texts_of(tmp_path, "own")) == 2


def test_another_process_that_takes_the_number_of_a_text_is_noticed(tmp_path, monkeypatch):
    seen = store_bank(tmp_path, "own", "# one\n", "").seen
    real = os.open

    def taken_just_before(path, flags, *mode):
        if str(path).endswith("000002.toml"):
            (tmp_path / "question_banks" / "history" / "own" / "000002.toml").write_text("# theirs\n", "utf-8")
        return real(path, flags, *mode)

    monkeypatch.setattr(module.os, "open", taken_just_before)
    with pytest.raises(BankChanged):
        store_bank(tmp_path, "own", "# mine\n", seen)
    assert kept_text(tmp_path, "own", 2) == "# theirs\n"
    assert read_bank(tmp_path, "own").text == "# one\n"


def test_a_disk_that_fails_leaves_the_old_bank(tmp_path, monkeypatch):
    seen = store_bank(tmp_path, "own", "# one\n", "").seen

    def fails(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(module.os, "replace", fails)
    with pytest.raises(TrainerError, match="No space left"):
        store_bank(tmp_path, "own", "# two\n", seen)
    assert read_bank(tmp_path, "own").text == "# one\n"
    assert sorted(path.name for path in (tmp_path / "question_banks").iterdir()) == ["history", "own.toml"]


def test_a_bank_is_on_the_disk_before_it_takes_the_old_ones_place(tmp_path, monkeypatch):
    steps = []
    for name in ("fsync", "replace"):
        real = getattr(os, name)
        monkeypatch.setattr(module.os, name, lambda *args, name=name, real=real: steps.append(name) or real(*args))
    store_bank(tmp_path, "own", "# one\n", "")
    assert steps[:3] == ["fsync", "fsync", "replace"]  # the text in the history, the new file, then its place


def test_a_bank_has_an_end(tmp_path):
    store_bank(tmp_path, "own", "#" * LARGEST_BANK, "")
    with pytest.raises(TrainerError, match="at most"):
        store_bank(tmp_path, "other", "#" * (LARGEST_BANK + 1), "")
    assert own_banks(tmp_path) == ["own"]


def test_the_library_knows_at_once_what_is_stored(tmp_path):
    shelves = [Shelf(read_library(), tmp_path) for _ in range(2)]  # as two processes have them
    first = [shelf.library() for shelf in shelves]
    bank = store_bank(tmp_path, "own", entry(), "")
    for shelf, before in zip(shelves, first, strict=True):
        assert "kiln-current" not in before.problems
        assert shelf.library().problems["kiln-current"].title == "Kiln"
    again = entry(head={"title": '"Roof"'})
    assert len(again) == len(bank.text)  # of the same length, within the same moment
    store_bank(tmp_path, "own", again, bank.seen)
    assert shelves[1].library().problems["kiln-current"].title == "Roof"
    (tmp_path / "question_banks" / "own.toml").unlink()
    assert "kiln-current" not in shelves[0].library().problems


def test_the_library_is_read_once_where_nothing_changes(tmp_path):
    store_bank(tmp_path, "own", entry(), "")
    shelf = Shelf(read_library(tmp_path), tmp_path)
    with ThreadPoolExecutor(8) as threads:
        libraries = list(threads.map(lambda _: shelf.library(), range(50)))
    assert all(library is libraries[0] for library in libraries)


def test_a_bank_with_faults_leaves_the_rest_of_the_library(tmp_path):
    shelf = Shelf(read_library(), tmp_path)
    store_bank(tmp_path, "own", entry(head={"level": '"X"'}), "")
    library = shelf.library()
    assert len(library.problems) == len(read_library().problems)
    assert [line.partition(": ")[0] for line in library.faults] == ["own.toml"]


def test_every_shipped_bank_is_written_as_it_reads():
    for path in shipped("question_banks").glob("*.toml"):
        table = tomllib.loads(path.read_text("utf-8"))
        assert tomllib.loads(written(table)) == table, path.name


KEYS = st.text(st.characters(exclude_categories=("Cs",)), max_size=8)
PLAIN = st.one_of(
    st.text(st.characters(exclude_categories=("Cs",))),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False),
    st.booleans(),
    st.just(date(2026, 3, 2)),
)
TABLES = st.dictionaries(
    KEYS,
    st.recursive(
        PLAIN,
        lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
        max_leaves=12,
    ),
    max_size=5,
)


# The reader is the one of the standard library, which follows TOML 1.0.
@given(table=TABLES)
def test_any_table_is_written_as_it_reads(table):
    assert tomllib.loads(written(table)) == table
