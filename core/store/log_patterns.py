"""How the loggers' files of the studio are read, remembered by the pattern of their names."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import select

from core.errors import BookError
from core.run.file_pattern import best_pattern
from core.run.log_format import LogFormat
from core.store.models_night import LogPatternRow
from core.store.night_entries import LogPatternRecord
from core.store.pages import Pages, missing
from core.store.snapshot import read_snapshot, write_snapshot


class LogPatternPages(Pages):
    """Formats of loggers' files, each known by its pattern."""

    def remember_log_format(self, pattern: str, log_format: LogFormat) -> LogPatternRecord:
        """Remember how files whose names fit a pattern are read; replaces what was known of it.

        Parameters
        ----------
        pattern : str
            Such as :func:`core.run.file_pattern.file_pattern` makes of a name.
        log_format : LogFormat
        """
        if not pattern.strip() or not pattern.replace("*", "").strip():
            raise BookError(
                "A pattern that fits every file says nothing.",
                field="pattern",
                remedy="Keep some of the file's name in it.",
            )
        text = write_snapshot("log format", log_format)
        now = datetime.now(UTC)
        with self._writing() as session:
            row = session.scalar(select(LogPatternRow).where(LogPatternRow.pattern == pattern))
            if row is None:
                row = LogPatternRow(pattern=pattern)
                session.add(row)
            row.snapshot, row.saved_at = text, now
            session.flush()
            return LogPatternRecord(row.id, pattern, log_format, now)

    def log_formats(self) -> tuple[LogPatternRecord, ...]:
        """All patterns remembered, the last saved first."""
        with self._reading() as session:
            rows = session.execute(
                select(
                    LogPatternRow.id,
                    LogPatternRow.pattern,
                    LogPatternRow.snapshot,
                    LogPatternRow.saved_at,
                ).order_by(LogPatternRow.saved_at.desc(), LogPatternRow.id.desc())
            ).all()
        return tuple(
            LogPatternRecord(number, pattern, read_snapshot("log format", text, LogFormat), saved)
            for number, pattern, text, saved in rows
        )

    def log_format_for(self, file_name: str) -> LogPatternRecord | None:
        """Find how a file is read by its name: the pattern that fits and says most about it."""
        known = {record.pattern: record for record in reversed(self.log_formats())}
        pattern = best_pattern(file_name, reversed(known))
        return None if pattern is None else known[pattern]

    def forget_log_format(self, pattern: str) -> None:
        """Forget a pattern; BookError if it is not known."""
        with self._writing() as session:
            row = session.scalar(select(LogPatternRow).where(LogPatternRow.pattern == pattern))
            if row is None:
                raise missing("file pattern", pattern)
            session.delete(row)
