"""The studio's book: the only thing the rest of the program uses of the store."""

from __future__ import annotations

from pathlib import Path
from types import TracebackType
from typing import Self

from core.store.batch_sheets import BatchSheetPages
from core.store.charge_lists import ChargeListPages
from core.store.engine import book_engine
from core.store.entries import (
    ChargeRecord,
    GlassUse,
    GlassVersion,
    ImportOutcome,
    ImportRecord,
    LoadRecord,
    NoteRecord,
    NoteSubject,
    PlanRecord,
    ReadingRecord,
    RunRecord,
)
from core.store.equipment import EquipmentPages
from core.store.fits import FitPages
from core.store.furnace import FurnacePages
from core.store.furnace_entries import (
    BatchSheetRecord,
    ChargedGlassRecord,
    ChargeListRecord,
    PlannedChargeRecord,
    PotEntryRecord,
)
from core.store.furnace_melts import FurnaceMeltPages
from core.store.glasses import GlassPages
from core.store.live import LivePages
from core.store.loads import LoadPages
from core.store.log_patterns import LogPatternPages
from core.store.materials import MaterialPages
from core.store.migrate import prepare
from core.store.night_entries import (
    AlarmRecord,
    FitRecord,
    Hit,
    HitKind,
    LiveSourceRecord,
    LogPatternRecord,
    OutcomeRecord,
    RunEventRecord,
)
from core.store.notes import NotePages
from core.store.place import default_book_path, refuse_server
from core.store.pot_ledger import PotLedgerPages
from core.store.readings import TYPED, ReadingPages
from core.store.run_events import RunEventPages
from core.store.runs import RunPages
from core.store.search import SearchPages
from core.store.volumes import place_risk

__all__ = [
    "TYPED",
    "AlarmRecord",
    "BatchSheetRecord",
    "Book",
    "ChargeListRecord",
    "ChargeRecord",
    "ChargedGlassRecord",
    "FitRecord",
    "GlassUse",
    "GlassVersion",
    "Hit",
    "HitKind",
    "ImportOutcome",
    "ImportRecord",
    "LiveSourceRecord",
    "LoadRecord",
    "LogPatternRecord",
    "NoteRecord",
    "NoteSubject",
    "OutcomeRecord",
    "PlanRecord",
    "PlannedChargeRecord",
    "PotEntryRecord",
    "ReadingRecord",
    "RunEventRecord",
    "RunRecord",
    "default_book_path",
]


class Book(
    GlassPages,
    EquipmentPages,
    LoadPages,
    RunPages,
    ReadingPages,
    RunEventPages,
    LogPatternPages,
    LivePages,
    FitPages,
    FurnacePages,
    FurnaceMeltPages,
    PotLedgerPages,
    ChargeListPages,
    MaterialPages,
    BatchSheetPages,
    NotePages,
    SearchPages,
):
    """One file with everything the studio wrote down; open it with :meth:`open`.

    Methods take and return frozen dataclasses. Each is one transaction: when it returns, what it
    wrote is on the disk; when it raises a :class:`core.errors.LehrkeeperError`, nothing was
    written. Any thread may call any method, and several programs may have the same book open.
    Times go in with any zone and come out in UTC; a time without a zone is refused.

    Attributes
    ----------
    path : Path
    backup : Path or None
        The copy put beside the file if opening it changed its layout.
    risk : str or None
        What is at risk where the file lies, such as in a network folder; to be shown.
    """

    backup: Path | None = None
    risk: str | None = None

    @classmethod
    def open(cls, path: Path, *, busy_timeout: float = 5.0) -> Self:
        """Open the book at ``path``, making it (and its folder) if it is not there.

        Parameters
        ----------
        path : Path
        busy_timeout : float
            Seconds to wait while another program holds the file.

        Raises
        ------
        BookTooNewError
            A newer version of the program wrote it.
        BookLockedError
            It is read-only, or another program holds it.
        BookDamagedError
            It is damaged, or is not a book.
        BookError
            It cannot be opened or made for another reason, or ``path`` is the address of a
            database server.
        """
        refuse_server(str(path))
        path = Path(path)
        backup = prepare(path, busy_timeout=busy_timeout)
        book = cls(path, book_engine(path, busy_timeout=busy_timeout))
        book.backup = backup
        book.risk = place_risk(path)
        return book

    def close(self) -> None:
        """Let go of the file; anything asked afterwards raises BookError."""
        if self._engine is not None:
            self._engine.dispose()
            self._engine = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.close()
