"""Several loggers' files on their way into a run, one after the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from app.logbook.run_words import count_words
from core.run.log_file import LogImport
from core.store.book import ImportOutcome


@dataclass(frozen=True)
class FileTaken:
    """What became of one file: taken in, or why not."""

    name: str
    outcome: ImportOutcome | None = None
    left_out: int = 0
    why_not: str = ""


class ImportQueue:
    """Files waiting, and what became of those before them.

    Attributes
    ----------
    unattended : bool
        The files that raise no question are taken in without asking.
    """

    def __init__(self, paths: Sequence[Path]) -> None:
        self._paths = list(dict.fromkeys(paths))
        self._place = 0
        self.taken: list[FileTaken] = []
        self.unattended = False

    @property
    def current(self) -> Path | None:
        """The file now looked at."""
        return self._paths[self._place] if self._place < len(self._paths) else None

    @property
    def waiting(self) -> int:
        """How many come after it."""
        return max(0, len(self._paths) - self._place - 1)

    @property
    def title(self) -> str:
        """The file's name, and which of how many it is."""
        path = self.current
        if path is None:
            return ""
        many = len(self._paths)
        name = f"“{path.name}”"
        return name if many == 1 else f"{name}, file {self._place + 1} of {many}"

    def took(self, log: LogImport, outcome: ImportOutcome) -> None:
        """The file is in the book."""
        self.taken.append(FileTaken(log.file_name, outcome, len(log.problems)))
        self._place += 1

    def skip(self, why: str = "") -> None:
        """The file stays out."""
        path = self.current
        if path is not None:
            self.taken.append(FileTaken(path.name, why_not=why))
        self._place += 1

    def add(self, paths: Sequence[Path]) -> None:
        """Put more files behind the others."""
        self._paths.extend(path for path in dict.fromkeys(paths) if path not in self._paths)

    @property
    def several(self) -> bool:
        """True while there is more than one file to it."""
        return len(self._paths) > 1


def queue_words(taken: Sequence[FileTaken]) -> str:
    """What was taken in, in a sentence or a few; empty when nothing was tried."""
    kept = [one for one in taken if one.outcome is not None]
    sentences: list[str] = []
    if len(kept) == 1 and kept[0].outcome is not None:
        sentences.append(f"“{kept[0].name}”: {_counts(kept)}.")
    elif kept:
        sentences.append(f"{len(kept)} files: {_counts(kept)}.")
    sentences.extend(f"“{one.name}” was left out: {one.why_not}" for one in taken if one.why_not)
    return " ".join(sentences)


def _counts(kept: Sequence[FileTaken]) -> str:
    outcomes = [one.outcome for one in kept if one.outcome is not None]
    added = sum(outcome.added for outcome in outcomes)
    skipped = sum(outcome.skipped for outcome in outcomes)
    bad = sum(one.left_out for one in kept)
    parts = [count_words(added, "new reading", "new readings")]
    if skipped:
        parts.append(f"{skipped} were in the book already")
    if bad:
        parts.append(count_words(bad, "bad row left out", "bad rows left out"))
    return ", ".join(parts)
