"""The readings of the book's runs, typed or taken from loggers' files."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import numpy as np
from sqlalchemy import Integer, func, select, type_coerce
from sqlalchemy.dialects.sqlite import insert
from sqlalchemy.orm import Session

from core.errors import RunError, StoppedError
from core.run.readings import FloatArray, Readings
from core.store.base import EPOCH, as_utc
from core.store.entries import ImportOutcome, ImportRecord, ReadingRecord
from core.store.models import ImportRow, ReadingRow
from core.store.pages import Pages, missing
from core.store.runs import run_row
from core.units import ZERO_CELSIUS

LOWEST, HIGHEST = ZERO_CELSIUS - 50.0, ZERO_CELSIUS + 1800.0
"""Temperatures a reading may have [K], as for a furnace; beyond them a thermocouple is broken."""
TYPED = "typed"
"""Source of a reading entered by hand."""
_AT_ONCE = 5000
"""Rows written between two looks at whether to go on."""


class ReadingPages(Pages):
    """Readings, each known by its run and time; imported files by their number."""

    def add_reading(
        self, run_id: int, time: datetime, temperature: float, source: str = TYPED
    ) -> None:
        """Enter one reading; it is on the disk when this returns.

        Parameters
        ----------
        run_id : int
        time : datetime
            Aware.
        temperature : float
            Controller reading [K].
        source : str

        Raises
        ------
        RunError
            An impossible temperature, or there is a reading at that time already.
        """
        moment = as_utc(time)
        _check_temperatures(np.array([temperature]))
        with self._writing() as session:
            equipment_id = run_row(session, run_id).equipment_id
            taken = select(ReadingRow.id).where(
                ReadingRow.run_id == run_id, ReadingRow.time == moment
            )
            if session.scalar(taken) is not None:
                raise RunError(
                    "The run has a reading at that time already.",
                    field="time",
                    remedy="Give another time, or remove the earlier reading first.",
                )
            session.add(
                ReadingRow(
                    equipment_id=equipment_id,
                    run_id=run_id,
                    time=moment,
                    temperature_k=temperature,
                    source=source,
                    note="",
                )
            )

    def add_readings(
        self,
        run_id: int,
        readings: Readings,
        source: str,
        file_name: str,
        file_hash: str,
        *,
        progress: Callable[[float], None] | None = None,
        cancelled: Callable[[], bool] | None = None,
    ) -> ImportOutcome:
        """Take a file's readings into a run: all of them or, if anything fails, none.

        Times the run has already are left as they are, so the same file, or a longer one of the
        same night, can be taken in again. Times are kept to the microsecond.

        Parameters
        ----------
        run_id : int
        readings : Readings
        source : str
            What recorded them, in the studio's words.
        file_name : str
        file_hash : str
            SHA-256 of the file in hexadecimal.
        progress, cancelled : callable, optional
            Told the share written (0 to 1); asked now and then whether to stop.

        Raises
        ------
        RunError
            No readings, or an impossible temperature.
        StoppedError
            When ``cancelled`` says so; nothing was written.
        """
        if len(readings) == 0:
            raise RunError("The file has no readings.", field="time", remedy="Choose another file.")
        _check_temperatures(readings.temperature)
        times = _moments(readings)
        with self._writing() as session:
            equipment_id = run_row(session, run_id).equipment_id
            taken = ImportRow(
                run_id=run_id,
                file_name=file_name,
                file_hash=file_hash,
                imported_at=datetime.now(UTC),
                added=0,
                skipped=0,
            )
            session.add(taken)
            session.flush()
            before = _reading_count(session, run_id)
            statement = insert(ReadingRow).on_conflict_do_nothing(
                index_elements=[ReadingRow.run_id, ReadingRow.time],
                index_where=ReadingRow.run_id.is_not(None),
            )
            rows = [
                {
                    "equipment_id": equipment_id,
                    "run_id": run_id,
                    "import_id": taken.id,
                    "time": time,
                    "temperature_k": temperature,
                    "source": source,
                    "note": "",
                }
                for time, temperature in zip(times, readings.temperature.tolist(), strict=True)
            ]
            # The connection, not the session: thousands of rows need no object each.
            connection = session.connection()
            for first in range(0, len(rows), _AT_ONCE):
                if cancelled is not None and cancelled():
                    raise StoppedError("Taking in the file was stopped; nothing of it was kept.")
                connection.execute(statement, rows[first : first + _AT_ONCE])
                if progress is not None:
                    progress(min(1.0, (first + _AT_ONCE) / len(rows)))
            added = _reading_count(session, run_id) - before
            taken.added, taken.skipped = added, len(readings) - added
        return ImportOutcome(added, len(readings) - added)

    def readings(self, run_id: int) -> Readings:
        """All readings of a run in order of time; empty if there are none yet."""
        with self._reading() as session:
            run_row(session, run_id)
            rows = session.execute(
                select(type_coerce(ReadingRow.time, Integer), ReadingRow.temperature_k)
                .where(ReadingRow.run_id == run_id)
                .order_by(ReadingRow.time)
            ).all()
        times = np.array([row[0] for row in rows], dtype=np.int64)
        temperatures = np.array([row[1] for row in rows], dtype=np.float64)
        return Readings(times / 1e6, temperatures)

    def reading_records(self, run_id: int) -> tuple[ReadingRecord, ...]:
        """All readings of a run in order of time, each with where it came from."""
        with self._reading() as session:
            run_row(session, run_id)
            rows = session.execute(
                select(
                    ReadingRow.time,
                    ReadingRow.temperature_k,
                    ReadingRow.source,
                    ReadingRow.import_id,
                )
                .where(ReadingRow.run_id == run_id)
                .order_by(ReadingRow.time)
            ).all()
        return tuple(ReadingRecord(*row) for row in rows)

    def delete_reading(self, run_id: int, time: datetime) -> None:
        """Remove the reading at a time, such as one mistyped; BookError if there is none."""
        moment = as_utc(time)
        with self._writing() as session:
            found = session.scalar(
                select(ReadingRow).where(ReadingRow.run_id == run_id, ReadingRow.time == moment)
            )
            if found is None:
                raise missing("reading at", f"{moment:%Y-%m-%d %H:%M:%S} UTC")
            session.delete(found)

    def imports(self, run_id: int) -> tuple[ImportRecord, ...]:
        """Files taken into a run, the first first."""
        with self._reading() as session:
            rows = session.scalars(
                select(ImportRow).where(ImportRow.run_id == run_id).order_by(ImportRow.id)
            ).all()
            return tuple(
                ImportRecord(
                    row.id,
                    row.run_id,
                    row.file_name,
                    row.file_hash,
                    row.imported_at,
                    row.added,
                    row.skipped,
                )
                for row in rows
            )

    def delete_import(self, import_id: int) -> None:
        """Take a file's readings out of its run again, such as one taken into the wrong run."""
        with self._writing() as session:
            row = session.get(ImportRow, import_id)
            if row is None:
                raise missing("import", import_id)
            session.delete(row)


def _reading_count(session: Session, run_id: int) -> int:
    return session.scalars(
        select(func.count(ReadingRow.id)).where(ReadingRow.run_id == run_id)
    ).one()


def _check_temperatures(temperatures: FloatArray) -> None:
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


def _moments(readings: Readings) -> list[datetime]:
    try:
        return [EPOCH + timedelta(seconds=time) for time in readings.time.tolist()]
    except OverflowError as error:
        raise RunError(
            "A reading's time lies outside the calendar.",
            field="time",
            remedy="Check how the file writes its times.",
        ) from error
