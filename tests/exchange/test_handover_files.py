"""The file that carries a record between PCs: what is in it, and every way in which one is refused."""

import io
import json
import zipfile
from hashlib import sha256
from uuid import UUID

import pytest
from handover_shop import CLOCK, ORIGIN, Pc
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Boolean, DateTime, Uuid

from trainer.exchange import handovers as files
from trainer.exchange.handover_rows import COLUMNS
from trainer.exchange.handovers import FileRefused, FileTooLarge, installation, read_file, unpack
from trainer.practice import people
from trainer.practice.handovers import STAYS, hand_over
from trainer.storage.models import Base
from trainer.storage.records import record_of


@pytest.fixture(scope="module")
def pc(tmp_path_factory) -> Pc:
    opened = Pc(tmp_path_factory.mktemp("pc"), "workshop")
    yield opened
    opened.database.close()


@pytest.fixture(scope="module")
def content(pc) -> bytes:
    learner = pc.person("Hal Leads")
    sheet = pc.start(learner)
    pc.enter(learner, sheet, "fraction", "0.56")
    pc.witness(learner)
    pc.sign_off(learner)
    return pc.handed_over(learner)


def parts_of(content) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def packed(parts, packing=zipfile.ZIP_DEFLATED) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", packing) as archive:
        for name, part in parts.items():
            archive.writestr(name, part)
    return made.getvalue()


def with_manifest(content, **changes) -> bytes:
    parts = parts_of(content)
    return packed(parts | {"manifest.json": json.dumps(json.loads(parts["manifest.json"]) | changes)})


def with_part(content, name, part) -> bytes:
    """Another part with its right sum, as somebody would who knows the format."""
    parts = parts_of(content) | {name: part}
    manifest = json.loads(parts["manifest.json"])
    rows = part.decode("utf-8", "replace").count("\n")
    manifest["parts"][name] = {"rows": rows, "bytes": len(part), "sha256": sha256(part).hexdigest()}
    return packed(parts | {"manifest.json": json.dumps(manifest)})


def with_row(content, part, **changes) -> bytes:
    first, *rest = parts_of(content)[part].splitlines(keepends=True)
    line = json.dumps(json.loads(first) | changes) + "\n"
    return with_part(content, part, line.encode() + b"".join(rest))


def test_the_manifest_says_what_is_in_the_file(content):
    parts = parts_of(content)
    manifest = json.loads(parts.pop("manifest.json"))
    assert (manifest["format"], manifest["version"], manifest["schema"]) == (files.FORMAT, 1, files.HEAD)
    assert (manifest["learner"]["name"], manifest["origin"], manifest["stays"]) == ("Hal Leads", str(ORIGIN), 0)
    assert manifest["made"].endswith("+00:00")
    assert set(manifest["parts"]) == set(parts)
    for name, part in parts.items():
        told = manifest["parts"][name]
        assert (told["rows"], told["bytes"]) == (part.count(b"\n"), len(part))
        assert told["sha256"] == sha256(part).hexdigest()


def test_nothing_in_the_file_lets_anybody_in(pc):
    with pc.database.writing() as session:
        made = people.add_person(session, "Ivy Relay", CLOCK())
        made.account.passphrase_hash = "scrypt:not-for-others"
        learner, code = made.account.learner_id, made.code
    text = b"".join(parts_of(pc.handed_over(learner)).values()).decode()
    assert "Ivy Relay" in text
    assert not any(word in text for word in ("scrypt", "hash", "token_hash", "account", "join_code", code))


def test_a_record_comes_through_the_file_as_it_was(pc, content):
    opened = unpack(content)
    assert opened.origin == ORIGIN
    with pc.database.reading() as session:
        assert opened.carried == hand_over(session, opened.carried.learner["id"])


@pytest.mark.parametrize("share", [0.0, 0.02, 0.5, 0.9, 0.999])
def test_a_file_that_was_cut_is_refused(content, share):
    with pytest.raises(FileRefused, match=r"cut off|no record"):
        unpack(content[: int(len(content) * share)])


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_a_flipped_bit_is_refused_or_does_no_harm(content, data):
    place = data.draw(st.integers(0, len(content) - 1))
    broken = bytearray(content)
    broken[place] ^= 1 << data.draw(st.integers(0, 7))
    try:
        opened = unpack(bytes(broken))
    except FileRefused:
        return
    assert opened.carried == unpack(content).carried  # a time or a flag of the archive that nothing depends on


