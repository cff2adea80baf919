"""How Alembic runs here: on the connection it is given, inside the transaction that the caller has begun."""

from typing import Any, Literal

from alembic import context

from trainer.storage.models import Base
from trainer.storage.models.base import UtcTime


def render_item(kind: str, item: Any, _context: Any) -> str | Literal[False]:
    """Write our own column type as the one beneath it: a revision must not change when the code does."""
    return "sa.DateTime(timezone=True)" if kind == "type" and isinstance(item, UtcTime) else False


context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,  # SQLite changes a table by building it anew
    render_item=render_item,
    transactional_ddl=True,
)
with context.begin_transaction():
    context.run_migrations()
