"""Copies of the book, made while it may be in use: on a schedule, thinned out, and put back.

A copy is made by SQLite's backup interface under a name that marks it as unfinished, checked, and
only then given its own name, so that whatever bears a backup's name is a whole book. Copies made
before a change of layout or before a restore stay until somebody removes them; daily ones lie in a
folder of their own beside the book and are thinned to a few a week, a month, a year.
"""

from __future__ import annotations

import contextlib
import glob
import os
import re
import sqlite3
import stat
import time
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from core.errors import BookError
from core.store.engine import connect
from core.store.faults import TROUBLE, book_error, damaged

DAILY = "daily"
"""Label of scheduled backups: only these are ever thinned out."""
DAYS, WEEKS, MONTHS = 7, 5, 12
"""How many days, weeks and months back one backup each is kept."""
_STAMP = "%Y-%m-%d %H%M%S.%f UTC"
_NAME = re.compile(r" backup (?P<label>.+) (?P<stamp>\d{4}-\d\d-\d\d \d{6}\.\d{6} UTC)$")
_UNFINISHED = ".unfinished"
_SLACK = timedelta(seconds=2)
"""Times of files are this coarse on sticks."""


@dataclass(frozen=True)
class Backup:
    """A copy of the book.

    Attributes
    ----------
    path : Path
    taken_at : datetime
        UTC.
    label : str
        ``daily``, or what it was made before.
    size : int
        Bytes.
    """

    path: Path
    taken_at: datetime
    label: str
    size: int


def backup_folder(path: Path) -> Path:
    """Folder of a book's scheduled backups, beside it."""
    return path.with_name(f"{path.stem} backups")


def stamped(path: Path, words: str, now: datetime | None = None) -> Path:
    """A name beside the book that says what a copy is and when it was made."""
    moment = datetime.now(UTC) if now is None else now.astimezone(UTC)
    return path.with_name(f"{path.stem} {words} {moment.strftime(_STAMP)}{path.suffix}")


def back_up(
    path: Path,
    label: str,
    *,
    folder: Path | None = None,
    busy_timeout: float = 5.0,
    now: datetime | None = None,
) -> Path:
    """Copy the book while it may be in use; returns the copy's path.

    Parameters
    ----------
    path : Path
    label : str
        Goes into the name, with the time.
    folder : Path, optional
        Where to; default beside the book.
    busy_timeout : float
        Seconds to wait for another program's lock.
    now : datetime, optional
        Aware; default now.

    Raises
    ------
    sqlite3.Error, OSError, BookError
        The copy failed; nothing is left of it.
    """
    backup = stamped(path, f"backup {label}", now)
    if folder is not None:
        backup = folder / backup.name
    unfinished = backup.with_name(backup.name + _UNFINISHED)
    try:
        with (
            closing(connect(path, busy_timeout=busy_timeout)) as source,
            closing(connect(unfinished, busy_timeout=busy_timeout, mode="rwc")) as target,
        ):
            # In one step: between steps somebody who logs would make it begin anew.
            source.backup(target)
            quick_check(target, backup)
        unfinished.replace(backup)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise
    return backup


def backups(path: Path) -> tuple[Backup, ...]:
    """Find all backups of a book, in its folder of backups and beside it, the newest first."""
    found = []
    name = f"{glob.escape(path.stem)} backup *{glob.escape(path.suffix)}"
    for folder in (backup_folder(path), path.parent):
        try:
            files = sorted(folder.glob(name))
        except OSError:
            continue
        for file in files:
            match = _NAME.search(file.name.removesuffix(path.suffix))
            if match is None:
                continue
            with contextlib.suppress(OSError, ValueError):
                taken = datetime.strptime(match["stamp"], _STAMP).replace(tzinfo=UTC)
                found.append(Backup(file, taken, match["label"], file.stat().st_size))
    return tuple(sorted(found, key=lambda backup: backup.taken_at, reverse=True))