def test_a_part_that_is_not_what_was_written_is_refused(content):
    parts = parts_of(content)
    parts["entry.jsonl"] = parts["entry.jsonl"].replace(b"0.56", b"0.45")
    with pytest.raises(FileRefused, match="damaged"):
        unpack(packed(parts))
    del parts["entry.jsonl"]
    with pytest.raises(FileRefused, match="damaged"):
        unpack(packed(parts))


@pytest.mark.parametrize(
    "newer", [{"version": 2}, {"schema": "0999"}, {"version": 10**30, "schema": "x" * 5000}], ids=repr
)
def test_a_file_of_a_newer_version_is_refused_and_says_so(content, newer):
    with pytest.raises(FileRefused, match="newer version") as refused:
        unpack(with_manifest(content, **newer))
    assert len(str(refused.value)) < 400


@pytest.mark.parametrize(
    "foreign",
    [
        b"",
        b"name,group\nAda,Night",
        b"\x89PNG\r\n\x1a\n" + bytes(200),
        packed({"word/document.xml": b"<w/>"}),
        packed({"manifest.json": b"[1, 2]"}),
        packed({"manifest.json": b"{" * 60_000}),
        packed({"manifest.json": b"[" * 60_000}),
        packed({"manifest.json": b'{"format": "another"}'}),
        b"SQLite format 3\0" + bytes(4096),
    ],
    ids=range(9),
)
def test_a_file_of_another_kind_is_refused(foreign):
    with pytest.raises(FileRefused, match="no record handed over"):
        unpack(foreign)


# OWASP ASVS 5.0.0, V5.2 and V5.3: size, content, entries of an archive, paths.
@pytest.mark.parametrize(
    "name", ["../../x", "/etc/x", "C:\\x", "CON", "a/attempt.jsonl", "attempt.jsonl/", "attempt.jsonl ", "notes.txt"]
)
def test_odd_paths_in_the_archive_are_refused(content, name):
    with pytest.raises(FileRefused, match="parts that a handover does not have"):
        unpack(packed(parts_of(content) | {name: b"x"}))


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_part_that_is_there_twice_is_refused(content):
    made = io.BytesIO(content)
    with zipfile.ZipFile(made, "a") as archive:
        archive.writestr("entry.jsonl", b"")
    with pytest.raises(FileRefused, match="parts that a handover does not have"):
        unpack(made.getvalue())


def test_a_file_that_would_unpack_to_too_much_is_refused(content):
    bomb = packed(parts_of(content) | {"entry.jsonl": bytes(files.LARGEST_UNPACKED)})
    assert len(bomb) < files.LARGEST_FILE
    with pytest.raises(FileRefused, match="unpacks to more"):
        unpack(bomb)


def test_an_archive_that_lies_about_its_sizes_is_refused(content):
    bomb = bytearray(packed(parts_of(content) | {"witnessed.jsonl": bytes(50_000_000)}))
    size = (50_000_000).to_bytes(4, "little")
    while (at := bomb.find(size)) >= 0:
        bomb[at : at + 4] = (10).to_bytes(4, "little")
    with pytest.raises(FileRefused, match="damaged"):
        unpack(bytes(bomb))


