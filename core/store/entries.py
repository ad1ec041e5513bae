"""What the book hands out: frozen copies of its entries, with the number each is found by."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from core.furnace.ledger import Charge
from core.glass.glass import Glass
from core.load.load import Load
from core.plan.plan import Plan


@dataclass(frozen=True)
class GlassVersion:
    """A glass as it was entered at a time.

    Attributes
    ----------
    name : str
        What the glass is called now; ``glass.name`` is what it was called then.
    number : int
        From 1; the highest is the glass as it stands.
    saved_at : datetime
        UTC.
    glass : Glass
    """

    name: str
    number: int
    saved_at: datetime
    glass: Glass


@dataclass(frozen=True)
class GlassUse:
    """Which version of which glass a load (and so every plan for it) was reckoned with.

    Attributes
    ----------
    called : str
        What the load's pieces call it.
    name : str or None
        What the glass is called in the book now; ``None`` if it is not in it (any more).
    version : int or None
        Number of the version with the load's analysis and measured points; ``None`` if none has,
        as of a glass of the library or one changed in the load alone.
    latest : int or None
        Number of the latest version in the book.
    """

    called: str
    name: str | None
    version: int | None
    latest: int | None

    @property
    def is_current(self) -> bool:
        """True when the load has the glass as it now stands in the book."""
        return self.version is not None and self.version == self.latest


@dataclass(frozen=True)
class LoadRecord:
    """A load in the book; ``saved_at`` in UTC."""

    id: int
    saved_at: datetime
    load: Load


@dataclass(frozen=True)
class PlanRecord:
    """A plan in the book; ``in_use`` once a run was started from it, and then it never changes."""

    id: int
    load_id: int
    made_at: datetime
    in_use: bool
    plan: Plan


@dataclass(frozen=True)
class RunRecord:
    """A firing; times in UTC, ``finished_at`` is ``None`` while it goes on."""

    id: int
    plan_id: int
    load_id: int
    load_name: str
    lehr_name: str
    started_at: datetime
    finished_at: datetime | None
    note: str
    reading_count: int

    @property
    def finished(self) -> bool:
        """True once the run was ended."""
        return self.finished_at is not None


@dataclass(frozen=True)
class ReadingRecord:
    """One reading of a run and where it came from.

    Attributes
    ----------
    time : datetime
        UTC.
    temperature : float
        Controller reading [K].
    source : str
        ``core.store.book.TYPED``, or what recorded it.
    import_id : int or None
        The file it was taken from.
    """

    time: datetime
    temperature: float
    source: str
    import_id: int | None


@dataclass(frozen=True)
class ImportOutcome:
    """How many readings of a file were new, and how many the run had already."""

    added: int
    skipped: int


@dataclass(frozen=True)
class ImportRecord:
    """A logger's file taken into a run: how many readings were new and how many known already.

    ``file_hash`` is the file's SHA-256 in hexadecimal, so that the same file is recognised under
    another name.
    """

    id: int
    run_id: int
    file_name: str
    file_hash: str
    imported_at: datetime
    added: int
    skipped: int


@dataclass(frozen=True)
class ChargeRecord:
    """A charge in the book."""

    id: int
    charge: Charge


class NoteSubject(StrEnum):
    """What a note is about; loads, plans and runs by number, the others by name."""

    GLASS = "glass"
    LEHR = "lehr"
    FURNACE = "furnace"
    POT = "pot"
    LOAD = "load"
    PLAN = "plan"
    RUN = "run"


@dataclass(frozen=True)
class NoteRecord:
    """A remark; ``key`` is the number or the name of its subject."""

    id: int
    subject: NoteSubject
    key: int | str
    time: datetime
    text: str
