"""Many loggers' files at once: one answer for each, whatever becomes of the others."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from core.errors import LogFileError, StoppedError
from core.run.log_file import LogImport, read_log
from core.run.log_format import LogFormat


@dataclass(frozen=True, eq=False)
class FileAnswer:
    """What became of one file: ``log`` or ``error``, never both.

    Attributes
    ----------
    path : Path
    log : LogImport or None
    error : LogFileError or None
    """

    path: Path
    log: LogImport | None = None
    error: LogFileError | None = None


def read_files(
    paths: Sequence[Path],
    *,
    format_of: Callable[[Path], LogFormat | None] = lambda _: None,
    start: datetime | None = None,
    timezone: str = "",
    near: datetime | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Iterator[FileAnswer]:
    """Read files one after the other; each answer comes as soon as it is there.

    Parameters
    ----------
    paths : sequence of Path
        A file named twice is read once.
    format_of : callable, optional
        How a file was read before, ``None`` if it is new. What was answered then answers what
        this file leaves open; see :func:`core.run.log_memory.with_memory`.
    start, timezone, near : optional
        As for :func:`core.run.log_file.read_log`.
    progress, cancelled : callable, optional
        Told the share of all files read (0 to 1); asked whether to stop.

    Raises
    ------
    StoppedError
        When ``cancelled`` says so; answers given before stay good.
    """
    once = list(dict.fromkeys(paths))
    for number, path in enumerate(once):
        if cancelled is not None and cancelled():
            raise StoppedError("Reading the files was stopped.")

        def share(done: float, before: int = number) -> None:
            if progress is not None:
                progress((before + done) / len(once))

        try:
            log = read_log(
                path,
                start=start,
                timezone=timezone,
                near=near,
                remembered=format_of(path),
                progress=share,
                cancelled=cancelled,
            )
        except LogFileError as error:
            yield FileAnswer(path, error=error)
        else:
            yield FileAnswer(path, log)
        share(1.0)
