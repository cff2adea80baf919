"""Serving the pages from this machine, by a threaded server in pure Python."""

from __future__ import annotations

import logging
import signal
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import Thread
from typing import Any

from trainer.errors import TrainerError
from trainer.practice.accounts import first_code
from trainer.settings import load_settings, prepare_folder
from trainer.storage.database import file_of
from trainer.storage.serving import serving_alone
from trainer.web.app import LOOPBACK, create_app
from trainer.web.request_log import logged
from trainer.web.services import Services
from trainer.web.upkeep import Upkeep

WAITING = 128  # connections the system may hold while all threads are busy
PATIENCE = 15  # s for requests under way when the server is stopped


def serve_forever(host: str | None, port: int | None, data: Path | None, demo: bool) -> None:
    """Serve until interrupted; requests under way are finished first.

    Raises
    ------
    TrainerError
        If the address cannot be taken or the data folder not used.
    """
    logging.basicConfig(format="%(asctime)s %(levelname)s %(message)s")
    with _folder(data, demo) as (folder, given), _alone(folder, given):
        app = create_app(folder, demo=demo, host=host, port=port, **given)
        found: Services = app.extensions["trainer"]
        if demo:
            from trainer.practice.demo import fill

            fill(found.database, found.library, found.clock())
        try:
            with logged(app):
                _serve(app, found)
        finally:
            found.database.close()


@contextmanager
def _folder(data: Path | None, demo: bool) -> Iterator[tuple[Path | None, dict[str, Any]]]:
    """The data folder; for the demo one that is gone afterwards, with a database inside it."""
    if not demo:
        yield data, {}
        return
    with tempfile.TemporaryDirectory(prefix="trainer-demo-", ignore_cleanup_errors=True) as folder:
        yield Path(folder), {"database": f"sqlite:///{(Path(folder) / 'trainer.db').as_posix()}"}


@contextmanager
def _alone(folder: Path | None, given: dict[str, Any]) -> Iterator[None]:
    """Hold the data folder, so that no second server works with the same database."""
    settings = load_settings(folder, **given)
    prepare_folder(settings.data)
    with serving_alone(file_of(settings.database)):
        yield


def _serve(app: Any, found: Services) -> None:
    from trainer.web.requests import PageServer

    host, port = found.settings.host, found.settings.port
    server = PageServer((host, port), app, numthreads=found.settings.threads, request_queue_size=WAITING)
    server.timeout, server.shutdown_timeout = 5, PATIENCE
    try:
        server.prepare()
    except OSError as fault:
        raise TrainerError(
            f"cannot listen on {host} port {port} ({_reason(fault)}); choose another with --host and --port"
        ) from fault
    stopping = Thread(target=server.stop)  # apart: an exception raised by a signal can get lost on its way out

    def stop(*_: Any) -> None:
        with suppress(RuntimeError):  # it was told so before
            stopping.start()

    for asked in (signal.SIGTERM, signal.SIGINT):  # a shell that starts it in the background has the latter ignored
        signal.signal(asked, stop)
    upkeep = Upkeep(found)
    try:
        _announce(found, server.bind_addr[1])
        if not found.demo:
            upkeep.start()
        server.serve()
    finally:
        stop()
        stopping.join()
        upkeep.stop()


def _announce(found: Services, port: int) -> None:
    """Say where the pages are, and on the first start how to become the instructor."""
    print(_announcement(found, port), flush=True)
    if found.demo:
        return
    with found.database.writing() as session:
        code = first_code(session, found.clock())
    if code:
        print(f"No instructor yet: whoever opens the page /code with {code} becomes the first.", flush=True)


def _announcement(found: Services, port: int) -> str:
    host = found.settings.host
    where = f"http://{f'[{host}]' if ':' in host else host}:{port}/"
    if found.demo:
        return f"Demo at {where} - an invented training shop in a throw-away folder; nothing is kept. Stop with Ctrl+C."
    kept = f"Trainer at {where} - work is kept in {found.settings.data}. Stop with Ctrl+C."
    if host in LOOPBACK:
        return kept
    return kept + " Warning: over the network without TLS, others can read what is sent."


def _reason(fault: OSError) -> str:
    text = str(fault)
    return "it is in use" if "in use" in text else text.rpartition("]")[2].strip(" '\")") or text
