"""The readings of the book's runs, typed or taken from loggers' files."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import numpy as np
from sqlalchemy import select

from core.errors import RunError
from core.run.readings import Readings
from core.store.base import EPOCH, as_utc
from core.store.entries import ImportOutcome, ImportRecord, ReadingRecord
from core.store.models import ImportRow, ReadingRow
from core.store.pages import Pages, missing
from core.store.reading_rows import add_rows, check_temperatures, read_rows, stored_times
from core.store.runs import run_row

TYPED = "typed"
"""Source of a reading entered by hand."""
_MICROSECOND = timedelta(microseconds=1)


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
        check_temperatures(np.array([temperature]))
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
        check_temperatures(readings.temperature)
        stored_times(readings)
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
            added = add_rows(
                session, (equipment_id, run_id, taken.id), readings, source, progress, cancelled
            )
            taken.added, taken.skipped = added, len(readings) - added
        return ImportOutcome(added, len(readings) - added)

    def log_readings(self, run_id: int, readings: Readings, source: str) -> ImportOutcome:
        """Enter what came from a live source since the last time; on the disk when this returns.

        Times the run has already are left as they are: a source that was lost and found again may
        tell of them twice. What was read after the end of a run that was finished is left out.

        Raises
        ------
        RunError
            An impossible temperature; nothing was written.
        """
        if len(readings) == 0:
            return ImportOutcome(0, 0)
        with self._writing() as session:
            run = run_row(session, run_id)
            wanted = readings
            if run.finished_at is not None:
                within = readings.time <= run.finished_at.timestamp()
                wanted = Readings(readings.time[within], readings.temperature[within])
            added = add_rows(session, (run.equipment_id, run_id, None), wanted, source)
        return ImportOutcome(added, len(readings) - added)

    def logged_until(self, run_id: int, source: str) -> datetime | None:
        """Time of the last reading a run has from a source; ``None`` when it has none."""
        with self._reading() as session:
            run_row(session, run_id)
            return session.scalar(
                select(ReadingRow.time)
                .where(ReadingRow.run_id == run_id, ReadingRow.source == source)
                .order_by(ReadingRow.time.desc())
                .limit(1)
            )

    def readings(self, run_id: int, *, since: datetime | None = None) -> Readings:
        """All readings of a run in order of time, or those after an aware time; may be none."""
        after = None if since is None else (as_utc(since, "since") - EPOCH) // _MICROSECOND
        with self._reading() as session:
            run_row(session, run_id)
            return read_rows(session, run_id, after)

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
