"""What every part of the book shares: its transactions, and words for what is not in it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Engine, select
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from core.errors import BookError
from core.store.engine import WRITES
from core.store.faults import book_error
from core.store.models import EquipmentRow


class Pages:
    """Base of the book's parts; sessions and rows never leave them."""

    def __init__(self, path: Path, engine: Engine) -> None:
        self._path = path
        self._engine: Engine | None = engine

    @property
    def path(self) -> Path:
        """The file."""
        return self._path

    @contextmanager
    def _reading(self) -> Iterator[Session]:
        """One consistent view of the book."""
        with self._session(writes=False) as session:
            yield session

    @contextmanager
    def whole_view(self) -> Iterator[Session]:
        """One consistent view of everything, for what goes through all tables alike."""
        with self._session(writes=False) as session:
            yield session

    @contextmanager
    def _writing(self) -> Iterator[Session]:
        """One transaction: on the disk when the block ends, or not at all if it raises."""
        with self._session(writes=True) as session:
            yield session

    @contextmanager
    def _session(self, *, writes: bool) -> Iterator[Session]:
        if self._engine is None:
            raise BookError("The book is closed.", remedy="Open it again.")
        engine = self._engine.execution_options(**{WRITES: writes})
        try:
            with Session(engine) as session, session.begin():
                yield session
        except (SQLAlchemyError, sqlite3.Error, OverflowError, UnicodeError) as error:
            raise book_error(error, self._path) from error


def missing(what: str, key: int | str) -> BookError:
    """Say that something is not in the book."""
    shown = f"“{key}”" if isinstance(key, str) else f"number {key}"
    return BookError(
        f"There is no {what} {shown} in this book.",
        field=what,
        remedy="It may have been removed in the meantime; look at the list again.",
    )


def equipment_row(session: Session, kind: str, name: str) -> EquipmentRow | None:
    """Find a lehr or furnace by its name."""
    return session.scalar(
        select(EquipmentRow).where(EquipmentRow.kind == kind, EquipmentRow.name == name)
    )


def known_equipment(session: Session, kind: str, name: str) -> EquipmentRow:
    """Find a lehr or furnace; raises BookError if it is not there."""
    row = equipment_row(session, kind, name)
    if row is None:
        raise missing(kind, name)
    return row


def furnace_row(session: Session, name: str) -> EquipmentRow:
    """Find a furnace; raises BookError if it is not there."""
    return known_equipment(session, "furnace", name)


def in_use(what: str, name: str, why: str) -> BookError:
    """Refuse to remove what other entries stand on."""
    return BookError(
        f"The {what} “{name}” cannot be removed: {why}.",
        field=what,
        remedy="What was done with it is part of the book and stays.",
    )
