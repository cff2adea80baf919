"""Messages in another language, from a catalog compiled by an independent tool."""

import threading

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from trainer import language
from trainer.grading.reading import Refusal, read


@pytest.fixture
def german(tmp_path, monkeypatch):
    catalog = Catalog(locale="de")
    catalog.add("Nothing is typed here yet.", "Hier steht noch nichts.")
    catalog.add(("one step", "several steps"), ("ein Schritt", "mehrere Schritte"))
    place = tmp_path / "de" / "LC_MESSAGES"
    place.mkdir(parents=True)
    with (place / "trainer.mo").open("wb") as file:
        write_mo(file, catalog)
    monkeypatch.setattr(language, "FOLDER", tmp_path)


@pytest.mark.usefixtures("german")
def test_a_message_is_spoken_in_the_language_in_use():
    refused = read("")
    assert isinstance(refused, Refusal)
    assert refused.sentence == "Nothing is typed here yet."
    with language.use("de-AT"):
        refused = read("")
        assert isinstance(refused, Refusal)
        assert refused.sentence == "Hier steht noch nichts."
        assert language.ngettext("one step", "several steps", 1) == "ein Schritt"
        assert language.ngettext("one step", "several steps", 2) == "mehrere Schritte"
        assert language.gettext("not translated") == "not translated"
    assert language.current() == language.SOURCE


@pytest.mark.parametrize("code", ["", "..", "../../etc", "xx", "d" * 1000, "de\x00"])
def test_an_unknown_language_leaves_the_message_as_it_is(code):
    with language.use(code):
        assert language.gettext("set point") == "set point"
        assert language.ngettext("one step", "several steps", 2) == "several steps"


def test_a_choice_stays_in_its_thread():
    seen = []

    def other():
        language.choose("de")
        seen.append(language.current())

    thread = threading.Thread(target=other)
    thread.start()
    thread.join()
    assert seen == ["de"]
    assert language.current() == language.SOURCE