def back_up_if_due(
    path: Path,
    *,
    every: timedelta = timedelta(days=1),
    now: datetime | None = None,
    busy_timeout: float = 5.0,
) -> Backup | None:
    """Make the day's backup if the last is old enough and the book has changed, and thin them out.

    Parameters
    ----------
    path : Path
    every : timedelta
    now : datetime, optional
        Aware; default now.
    busy_timeout : float

    Returns
    -------
    Backup or None
        What was made, if anything.

    Raises
    ------
    BookError
        The backup cannot be made: no room, no permission, the book in use or damaged. The backups
        there were are all still there.
    """
    moment = datetime.now(UTC) if now is None else now.astimezone(UTC)
    try:
        # Of the future are those made before the clock was put right.
        past = [one for one in backups(path) if one.taken_at <= moment]
        if past:
            last = past[0].taken_at
            changed = datetime.fromtimestamp(path.stat().st_mtime, UTC) > last - _SLACK
            if moment - last < every or not changed:
                return None
        folder = backup_folder(path)
        folder.mkdir(exist_ok=True)
        for left in folder.glob(f"*{glob.escape(path.suffix)}{_UNFINISHED}*"):
            left.unlink(missing_ok=True)  # by a program that was ended meanwhile
        made = back_up(path, DAILY, folder=folder, busy_timeout=busy_timeout, now=moment)
    except (*TROUBLE, BookError) as error:
        raise _failed(error, path) from error
    _thin_out(path, moment)
    return Backup(made, moment, DAILY, made.stat().st_size)


def back_up_now(path: Path, label: str, *, busy_timeout: float = 5.0) -> Backup:
    """Back the book up because somebody asked for it; such a backup is never thinned out.

    Parameters
    ----------
    path : Path
    label : str
        Goes into the name, with the time.
    busy_timeout : float

    Raises
    ------
    BookError
        The backup cannot be made: no room, no permission, the book in use or damaged.
    """
    moment = datetime.now(UTC)
    try:
        folder = backup_folder(path)
        folder.mkdir(exist_ok=True)
        made = back_up(path, label, folder=folder, busy_timeout=busy_timeout, now=moment)
        return Backup(made, moment, label, made.stat().st_size)
    except (*TROUBLE, BookError) as error:
        raise _failed(error, path) from error


def kept(taken: Iterable[datetime], now: datetime) -> frozenset[datetime]:
    """Which backups stay: the newest of each of the last days, weeks and months.

    Parameters
    ----------
    taken : iterable of datetime
        Aware times.
    now : datetime
        Aware.
    """
    stay: dict[tuple[str, object], datetime] = {}
    for moment in sorted(taken):
        utc = moment.astimezone(UTC)
        age = (now.astimezone(UTC).date() - utc.date()).days
        if age < DAYS:
            stay["day", utc.date()] = moment
        if age < 7 * WEEKS:
            stay["week", utc.isocalendar()[:2]] = moment
        if age < 31 * MONTHS:
            stay["month", (utc.year, utc.month)] = moment
    return frozenset(stay.values())


def _thin_out(path: Path, now: datetime) -> None:
    daily = [one for one in backups(path) if one.label == DAILY]
    stay = kept([one.taken_at for one in daily], now)
    for one in daily:
        if one.taken_at not in stay and one.path.parent == backup_folder(path):
            # One that cannot be removed today can tomorrow.
            with contextlib.suppress(OSError):
                one.path.unlink()


def _failed(error: Exception, path: Path) -> BookError:
    cause = book_error(error, path)
    return BookError(
        f"The book could not be backed up: {cause.message}",
        remedy=cause.remedy or "Make room, or copy the book somewhere safe yourself.",
    )


def quick_check(
    connection: sqlite3.Connection, path: Path, *, seconds: float | None = None
) -> bool:
    """Look whether the file's structure is sound.

    Parameters
    ----------
    connection : sqlite3.Connection
    path : Path
    seconds : float, optional
        When to leave it at that; default never.

    Returns
    -------
    bool
        True when all was looked at, False when the time was up before.

    Raises
    ------
    BookDamagedError
        If it is not sound.
    """
    if seconds is not None:
        end = time.monotonic() + seconds
        connection.set_progress_handler(lambda: time.monotonic() > end, 10_000)
    try:
        (finding,) = connection.execute("PRAGMA quick_check(1)").fetchone()
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode != sqlite3.SQLITE_INTERRUPT:
            raise
        return False
    finally:
        connection.set_progress_handler(None, 0)
    if finding != "ok":
        raise damaged(path, str(finding))
    return True


def sync_folder(folder: Path) -> None:
    """Put the names in a folder on the disk, where that can be asked for."""
    if os.name == "nt":
        return
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def is_file(path: Path) -> bool:
    """Tell whether there is a plain file; False where that cannot be found out."""
    try:
        return stat.S_ISREG(path.stat().st_mode)
    except (OSError, ValueError):
        return False
