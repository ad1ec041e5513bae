"""What all tables share: constraint names and the column type for times."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import ClassVar

from sqlalchemy import Dialect, Double, Integer, MetaData, Text
from sqlalchemy.orm import DeclarativeBase
from sqlalchemy.types import TypeDecorator

from core.errors import BookError

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)

# Batch migrations rebuild a table by its constraints' names, so every one must have a name.
NAMING_CONVENTION = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


def as_utc(time: datetime, field: str = "time") -> datetime:
    """Convert a time to UTC.

    Raises
    ------
    BookError
        If ``time`` has no time zone or lies off the calendar; ``field`` names the input.
    """
    if time.tzinfo is None or time.utcoffset() is None:
        raise BookError(
            f"The time {time.isoformat(sep=' ')} has no time zone, so it could be any hour.",
            field=field,
            remedy="Give it one, such as UTC.",
        )
    try:
        return time.astimezone(UTC)
    except OverflowError as error:
        raise BookError(
            f"The time {time.isoformat(sep=' ')} lies off the calendar.",
            field=field,
            remedy="Check the year.",
        ) from error


class UtcDateTime(TypeDecorator[datetime]):
    """An aware time, stored as whole microseconds since 1970-01-01 00:00 UTC.

    A whole number cannot lose its offset (SQLite has no time type, and text times drop it), sorts
    as it should and comes back exactly. To read it in any SQLite tool:
    ``datetime(time / 1000000, 'unixepoch')``.
    """

    impl = Integer
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> int | None:
        """Microseconds since 1970 in UTC; refuses a time without a zone."""
        del dialect
        return None if value is None else (as_utc(value) - EPOCH) // _MICROSECOND

    def process_result_value(self, value: int | None, dialect: Dialect) -> datetime | None:
        """Make it an aware time in UTC again."""
        del dialect
        return None if value is None else EPOCH + timedelta(microseconds=value)


class Base(DeclarativeBase):
    """Parent of all row classes."""

    metadata = MetaData(naming_convention=NAMING_CONVENTION)
    # Said outright: what SQLAlchemy takes for a plain float differs between its versions.
    type_annotation_map: ClassVar = {float: Double, str: Text, datetime: UtcDateTime}
