"""Write the next revision from the difference between the models and the revisions so far.

``python -m trainer.storage.migrations "problem sets"``; then look it over and set HEAD in schema.py.
"""

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from alembic import command

from trainer.storage import schema
from trainer.storage.database import open_database


def write_revision(message: str) -> None:
    """Make a database by the revisions so far and let Alembic compare."""
    number = f"{int(schema.HEAD) + 1:04d}"
    with TemporaryDirectory() as folder:
        database = open_database(f"sqlite:///{folder}/trainer.db")
        try:
            schema.upgrade(database, Path(folder))
            with database.writer.connect() as connection:
                config = schema.alembic_config(connection)
                config.set_main_option("file_template", "r%%(rev)s_%%(slug)s")
                command.revision(config, message, autogenerate=True, rev_id=number)
        finally:
            database.close()


if __name__ == "__main__":
    write_revision(" ".join(sys.argv[1:]))
