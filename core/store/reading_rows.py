"""Readings written and read by the hundred thousand: plain numbers, no object for each.

The driver's own ``executemany`` takes them, in the transaction of the session, so that the same
constraints and triggers hold as for a single reading.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime
from itertools import chain

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import text
from sqlalchemy.orm import Session

from core.errors import BookError, RunError, StoppedError
from core.run.readings import FloatArray, Readings
from core.store.base import EPOCH
from core.units import ZERO_CELSIUS

LOWEST, HIGHEST = ZERO_CELSIUS - 50.0, ZERO_CELSIUS + 1800.0
"""Temperatures a reading may have [K], as for a furnace; beyond them a thermocouple is broken."""
AT_ONCE = 25_000
"""Rows written between two looks at whether to go on: about 50 ms."""
_CACHE = 65_536
"""[KiB] Kept in memory while many rows are written. With SQLite's usual 2 MiB the file would be
written to, and everybody else locked out, long before the end."""
_FIRST = (datetime.min.replace(tzinfo=UTC) - EPOCH).total_seconds()
_LAST = (datetime.max.replace(tzinfo=UTC) - EPOCH).total_seconds()

_TOGETHER = 100
"""Rows in one statement: two and a half times as fast as one each, which opens the table and its
indexes anew. 204 numbers are within what any SQLite takes (999)."""


def _insertion(rows: int) -> str:
    """Statement for so many rows; ?1 to ?4 are equipment, run, import and source."""
    values = ", ".join(f"(?1, ?2, ?3, ?4, '', ?{5 + 2 * n}, ?{6 + 2 * n})" for n in range(rows))
    return (
        "INSERT INTO readings"  # noqa: S608 - made of numbers of places alone
        " (equipment_id, run_id, import_id, source, note, time, temperature_k)"
        f" VALUES {values} ON CONFLICT (run_id, time) WHERE run_id IS NOT NULL DO NOTHING"
    )


_ONE, _MANY = _insertion(1), _insertion(_TOGETHER)


def check_temperatures(temperatures: FloatArray) -> None:
    """Refuse temperatures [K] no sound thermocouple reads; RunError names the first."""
    wrong = ~((temperatures >= LOWEST) & (temperatures <= HIGHEST))
    if wrong.any():
        value = float(temperatures[wrong][0]) - ZERO_CELSIUS
        count = int(wrong.sum())
        others = f" and {count - 1} more like it" if count > 1 else ""
        raise RunError(
            f"A reading of {value:.6g} °C{others} is not possible.",
            field="temperature",
            remedy="Check the number and its unit; a broken thermocouple reads like this.",
        )


def stored_times(readings: Readings) -> NDArray[np.int64]:
    """Times as the book keeps them, whole microseconds since 1970; RunError off the calendar."""
    if ((readings.time < _FIRST) | (readings.time > _LAST)).any():
        raise RunError(
            "A reading's time lies outside the calendar.",
            field="time",
            remedy="Check how the file writes its times.",
        )
    return np.asarray(np.rint(readings.time * 1e6), dtype=np.int64)


def count_rows(session: Session, run_id: int) -> int:
    """How many readings a run has."""
    found = session.execute(
        text("SELECT count(*) FROM readings WHERE run_id = :run"), {"run": run_id}
    ).scalar_one()
    return int(found)


def add_rows(
    session: Session,
    owner: tuple[int, int, int | None],
    readings: Readings,
    source: str,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> int:
    """Write the readings whose times the run has not yet; returns how many that were.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    owner : tuple of int, int, int or None
        Numbers of the equipment, the run and the import.
    readings : Readings
    source : str
    progress, cancelled : callable, optional
        Told the share written (0 to 1); asked before every :data:`AT_ONCE` whether to stop.

    Raises
    ------
    RunError
        An impossible temperature or time.
    StoppedError
        When ``cancelled`` says so.
    """
    check_temperatures(readings.temperature)
    times = stored_times(readings)
    equipment_id, run_id, import_id = owner
    constant = (equipment_id, run_id, import_id, source)
    before = count_rows(session, run_id)
    driver = _driver(session)
    driver.execute(f"PRAGMA cache_size=-{_CACHE}")
    for first in range(0, len(readings), AT_ONCE):
        if cancelled is not None and cancelled():
            raise StoppedError("Taking in the file was stopped; nothing of it was kept.")
        part = slice(first, first + AT_ONCE)
        flat: list[int | float] = [0] * (2 * len(times[part]))
        flat[0::2] = times[part].tolist()
        flat[1::2] = readings.temperature[part].tolist()
        whole = len(flat) // (2 * _TOGETHER) * 2 * _TOGETHER
        driver.executemany(
            _MANY,
            ((*constant, *flat[n : n + 2 * _TOGETHER]) for n in range(0, whole, 2 * _TOGETHER)),
        )
        driver.executemany(
            _ONE, ((*constant, *flat[n : n + 2]) for n in range(whole, len(flat), 2))
        )
        if progress is not None:
            progress(min(1.0, (first + AT_ONCE) / len(readings)))
    return count_rows(session, run_id) - before


def _driver(session: Session) -> sqlite3.Connection:
    found = session.connection().connection.driver_connection
    if not isinstance(found, sqlite3.Connection):
        raise BookError("This book is not kept in a file.")
    return found


def read_rows(session: Session, run_id: int, since: int | None = None) -> Readings:
    """All readings of a run in order of time, or those after a time in microseconds."""
    query, wanted = "SELECT time, temperature_k FROM readings WHERE run_id = ?", [run_id]
    if since is not None:
        query, wanted = query + " AND time > ?", [run_id, since]
    rows = _driver(session).execute(query + " ORDER BY time", wanted)
    # Microseconds are whole numbers that a double holds exactly for 285 years from 1970.
    pairs = np.fromiter(chain.from_iterable(rows), dtype=np.float64).reshape(-1, 2)
    return Readings(pairs[:, 0] / 1e6, pairs[:, 1])
