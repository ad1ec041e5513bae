"""Words looked for in everything written down in the book."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from core.store.models import (
    ChargeRow,
    EquipmentRow,
    GlassRow,
    LoadRow,
    NoteRow,
    PieceRow,
    PlanRow,
    PotRow,
    ReadingRow,
    RunRow,
)
from core.store.models_night import AlarmRow, OutcomeRow, RunEventRow
from core.store.models_pot import PotEntryRow
from core.store.night_entries import Hit, HitKind
from core.store.pages import Pages


class SearchPages(Pages):
    """Search; words are looked for as parts of words, capitals do not matter."""

    def search(self, text: str, *, limit: int = 500) -> tuple[Hit, ...]:
        """Find notes, events, outcomes, runs, loads, charges, entries and alarms by their words.

        Parameters
        ----------
        text : str
            All its words must be there, in any order and as parts of longer words; of nothing but
            blanks nothing is found.
        limit : int
            Most hits given back.

        Returns
        -------
        tuple of Hit
            The latest first.
        """
        words = text.casefold().split()
        if not words:
            return ()
        with self._reading() as session:
            hits = [
                hit
                for hit in _everything(session)
                if all(word in f"{hit.text} {hit.subject}".casefold() for word in words)
            ]
        hits.sort(key=lambda hit: hit.time, reverse=True)
        return tuple(hits[:limit])


def _line(*parts: str | None) -> str:
    return " · ".join(" ".join(part.split()) for part in parts if part and part.strip())


def _everything(session: Session) -> Iterator[Hit]:
    yield from _notes(session)
    yield from _of_runs(session)
    yield from _loads(session)
    yield from _of_the_furnace(session)


def _notes(session: Session) -> Iterator[Hit]:
    name = func.coalesce(GlassRow.name, EquipmentRow.name, PotRow.name, "")
    query = (
        select(
            NoteRow.id, NoteRow.time, NoteRow.text, NoteRow.run_id, NoteRow.load_id, NoteRow.plan_id
        )
        .add_columns(name)
        .outerjoin(GlassRow, GlassRow.id == NoteRow.glass_id)
        .outerjoin(EquipmentRow, EquipmentRow.id == NoteRow.equipment_id)
        .outerjoin(PotRow, PotRow.id == NoteRow.pot_id)
    )
    loads = _load_names(session)
    runs = _run_loads(session)
    for number, time, text, run_id, load_id, plan_id, subject in session.execute(query):
        load = load_id
        if run_id is not None:
            load = runs[run_id]
        elif plan_id is not None:
            load = session.scalar(select(PlanRow.load_id).where(PlanRow.id == plan_id))
        shown = subject or loads.get(load or 0, "")
        yield Hit(HitKind.NOTE, number, time, _line(text), run_id, shown)


def _load_names(session: Session) -> dict[int, str]:
    return dict(session.execute(select(LoadRow.id, LoadRow.name)).all())


def _run_loads(session: Session) -> dict[int, int]:
    query = select(RunRow.id, PlanRow.load_id).join(PlanRow, PlanRow.id == RunRow.plan_id)
    return dict(session.execute(query).all())


def _of_runs(session: Session) -> Iterator[Hit]:
    named = (
        select(RunRow.id, RunRow.started_at, RunRow.note, LoadRow.name, EquipmentRow.name)
        .join(PlanRow, PlanRow.id == RunRow.plan_id)
        .join(LoadRow, LoadRow.id == PlanRow.load_id)
        .join(EquipmentRow, EquipmentRow.id == RunRow.equipment_id)
    )
    names: dict[int, str] = {}
    for number, started, note, load, lehr in session.execute(named):
        names[number] = load
        yield Hit(HitKind.RUN, number, started, _line(note), number, _line(load, lehr))
    events = select(
        RunEventRow.id,
        RunEventRow.time,
        RunEventRow.kind,
        RunEventRow.piece,
        RunEventRow.text,
        RunEventRow.photos,
        RunEventRow.run_id,
    )
    for number, time, kind, piece, text, photos, run in session.execute(events):
        shown = _line(kind, piece, text, photos if photos != "[]" else "")
        yield Hit(HitKind.EVENT, number, time, shown, run, names[run])
    outcomes = select(
        OutcomeRow.id,
        OutcomeRow.found_at,
        OutcomeRow.kind,
        OutcomeRow.piece,
        OutcomeRow.grade,
        OutcomeRow.text,
        OutcomeRow.run_id,
    )
    for number, time, kind, piece, grade, text, run in session.execute(outcomes):
        shown = _line(piece, kind, grade, text)
        yield Hit(HitKind.OUTCOME, number, time, shown, run, names[run])
    alarms = select(AlarmRow.id, AlarmRow.raised_at, AlarmRow.kind, AlarmRow.text, AlarmRow.run_id)
    for number, time, kind, text, run in session.execute(alarms):
        yield Hit(HitKind.ALARM, number, time, _line(kind, text), run, names[run])


def _loads(session: Session) -> Iterator[Hit]:
    pieces: dict[int, list[str]] = {}
    for load, name, glass in session.execute(
        select(PieceRow.load_id, PieceRow.name, PieceRow.glass_name).order_by(PieceRow.position)
    ):
        pieces.setdefault(load, []).append(f"{name} ({glass})")
    last_run: dict[int, tuple[datetime, int]] = {}
    for run, started, load in session.execute(
        select(RunRow.id, RunRow.started_at, PlanRow.load_id)
        .join(PlanRow, PlanRow.id == RunRow.plan_id)
        .order_by(RunRow.started_at, RunRow.id)
    ):
        last_run[load] = (started, run)
    for number, name, saved in session.execute(select(LoadRow.id, LoadRow.name, LoadRow.saved_at)):
        run_id = last_run[number][1] if number in last_run else None
        shown = ", ".join(pieces.get(number, []))
        yield Hit(HitKind.LOAD, number, saved, shown, run_id, name)


def _of_the_furnace(session: Session) -> Iterator[Hit]:
    charges = select(
        ChargeRow.id, ChargeRow.time, ChargeRow.material, ChargeRow.note, PotRow.name
    ).join(PotRow, PotRow.id == ChargeRow.pot_id)
    for number, time, material, note, pot in session.execute(charges):
        yield Hit(HitKind.CHARGE, number, time, _line(material, note), None, pot)
    entries = select(
        PotEntryRow.id, PotEntryRow.time, PotEntryRow.kind, PotEntryRow.note, PotRow.name
    ).join(PotRow, PotRow.id == PotEntryRow.pot_id)
    for number, time, kind, note, pot in session.execute(entries):
        yield Hit(HitKind.POT_ENTRY, number, time, _line(kind, note), None, pot)
    # The loggers' readings, which may be millions, carry no notes; the index leads past them.
    temperatures = (
        select(ReadingRow.id, ReadingRow.time, ReadingRow.note, EquipmentRow.name)
        .join(EquipmentRow, EquipmentRow.id == ReadingRow.equipment_id)
        .where(ReadingRow.run_id.is_(None), ReadingRow.note != "")
    )
    for number, time, note, furnace in session.execute(temperatures):
        yield Hit(HitKind.FURNACE_READING, number, time, _line(note), None, furnace)
