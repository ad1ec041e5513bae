"""All that was written down of a run: what happened, what was found, notes; in order of time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from app.logbook.run_sheet import RunSheet
from app.plots.curves import Marker, MarkerRole
from app.widgets.quantity import NOTHING, Quantity, format_quantity, number_text
from core.run.run_event import EventKind, Outcome, OutcomeKind, RunEvent
from core.store.book import AlarmRecord, NoteRecord, OutcomeRecord, RunEventRecord
from core.units import UnitChoice

_BEFORE, _AFTER = timedelta(hours=1), timedelta(hours=3)
"""Events so much before a run begins and after it ends are still marked on its curve."""
_LONGEST = 26
"""Letters of a moment's name on the curve."""

Record = RunEventRecord | OutcomeRecord | NoteRecord | AlarmRecord


@dataclass(frozen=True)
class StoryLine:
    """One line of the list.

    Attributes
    ----------
    time : datetime
    what : str
        Its kind.
    words : str
    record : RunEventRecord, OutcomeRecord, NoteRecord, AlarmRecord or None
        What stands behind it; ``None`` for what was noted when the run was started.
    photos : tuple of str
    bad : bool
        Something broke.
    """

    time: datetime
    what: str
    words: str
    record: Record | None
    photos: tuple[str, ...] = ()
    bad: bool = False

    @property
    def removable(self) -> bool:
        """Whether a person wrote it: alarms stay, as what was noted at the start does."""
        return self.record is not None and not isinstance(self.record, AlarmRecord)


def story_of(sheet: RunSheet, units: UnitChoice) -> tuple[StoryLine, ...]:
    """Everything written down of a run, the first first."""
    lines = [
        StoryLine(
            record.event.time,
            record.event.kind.value,
            event_words(record.event),
            record,
            record.event.photos,
            record.event.kind in {EventKind.CRACK_FOUND, EventKind.POWER_CUT},
        )
        for record in sheet.events
    ]
    lines.extend(
        StoryLine(
            record.outcome.found_at,
            f"found {record.outcome.kind.value}",
            outcome_words(record.outcome, units),
            record,
            record.outcome.photos,
            record.outcome.kind is OutcomeKind.CRACKED,
        )
        for record in sheet.outcomes
    )
    lines.extend(StoryLine(note.time, "note", note.text, note) for note in sheet.notes)
    lines.extend(
        StoryLine(alarm.raised_at, f"alarm: {alarm.kind}", alarm.text, alarm, bad=True)
        for alarm in sheet.alarms
    )
    if sheet.run.note:
        lines.append(StoryLine(sheet.run.started_at, "note", sheet.run.note, None))
    return tuple(sorted(lines, key=lambda line: line.time))


def event_words(event: RunEvent) -> str:
    """Piece and words of an event."""
    return ". ".join(part for part in (event.piece, event.text.strip()) if part) or NOTHING


def outcome_words(outcome: Outcome, units: UnitChoice) -> str:
    """What was found, ``"2 × Ship's decanter: 140 nm through 15.0 mm (93 nm/cm). temper 2"``."""
    seen = []
    if outcome.retardation is not None:
        text = format_quantity(Quantity.RETARDATION, outcome.retardation, units)
        if outcome.light_path is not None:
            text += f" through {format_quantity(Quantity.LENGTH, outcome.light_path, units)}"
        per_length = outcome.retardation_per_length
        if per_length is not None:
            text += f" ({number_text(per_length / 1e-7, 0)} nm/cm)"
        seen.append(text)
    seen.extend(part for part in (outcome.grade.strip(), outcome.text.strip()) if part)
    piece = outcome.piece if outcome.count == 1 else f"{outcome.count} × {outcome.piece}"
    return f"{piece}: {'. '.join(seen)}" if seen else piece


def story_markers(sheet: RunSheet, lines: tuple[StoryLine, ...]) -> list[Marker]:
    """The moments of a story that belong on its curve: those about the night itself."""
    first, last = sheet.run.started_at, sheet.run.finished_at or sheet.plan.ready_at
    if len(sheet.readings):
        begun, ended = (datetime.fromtimestamp(t, UTC) for t in sheet.readings.time[[0, -1]])
        first, last = min(first, begun), max(last, ended)
    marks: dict[tuple[str, bool], Marker] = {}
    for line in lines:
        if line.record is None or not first - _BEFORE <= line.time <= last + _AFTER:
            continue
        # Of several pieces found sound in one morning the first mark says it.
        found = isinstance(line.record, OutcomeRecord)
        label = _short(line)
        key = (label if found else f"{label} {line.time}", found)
        marks.setdefault(key, Marker(line.time.timestamp(), label, MarkerRole.EVENT))
    return list(marks.values())


def _short(line: StoryLine) -> str:
    words = line.words if line.what == EventKind.NOTE.value else line.what
    return words if len(words) <= _LONGEST else f"{words[: _LONGEST - 1].rstrip()}…"
