"""What is said about backups, checks and what was saved."""

from __future__ import annotations

from datetime import datetime, tzinfo
from pathlib import Path

from PySide6.QtCore import QLocale

from app.local_time import day_and_clock
from core.store.backup import DAILY, Backup
from core.store.check import CheckReport
from core.store.salvage import SalvageReport

BY_HAND = "by hand"
"""Label of a backup that somebody asked for."""
_SHOWN = 6
"""Findings told before the rest is only counted."""


def size_text(size: int) -> str:
    """Bytes as people read them."""
    return QLocale().formattedDataSize(size, 1)


def occasion(backup: Backup) -> str:
    """Why a backup was made."""
    return "the day's" if backup.label == DAILY else backup.label


def backup_line(backup: Backup, now: datetime, zone: tzinfo | None) -> str:
    """A backup in a line."""
    when = day_and_clock(backup.taken_at, now=now, zone=zone)
    return f"{when}, {occasion(backup)}, {size_text(backup.size)}"


def check_words(report: CheckReport) -> str:
    """What a check found, in sentences."""
    if report.sound:
        return "The book was read from end to end: all is well."
    first = "\n".join(f"• {finding}" for finding in report.findings[:_SHOWN])
    rest = len(report.findings) - _SHOWN
    more = f"\n… and {rest} more." if rest > 0 else ""
    return (
        f"The book is damaged:\n{first}{more}\n"
        "Write nothing more into it. Put a backup in its place, or copy the file aside and open "
        "it again: what can still be read is then saved into a new book."
    )


def salvage_words(report: SalvageReport) -> str:
    """What was saved of a damaged book, and what is missing."""
    rows = sum(table.saved for table in report.tables)
    told = f"{rows:,} entries were saved into “{report.book.name}”. ".replace(",", "\u202f")
    if report.lost:
        told += f"Something is missing of: {', '.join(_plain(name) for name in report.lost)}. "
    else:
        told += "As far as can be seen, nothing is missing. "
    return told + f"The damaged file stays as it was: {report.damaged}"


def restored_words(aside: Path | None) -> str:
    """What became of the book that was there when a backup took its place."""
    told = "The backup is now the book."
    return told if aside is None else f"{told} The book as it was is kept:\n{aside}"


def _plain(table: str) -> str:
    return table.replace("_", " ")
