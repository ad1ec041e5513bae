"""Readings from a logger's file while it is written, by the rules of reading a whole one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.errors import LogFileError
from core.live.events import (
    Clock,
    EventKind,
    LiveEvent,
    LiveReading,
    Poll,
    Signal,
    SignalKind,
)
from core.live.growing_file import FileState, NewLines
from core.live.patient_file import PatientFile
from core.run.log_clock import zone_of
from core.run.log_file import TakenRows, read_lines
from core.run.log_format import LogFormat, TimeKind
from core.run.log_lines import Lines
from core.run.log_problem import RowProblem

FloatArray = NDArray[np.float64]

_NEAR_CONTEXT = 20
"""So many last good rows are read again with the new ones, so that each has its neighbours."""
_FAR_CONTEXT = 135
"""And so many before, a minute apart: longer than the hour that comes twice in autumn."""
_FAR_STEP = 60.0
_LEAP = 600.0
"""A row further ahead than this [s], and 20 times the usual spacing, waits for two more."""
_ENOUGH_AFTER = 2


@dataclass(frozen=True)
class _Row:
    """A good row: its line in the file, its text and its UTC time."""

    number: int
    line: str
    time: float


class FollowedFile:
    """Follows a logger's file; fulfils :class:`core.live.events.Source`.

    Parameters
    ----------
    path : Path
    log_format : LogFormat
        As settled by reading the file as it stands.
    start : datetime, optional
        When the log began (aware), where the format needs it.
    after : datetime, optional
        Readings up to this time (aware) are known already.
    interval : float
        Between two looks [s].
    patience : float
        Longest wait for a disk or network that does not answer [s].

    Raises
    ------
    LogFileError
        If the format needs a start and there is none, or a time or zone is wrong.
    """

    def __init__(
        self,
        path: Path,
        log_format: LogFormat,
        *,
        start: datetime | None = None,
        after: datetime | None = None,
        interval: float = 2.0,
        patience: float = 5.0,
    ) -> None:
        if not 0.1 <= interval <= 3600.0:
            raise LogFileError(
                f"{interval:g} s is not possible between two looks at the file.",
                field="interval",
                remedy="Use 0.1 to 3600 s.",
            )
        if log_format.needs_start and start is None:
            raise LogFileError(
                "The file has no dates.", field="start", remedy="Say when the log began."
            )
        for moment in (start, after):
            if moment is not None and moment.tzinfo is None:
                raise LogFileError("The time has no zone.", field="start", remedy="Give it one.")
        zone_of(log_format.timezone)
        self._path = path
        self._format = log_format
        self._start = start
        self._last = after.timestamp() if after is not None else -np.inf
        self._interval = interval
        self._file = PatientFile(path, log_format.encoding, patience)
        self._more = False
        self._number = 0
        self._header: list[str] = []
        self._head_left = log_format.header_lines
        self._context: list[_Row] = []
        self._held: list[tuple[int, str]] = []
        self._bad_rows = False
        self._gone_since: datetime | None = None
        self._signal = Signal()

    @property
    def name(self) -> str:
        """What it is called on screen."""
        return self._path.name

    @property
    def wait(self) -> float:
        """Seconds until the next look."""
        return 0.0 if self._more else self._interval

    def poll(self, clock: Clock) -> Poll:
        """Take the new whole rows; whatever becomes of the file is an event."""
        found = self._file.look()
        now = clock.now()
        self._more = found.more
        events: list[LiveEvent] = []
        readings = self._take(found.before, now, events)
        if found.state in (FileState.GONE, FileState.UNREADABLE):
            self._lost(found, now, events)
            return Poll(readings, tuple(events), self._signal)
        self._found_again(now, events)
        if found.state is FileState.ANEW:
            self._begin_anew(now, events)
        readings += self._take(found.lines, now, events)
        return Poll(readings, tuple(events), self._signal)

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()

    # -- what becomes of the file -----------------------------------------------------------

    def _lost(self, found: NewLines, now: datetime, events: list[LiveEvent]) -> None:
        if self._gone_since is not None:
            return
        self._gone_since = now
        if found.state is FileState.GONE:
            sentence = f"“{self.name}” is no longer there."
        else:
            sentence = f"“{self.name}” cannot be read: {found.reason}."
        self._signal = Signal(SignalKind.SILENT, now, sentence)
        remedy = "Check the logger, the network and the folder; it is looked for all the time."
        events.append(LiveEvent(now, EventKind.LOST, sentence, remedy))

    def _found_again(self, now: datetime, events: list[LiveEvent]) -> None:
        if self._gone_since is None and self._signal.kind is not SignalKind.WAITING:
            return
        events.append(
            LiveEvent(now, EventKind.CONNECTED, f"“{self.name}” is read.", since=self._gone_since)
        )
        self._gone_since = None
        self._signal = Signal(SignalKind.GOOD, now)

    def _begin_anew(self, now: datetime, events: list[LiveEvent]) -> None:
        events.append(
            LiveEvent(
                now,
                EventKind.REPLACED,
                f"“{self.name}” was begun anew; it is read from its beginning.",
                "Import the earlier file too if readings are missing.",
            )
        )
        # Its header, if it has one, is known and passed over; its rows up to now are too.
        self._number, self._head_left = 0, 0
        self._held, self._context = [], []

    def _rows_of(self, lines: tuple[str, ...]) -> tuple[str, ...]:
        """Set the header aside, which may come line by line."""
        count = min(self._head_left, len(lines))
        self._head_left -= count
        self._header += lines[:count]
        self._number += count
        return lines[count:]

    # -- rows -------------------------------------------------------------------------------

    def _take(
        self, lines: tuple[str, ...], now: datetime, events: list[LiveEvent]
    ) -> tuple[LiveReading, ...]:
        lines = self._rows_of(lines)
        if not lines:
            return ()
        new = [(self._number + i, line) for i, line in enumerate(lines, 1)]
        self._number += len(lines)
        known = len(self._context)
        rows = [(row.number, row.line) for row in self._context] + self._held + new
        taken = self._read([line for _, line in rows])
        fresh = (taken.line > known) & (taken.readings.time > self._last)
        time, temperature = taken.readings.time[fresh], taken.readings.temperature[fresh]
        line = taken.line[fresh]
        until = self._certain(time)
        end = int(line[until]) - 1 if until < time.size else len(rows)
        self._held = rows[end:]
        time, temperature, line = time[:until], temperature[:until], line[:until]
        problems = [
            replace(one, line=rows[one.line - 1][0])
            for one in taken.problems
            if known < one.line <= end
        ]
        self._tell(problems, rows[int(line[-1]) - 1][0] if line.size else 0, now, events)
        if time.size:
            self._remember(rows, line, time)
            self._last = float(time[-1])
        return tuple(
            LiveReading(datetime.fromtimestamp(moment, UTC), value)
            for moment, value in zip(time.tolist(), temperature.tolist(), strict=True)
        )

    def _read(self, lines: list[str]) -> TakenRows:
        """Read rows by the rules of a whole file; lines of the result count from the first row."""
        start = self._start
        if self._format.time_kind is TimeKind.CLOCK and np.isfinite(self._last):
            # The day follows from the rows before.
            first = self._context[0].time if self._context else self._last
            start = datetime.fromtimestamp(first, UTC)
        header = self._header[: self._format.header_lines]
        taken = read_lines(Lines("\n".join([*header, *lines, ""])), self._format, start)
        return TakenRows(
            taken.readings,
            taken.line - len(header),
            tuple(replace(one, line=one.line - len(header)) for one in taken.problems),
            taken.notes,
        )

    def _certain(self, time: FloatArray) -> int:
        """How many new rows are certain: a leap ahead must be borne out by two more rows."""
        before = [row.time for row in self._context[-_NEAR_CONTEXT:]]
        series = np.concatenate((before, time))
        if series.size < 2:
            return int(time.size)
        steps = np.diff(series)
        limit = max(_LEAP, 20.0 * float(np.median(steps)))
        for leap in (np.flatnonzero(steps > limit) + 1 - len(before)).tolist():
            if leap >= 0 and time.size - leap <= _ENOUGH_AFTER:
                return int(leap)
        return int(time.size)

    def _remember(
        self, rows: list[tuple[int, str]], line: NDArray[np.int64], time: FloatArray
    ) -> None:
        """Keep the last good rows, and before them one a minute."""
        recent = np.flatnonzero(time >= time[-1] - (_FAR_CONTEXT + 1) * _FAR_STEP).tolist()
        both = self._context + [_Row(*rows[int(line[i]) - 1], float(time[i])) for i in recent]
        thinned: list[_Row] = []
        for row in both[:-_NEAR_CONTEXT]:
            if not thinned or row.time - thinned[-1].time >= _FAR_STEP:
                thinned.append(row)
        self._context = thinned[-_FAR_CONTEXT:] + both[-_NEAR_CONTEXT:]

    def _tell(
        self, problems: list[RowProblem], last_good: int, now: datetime, events: list[LiveEvent]
    ) -> None:
        """Say once what is wrong with rows, and whether the thermocouple answers."""
        bad = [one for one in problems if not one.broken]
        if bad and not self._bad_rows:
            others = f" ({len(bad) - 1} more like it)" if len(bad) > 1 else ""
            events.append(
                LiveEvent(now, EventKind.BAD_ROWS, f"A row was left out{others}: {bad[-1]}")
            )
        if bad or last_good:
            self._bad_rows = bool(bad)
        broken = [one for one in problems if one.broken]
        if broken and broken[-1].line > last_good:
            if self._signal.kind is not SignalKind.BROKEN:
                self._signal = Signal(SignalKind.BROKEN, now, broken[-1].message)
                remedy = "Look at the thermocouple and its plug."
                events.append(LiveEvent(now, EventKind.BROKEN, broken[-1].message, remedy))
        elif last_good and self._signal.kind is SignalKind.BROKEN:
            since = self._signal.since
            self._signal = Signal(SignalKind.GOOD, now)
            sentence = f"“{self.name}” has temperatures again."
            events.append(LiveEvent(now, EventKind.MENDED, sentence, since=since))
