"""What all tables share: names of constraints and the column types that mean the same on every database."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, cast
from uuid import UUID

from sqlalchemy import JSON, DateTime, Dialect, Double, MetaData, Table, TypeDecorator, Uuid
from sqlalchemy.orm import DeclarativeBase

from trainer.clock import as_utc

CONSTRAINT_NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class UtcTime(TypeDecorator[datetime]):
    """A moment, kept in UTC; a time that does not say its zone is refused, and what comes back says UTC."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn into UTC on the way in."""
        return None if value is None else as_utc(value)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Say UTC on the way out: SQLite keeps no zone."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Base(DeclarativeBase):
    """The registry of tables."""

    metadata = MetaData(naming_convention=CONSTRAINT_NAMES)
    type_annotation_map = {  # noqa: RUF012  SQLAlchemy reads it as it stands
        UUID: Uuid(),
        datetime: UtcTime(),
        float: Double(),
        dict[str, Any]: JSON(),
    }


def table_of(model: type[Base]) -> Table:
    """The table beneath a model, for statements that need no objects."""
    return cast(Table, model.__table__)
