"""The command line. Heavy imports stay inside the commands, so that help comes at once."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from trainer import __version__
from trainer.errors import ContentError, TrainerError

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from trainer.content.library import Library
    from trainer.worksheets.problem import Variant
    from trainer.worksheets.snapshot import KeptStep

DATA = click.option(
    "--data",
    type=click.Path(path_type=Path, file_okay=False),
    help="Data folder. Without it TRAINER_DATA, else the folder for data of this user.",
)
JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


class Commands(click.Group):
    """Commands whose expected faults come out as one line and an exit code."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command."""
        try:
            return super().invoke(ctx)
        except ContentError as fault:
            click.echo(str(fault), err=True)
            sys.exit(1)
        except TrainerError as fault:
            click.echo(str(fault), err=True)
            sys.exit(2)
        except Exception as fault:
            from trainer.storage.troubles import trouble_of

            if trouble_of(fault) is None:
                raise
            click.echo(f"the data cannot be worked with: {getattr(fault, 'orig', None) or fault}", err=True)
            sys.exit(2)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="trainer")
def main() -> None:
    """Train and prove the skills of signal conditioning, from field sensor to PLC input."""


@main.command()
@click.option("--demo", is_flag=True, help="Show an invented training shop in a throw-away folder.")
@click.option("--host", help="Address to listen on, 127.0.0.1 unless set otherwise.")
@click.option("--port", type=click.IntRange(0, 65535), help="Port, 8000 unless set otherwise; 0 takes a free one.")
@DATA
def serve(demo: bool, host: str | None, port: int | None, data: Path | None) -> None:
    """Run the pages until interrupted."""
    from trainer.web.server import serve_forever

    serve_forever(host, port, data, demo)


@main.command()
@JSON
@DATA
def problems(as_json: bool, data: Path | None) -> None:
    """List every problem: id, strand, skill, level, title, worksheet."""
    from trainer.practice.public import summary

    rows = [summary(problem) for problem in _library(data).problems.values()]
    if as_json:
        _print_json(rows)
        return
    for row in rows:
        click.echo(f"{row['id']:32} {row['skill']:6} {row['level']}  {row['title']}")


@main.command()
@click.argument("problem")
@click.option("--seed", required=True, type=click.IntRange(0, 2**53), help="Integer that draws the numbers.")
@JSON
@click.option("--solution", is_flag=True, help="Print the worked solution too.")
@DATA
def draw(problem: str, seed: int, as_json: bool, solution: bool, data: Path | None) -> None:
    """Print a variant of PROBLEM with its numbers drawn."""
    from trainer.practice.public import statement

    variant = _variant(problem, seed, data)
    if as_json:
        _print_json(statement(variant))
        return
    _print_variant(variant, solution)


@main.command()
@click.argument("problem")
@click.option("--seed", required=True, type=click.IntRange(0, 2**53), help="Integer that draws the numbers.")
@click.argument("entries", nargs=-1, required=True, metavar="STEP=TEXT...")
@JSON
@DATA
def mark(problem: str, seed: int, entries: tuple[str, ...], as_json: bool, data: Path | None) -> None:
    """Mark typed text for steps of PROBLEM, in the order of the steps."""
    from trainer.practice.public import mark_texts

    variant = _variant(problem, seed, data)
    marked = mark_texts(variant, _texts(entries))
    if as_json:
        _print_json(marked)
        return
    for name, step in marked["steps"].items():
        click.echo(f"{name}: {step['verdict']}. {step['message']}")
    click.echo("All right." if marked["right"] else "Not all right.")


@main.command()
@click.argument("folder", required=False, type=click.Path(path_type=Path, exists=True, file_okay=False))
@DATA
def check(folder: Path | None, data: Path | None) -> None:
    """Validate question banks and lessons: the shipped ones and those of FOLDER or the data folder.

    FOLDER holds question_banks or lessons, as a data folder does, or banks or lessons themselves.
    """
    from trainer.content.library import check as faults_of
    from trainer.content.library import read_library, read_with
    from trainer.figures import FIGURES
    from trainer.settings import load_settings

    library = read_with(folder) if folder else read_library(load_settings(data).data)
    faults = list(faults_of(library, FIGURES))
    if faults:
        raise ContentError([*faults, "1 fault." if len(faults) == 1 else f"{len(faults)} faults."])
    click.echo(f"{len(library.problems)} problems and {len(library.lessons)} lessons are sound.")


