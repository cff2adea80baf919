import signal
import subprocess
import sys
import time
from uuid import UUID

import pytest

from trainer.settings import load_settings
from trainer.storage.entries import entries_of
from trainer.storage.schema import open_storage

# Says on a line of its own each entry that has been committed, and goes on until it is killed.
WRITER = """
import sys
from trainer.clock import utc_now
from trainer.settings import load_settings
from trainer.storage.attempts import start_attempt
from trainer.storage.entries import NewMark, add_entry
from trainer.storage.learners import add_learner
from trainer.storage.schema import open_storage

database = open_storage(load_settings(sys.argv[1], {}))
with database.writing() as session:
    learner = add_learner(session, "Ada Pump", utc_now())
    attempt = start_attempt(
        session, learner.id, utc_now(), source="kiln-reading", seed=1, worksheet="reading", worksheet_version=1,
        skill="scaling", mode="guided", snapshot={},
    )
print(attempt.id, flush=True)
mark = NewMark("wrong", 0.0, "Not this value.", {})
for number in range(1_000_000):
    with database.writing() as session:
        entry = add_entry(
            session, attempt.id, "fraction", str(number), mark, utc_now(), form_token=str(number),
            step_skill="scaling", kept=[],
        )
    print(entry.id, flush=True)
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no such signal here")
def test_what_was_acknowledged_survives_a_kill(tmp_path):
    command = [sys.executable, "-c", WRITER, str(tmp_path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as writer:
        attempt_id = UUID(writer.stdout.readline().strip())
        time.sleep(0.5)
        writer.send_signal(signal.SIGKILL)
        acknowledged = [UUID(line.strip()) for line in writer.stdout if line.endswith("\n")]

    database = open_storage(load_settings(tmp_path, {}))
    with database.reading() as session:
        kept = {entry.id for entry in entries_of(session, attempt_id)}
    database.close()

    assert writer.returncode == -signal.SIGKILL
    assert len(acknowledged) >= 10
    assert set(acknowledged) <= kept
    assert len(kept) - len(acknowledged) <= 1  # committed, and killed before saying so