@pytest.mark.parametrize("packing", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_an_archive_packed_in_another_way_is_refused(content, packing):
    with pytest.raises(FileRefused, match="packed in a way"):
        unpack(packed(parts_of(content), packing))


def test_a_file_may_be_as_large_as_the_limit_and_not_a_byte_more(monkeypatch, content, tmp_path):
    file = tmp_path / "hal.handover"
    file.write_bytes(content)
    monkeypatch.setattr(files, "LARGEST_FILE", len(content))
    assert unpack(content) == read_file(file)
    monkeypatch.setattr(files, "LARGEST_FILE", len(content) - 1)
    for read in (lambda: unpack(content), lambda: read_file(file)):
        with pytest.raises(FileTooLarge):
            read()


BAD_ROWS = [
    ("learner.jsonl", {"decimal_sign": ";"}),
    ("learner.jsonl", {"name": "a\u0000b"}),
    ("learner.jsonl", {"name": "a\nb"}),
    ("learner.jsonl", {"id": str(UUID(int=9))}),
    ("learner.jsonl", {"archived": 1}),
    ("attempt.jsonl", {"seed": 2**63}),
    ("attempt.jsonl", {"seed": True}),
    ("attempt.jsonl", {"started": "2026-03-02T07:30:00"}),
    ("attempt.jsonl", {"started": "yesterday"}),
    ("attempt.jsonl", {"value": 1.0}),
    ("attempt.jsonl", {"evidence": True}),
    ("attempt.jsonl", {"mode": "shouted"}),
    ("attempt.jsonl", {"snapshot": {}}),
    ("attempt.jsonl", {"set_try_id": None}),
    ("attempt.jsonl", {"learner_id": str(UUID(int=9))}),
    ("entry.jsonl", {"attempt_id": str(UUID(int=9))}),
    ("entry.jsonl", {"text": "\ud800"}),
    ("entry.jsonl", {"text": "x" * 200_000}),
    ("entry.jsonl", {"id": 7}),
    ("mark.jsonl", {"mark": 1.5}),
    ("mark.jsonl", {"mark": float("nan")}),
    ("mark.jsonl", {"mark": "1"}),
    ("mark.jsonl", {"basis": {"kind": "number"}}),
    ("mark.jsonl", {"basis": []}),
    ("mark.jsonl", {"entry_id": str(UUID(int=9))}),
    ("sign_off.jsonl", {"evidence": None}),
    ("witnessed.jsonl", {"seen_on": "2026-02-30"}),
    ("witnessed.jsonl", {"what": None}),
]


@pytest.mark.parametrize(("name", "changes"), BAD_ROWS, ids=lambda value: repr(value)[:50])
def test_rows_that_cannot_be_are_refused_even_with_right_sums(content, name, changes):
    assert unpack(with_row(content, name)).carried == unpack(content).carried  # the same made without a change
    with pytest.raises(FileRefused, match="damaged"):
        unpack(with_row(content, name, **changes))


@pytest.mark.parametrize("part", [b"{}\n", b"7\n", b"not json\n", b"\xff\n", b"[" * 100_000, b"1e999\n"], ids=range(6))
def test_lines_that_are_no_rows_are_refused(content, part):
    with pytest.raises(FileRefused, match="damaged"):
        unpack(with_part(content, "entry.jsonl", part))


def test_two_people_in_one_file_are_refused(content):
    (line,) = parts_of(content)["learner.jsonl"].splitlines(keepends=True)
    with pytest.raises(FileRefused, match="damaged"):
        unpack(with_part(content, "learner.jsonl", line * 2))


# The format stays what it is until its version changes, whatever is added to the tables.
@pytest.mark.parametrize("name", COLUMNS)
def test_the_format_holds_every_column_of_its_tables_but_those_of_sets(name):
    table = Base.metadata.tables[name]
    assert set(COLUMNS[name]) == {column.name for column in table.columns} - set(STAYS)
    for column in table.columns:
        kind = COLUMNS[name].get(column.name, "id?" if column.name in STAYS else "")
        assert kind.endswith("?") == bool(column.nullable)
        assert (kind.rstrip("?") == "id") == isinstance(column.type, Uuid)
        assert (kind == "yes") == isinstance(column.type, Boolean)
        assert (kind.rstrip("?") == "time") == isinstance(getattr(column.type, "impl", None), DateTime)


def test_every_table_that_hangs_on_a_learner_travels_or_is_known_to_stay(pc, content):
    with pc.database.reading() as session:
        record = set(record_of(session, UUID(int=1)))
    assert record - set(COLUMNS) == {"account", "membership", "set_try", "extension"}


def test_an_installation_is_told_by_an_id_that_stays(tmp_path):
    one, other = installation(_made(tmp_path / "a")), installation(_made(tmp_path / "b"))
    assert one == installation(tmp_path / "a") != other
    assert one.bytes not in (tmp_path / "a" / "secret.key").read_bytes()


def _made(folder):
    folder.mkdir()
    return folder