@main.command()
@DATA
def verify(data: Path | None) -> None:
    """Check the database, and that every stored attempt still shows and marks as recorded."""
    from trainer.practice.verification import faults_of
    from trainer.settings import load_settings
    from trainer.storage.schema import open_existing

    database = open_existing(load_settings(data))
    try:
        verified = faults_of(database)
    finally:
        database.close()
    if verified.faults:
        raise ContentError([*verified.faults, f"{len(verified.faults)} faults."])
    click.echo(f"The database is sound; {verified.attempts} attempts and {verified.entries} entries are as recorded.")


@main.command()
@click.option("--problem", "names", multiple=True, metavar="ID", help="A problem of the set; may be given many times.")
@click.option("--skill", "skills", multiple=True, metavar="SKILL", help="A skill, such as S3.2, with all its problems.")
@click.option(
    "--versions", type=int, default=1, show_default=True, help="Number of versions, each with its own numbers."
)
@click.option("--seed", type=int, default=1, show_default=True, help="Seed of the set; the same one prints it again.")
@click.option("--key/--no-key", default=True, show_default=True, help="Whether the keys stand behind the papers.")
@click.option("--title", default="", help="Title of the papers.")
@click.option(
    "--page", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Size of the sheets."
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@DATA
def paper(
    names: tuple[str, ...],
    skills: tuple[str, ...],
    versions: int,
    seed: int,
    key: bool,
    title: str,
    page: Literal["A4", "letter"],
    force: bool,
    file: Path,
    data: Path | None,
) -> None:
    """Print versions of a set of problems, and their keys, to a PDF FILE."""
    from trainer.exchange.files import check_target, save
    from trainer.exchange.paper_pdf import paper_pdf
    from trainer.practice import papers

    check_target(file, force)
    problems = papers.chosen(_library(data), names, skills)
    drawn = list(papers.draw_versions(problems, versions, seed))
    title = papers.check_title(title)
    sheets = [papers.paper_of(version, title) for version in drawn]
    keys = [papers.key_of(version, title) for version in drawn] if key else []
    with click.progressbar(range(len(sheets) + len(keys)), label="Setting", file=sys.stderr) as bar:
        steps = iter(bar)
        printed = paper_pdf(
            (sheet for sheet, _ in zip(sheets, steps, strict=False)),
            (sheet for sheet, _ in zip(keys, steps, strict=False)),
            page,
        )
    save(printed, file, force)
    click.echo(f"{file}: {versions} of {len(problems)} problems each, codes {drawn[0].code} to {drawn[-1].code}.")


@main.group()
def people() -> None:
    """Make accounts, list them, give new codes."""


@people.command("add")
@click.argument("name")
@click.option("--instructor", is_flag=True, help="Make an instructor instead of a learner.")
@DATA
def add_account(name: str, instructor: bool, data: Path | None) -> None:
    """Make an account for NAME and print the code that opens it once."""
    from trainer.practice.people import add_person
    from trainer.storage.accounts import INSTRUCTOR, LEARNER

    with _writing(data) as (session, now):
        made = add_person(session, name, now, role=INSTRUCTOR if instructor else LEARNER)
    click.echo(f"{made.account.name} opens the account on the page /code with {made.code} within 7 days.")


@people.command("code")
@click.argument("name")
@DATA
def give_code(name: str, data: Path | None) -> None:
    """Print a new code for NAME, who has forgotten the passphrase."""
    from trainer.practice.people import new_code
    from trainer.storage.accounts import find_account

    with _writing(data) as (session, now):
        account = find_account(session, name)
        if account is None:
            raise TrainerError(f"nobody here is called {name[:80]}")
        code = new_code(session, account.id, now)
    click.echo(f"{account.name} chooses a new passphrase on the page /code with {code} within 7 days.")


@people.command("list")
@DATA
def list_accounts(data: Path | None) -> None:
    """List everybody with role, state and groups."""
    from trainer.practice.people import list_people

    with _writing(data) as (session, now):
        rows = list_people(session, now)
    for row in rows:
        groups = ", ".join(name for _, name in row.groups)
        click.echo(f"{row.name:30} {row.role:10} {row.state:10} {groups}".rstrip())


@main.command()
@click.argument("person", metavar="NAME_OR_ID")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@DATA
def handover(person: str, file: Path, force: bool, data: Path | None) -> None:
    """Write the record of a person to FILE, to be collected on another PC."""
    from trainer.exchange.files import check_target, save
    from trainer.exchange.handovers import installation, pack
    from trainer.practice.handovers import hand_over
    from trainer.practice.person_records import find_person
    from trainer.settings import load_settings

    check_target(file, force)
    with _writing(data) as (session, now):
        found = find_person(session, person)
        carried = hand_over(session, found.id)
    save(pack(carried, now, installation(load_settings(data).data)), file, force)
    click.echo(f"{file}: {found.name or found.id}, {len(carried.tables['attempt'])} sheets.")
    if carried.stays:
        click.echo(f"{carried.stays} sheets stay until their problem sets are handed in and their solutions released.")


@main.command("collect")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--into", metavar="NAME_OR_ID", help="The record here that is the same person's, if it has another id.")
@click.option("--dry-run", is_flag=True, help="Say what would come and keep nothing.")
@DATA
def collect_file(file: Path, into: str | None, dry_run: bool, data: Path | None) -> None:
    """Join the record in FILE with what is here; collected again it changes nothing."""
    from trainer.exchange.handover_words import name_of, summary
    from trainer.exchange.handovers import read_file
    from trainer.practice.handovers import collect, look
    from trainer.practice.person_records import find_person

    carried = read_file(file).carried
    with _writing(data) as (session, _):
        target = find_person(session, into).id if into is not None else None
        arrival = (look if dry_run else collect)(session, carried, target)
    known = "is known here" if arrival.known or into else "is new here, without an account"
    click.echo(f"{name_of(carried.learner['name'])} {known}; the record is {arrival.into}.")
    for each in summary(arrival):
        click.echo(f"- {each}")
    if dry_run:
        click.echo("Nothing was kept.")


@main.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@DATA
def backup(file: Path, force: bool, data: Path | None) -> None:
    """Write a backup of the data folder to FILE, also while the pages are served; it is checked before it is named so.

    FILE.zip holds the database and your own problems and lessons, FILE.db the database alone.
    """
    from trainer.clock import utc_now
    from trainer.exchange.backup_files import write_backup
    from trainer.exchange.files import check_target
    from trainer.settings import load_settings
    from trainer.storage.schema import open_existing

    check_target(file, force)
    settings = load_settings(data)
    database = open_existing(settings, older=True)
    try:
        found = write_backup(database, settings.data, file, utc_now())
    finally:
        database.close()
    click.echo(f"{file}: {found}; read back and sound.")


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@DATA
def restore(file: Path, data: Path | None) -> None:
    """Put the backup FILE in the place of what is in the data folder, which is kept aside; stop the server first."""
    from trainer.clock import utc_now
    from trainer.exchange.restoring import restore as put_back
    from trainer.settings import load_settings

    settings = load_settings(data)
    done = put_back(settings, file, utc_now())
    click.echo(f"{settings.data} is as in {file}: {done.contents}.")
    if done.aside:
        click.echo(f"What was there before is in {done.aside}.")


@contextmanager
def _writing(data: Path | None) -> Iterator[tuple[Session, datetime]]:
    """A session that is kept at the end, in the database of the data folder, which is made if need be."""
    from trainer.clock import utc_now
    from trainer.settings import load_settings
    from trainer.storage.schema import open_storage

    database = open_storage(load_settings(data))
    try:
        with database.writing() as session:
            yield session, utc_now()
    finally:
        database.close()


def _texts(entries: tuple[str, ...]) -> dict[str, str]:
    texts: dict[str, str] = {}
    for entry in entries:
        name, sign, text = entry.partition("=")
        if not sign:
            raise TrainerError(f"{entry[:80]} is not STEP=TEXT")
        if name.strip() in texts:
            raise TrainerError(f"{name.strip()[:80]} is given twice")
        texts[name.strip()] = text
    return texts


def _library(data: Path | None) -> Library:
    from trainer.content.library import read_library
    from trainer.settings import load_settings

    library = read_library(load_settings(data).data)
    for fault in library.faults:
        click.echo(fault, err=True)
    return library


def _variant(problem: str, seed: int, data: Path | None) -> Variant:
    from trainer.practice.public import problem_of

    return problem_of(_library(data).problems, problem).variant(seed)


def _print_json(value: Any) -> None:
    click.echo(json.dumps(value, ensure_ascii=False, indent=1))


def _print_variant(variant: Variant, solution: bool) -> None:
    from trainer.worksheets.snapshot import snapshot

    kept = snapshot(variant)
    click.echo(kept.text())
    for number, step in enumerate(kept.steps, 1):
        found = f": {_shown(step)}" if solution else ""
        click.echo(f"{number}. {step.title} ({step.name}){found}")


def _shown(step: KeptStep) -> str:
    """The value of a step in words; of what may stand in several orders, each chain that must be kept."""
    from trainer.units import format_quantity

    if step.kind == "number":
        return format_quantity(step.value, step.decimals, step.unit)
    if step.kind == "row":
        return "; ".join(format_quantity(each, step.decimals, step.unit) for each in step.value)
    if step.kind == "order":
        return " / ".join("; ".join(chain) for chain in step.value)
    return step.value if isinstance(step.value, str) else "; ".join(step.value)
