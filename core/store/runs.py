"""The book's runs and their readings."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from sqlalchemy import Integer, Select, func, select, type_coerce
from sqlalchemy.dialects.sqlite import insert
from sqlalchemy.orm import Session

from core.errors import RunError
from core.run.readings import Readings
from core.store.base import EPOCH, as_utc
from core.store.entries import ImportRecord, RunRecord
from core.store.loads import plan_row
from core.store.models import EquipmentRow, ImportRow, LoadRow, PlanRow, ReadingRow, RunRow
from core.store.pages import Pages, equipment_row, missing
from core.store.records import lehr_to_json, load_from_json
from core.units import ZERO_CELSIUS

LOWEST, HIGHEST = ZERO_CELSIUS - 50.0, ZERO_CELSIUS + 1800.0
"""Temperatures a reading may have [K], as for a furnace; beyond them a thermocouple is broken."""
TYPED = "typed"
"""Source of a reading entered by hand."""


@dataclass(frozen=True)
class ImportOutcome:
    """How many readings of a file were new, and how many the run had already."""

    added: int
    skipped: int


class RunPages(Pages):
    """Runs, each known by its number; readings by their time in the run."""

    def start_run(self, plan_id: int, started_at: datetime, note: str = "") -> RunRecord:
        """Start a run from a plan, which from now on cannot be changed.

        The load's lehr is entered in the book if it is not there yet.

        Parameters
        ----------
        plan_id : int
        started_at : datetime
            Aware.
        note : str
        """
        started = as_utc(started_at, "started_at")
        with self._writing() as session:
            plan = plan_row(session, plan_id)
            snapshot = session.scalars(
                select(LoadRow.snapshot).where(LoadRow.id == plan.load_id)
            ).one()
            lehr = load_from_json(snapshot).lehr
            equipment = equipment_row(session, "lehr", lehr.name)
            if equipment is None:
                equipment = EquipmentRow(kind="lehr", name=lehr.name, settings=lehr_to_json(lehr))
                session.add(equipment)
                session.flush()
            row = RunRow(plan_id=plan_id, equipment_id=equipment.id, started_at=started, note=note)
            session.add(row)
            session.flush()
            return _run(session, row.id)

    def runs(self) -> tuple[RunRecord, ...]:
        """All runs, the newest first."""
        with self._reading() as session:
            rows = session.execute(
                _run_columns().order_by(RunRow.started_at.desc(), RunRow.id.desc())
            ).all()
        return tuple(RunRecord(*row) for row in rows)

    def run(self, run_id: int) -> RunRecord:
        """Return one run; BookError if it is not there."""
        with self._reading() as session:
            return _run(session, run_id)

    def finish_run(self, run_id: int, finished_at: datetime) -> RunRecord:
        """Enter when the run ended (again, to correct it); RunError before its start."""
        finished = as_utc(finished_at, "finished_at")
        with self._writing() as session:
            row = _run_row(session, run_id)
            if finished < row.started_at:
                raise RunError(
                    f"The run cannot end at {finished:%H:%M} UTC, before it was started "
                    f"({row.started_at:%H:%M} UTC).",
                    field="finished_at",
                    remedy="Give a later time.",
                )
            row.finished_at = finished
            session.flush()
            return _run(session, run_id)

    def set_run_note(self, run_id: int, note: str) -> RunRecord:
        """Change what is noted on a run."""
        with self._writing() as session:
            _run_row(session, run_id).note = note
            session.flush()
            return _run(session, run_id)

    def delete_run(self, run_id: int) -> None:
        """Remove a run started by mistake, with its readings, imports and notes."""
        with self._writing() as session:
            session.delete(_run_row(session, run_id))

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
            equipment_id = _run_row(session, run_id).equipment_id
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
        self, run_id: int, readings: Readings, source: str, file_name: str, file_hash: str
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

        Raises
        ------
        RunError
            No readings, or an impossible temperature.
        """
        if len(readings) == 0:
            raise RunError("The file has no readings.", field="time", remedy="Choose another file.")
        _check_temperatures(readings.temperature)
        times = _moments(readings)
        with self._writing() as session:
            equipment_id = _run_row(session, run_id).equipment_id
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
            # The connection, not the session: thousands of rows need no object each.
            session.connection().execute(
                statement,
                [
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
                ],
            )
            added = _reading_count(session, run_id) - before
            taken.added, taken.skipped = added, len(readings) - added
        return ImportOutcome(added, len(readings) - added)

    def readings(self, run_id: int) -> Readings:
        """All readings of a run in order of time; empty if there are none yet."""
        with self._reading() as session:
            _run_row(session, run_id)
            rows = session.execute(
                select(type_coerce(ReadingRow.time, Integer), ReadingRow.temperature_k)
                .where(ReadingRow.run_id == run_id)
                .order_by(ReadingRow.time)
            ).all()
        times = np.array([row[0] for row in rows], dtype=np.int64)
        temperatures = np.array([row[1] for row in rows], dtype=np.float64)
        return Readings(times / 1e6, temperatures)

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

    def remove_import(self, import_id: int) -> None:
        """Take a file's readings out of its run again, such as one taken into the wrong run."""
        with self._writing() as session:
            row = session.get(ImportRow, import_id)
            if row is None:
                raise missing("import", import_id)
            session.delete(row)


def _run_columns() -> Select[int, int, int, str, str, datetime, datetime | None, str, int]:
    """Select the fields of RunRecord in their order."""
    count = (
        select(func.count(ReadingRow.id)).where(ReadingRow.run_id == RunRow.id).scalar_subquery()
    )
    return (
        select(
            RunRow.id,
            RunRow.plan_id,
            PlanRow.load_id,
            LoadRow.name,
            EquipmentRow.name,
            RunRow.started_at,
            RunRow.finished_at,
            RunRow.note,
            count,
        )
        .join(PlanRow, PlanRow.id == RunRow.plan_id)
        .join(LoadRow, LoadRow.id == PlanRow.load_id)
        .join(EquipmentRow, EquipmentRow.id == RunRow.equipment_id)
    )


def _run(session: Session, run_id: int) -> RunRecord:
    row = session.execute(_run_columns().where(RunRow.id == run_id)).one_or_none()
    if row is None:
        raise missing("run", run_id)
    return RunRecord(*row)


def _run_row(session: Session, run_id: int) -> RunRow:
    row = session.get(RunRow, run_id)
    if row is None:
        raise missing("run", run_id)
    return row


def _reading_count(session: Session, run_id: int) -> int:
    return session.scalars(
        select(func.count(ReadingRow.id)).where(ReadingRow.run_id == run_id)
    ).one()


def _check_temperatures(temperatures: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> None:
    wrong = ~((temperatures >= LOWEST) & (temperatures <= HIGHEST))
    if wrong.any():
        value = float(temperatures[wrong][0]) - ZERO_CELSIUS
        count = int(wrong.sum())
        others = f" and {count - 1} more like it" if count > 1 else ""
        raise RunError(
            f"A reading of {value:.0f} °C{others} is not possible.",
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
