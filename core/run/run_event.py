"""What happened in a run, and what became of its pieces."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from core.errors import RunError


class EventKind(StrEnum):
    """What happened."""

    PIECES_IN = "pieces in"
    PIECES_OUT = "pieces out"
    DOOR_OPEN = "door open"
    DOOR_CLOSED = "door closed"
    CHARGE = "charge"
    GLASS_CHANGED = "glass changed"
    POWER_CUT = "power cut"
    POWER_BACK = "power back"
    SET_POINT_CHANGED = "set point changed"
    CRACK_FOUND = "crack found"
    STRAIN_SEEN = "strain seen"
    PHOTO = "photo"
    NOTE = "note"


class OutcomeKind(StrEnum):
    """What was found of a piece afterwards."""

    SOUND = "sound"
    CRACKED = "cracked"
    STRAIN_SEEN = "strain seen"


@dataclass(frozen=True)
class RunEvent:
    """Something that happened in a run.

    Attributes
    ----------
    time : datetime
        Aware.
    kind : EventKind
    text : str
        Needed of a note.
    piece : str
        Name of the piece of the load it concerns; ``""`` for none.
    photos : tuple of str
        Paths as chosen; the pictures stay where they are.

    Raises
    ------
    RunError
        A time without a zone, a note without words, an empty path.
    """

    time: datetime
    kind: EventKind
    text: str = ""
    piece: str = ""
    photos: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.time.tzinfo is None:
            raise RunError("The event's time has no time zone.", field="time")
        if self.kind is EventKind.NOTE and not self.text.strip():
            raise RunError("The note is empty.", field="text", remedy="Write something in it.")
        if self.kind is EventKind.PHOTO and not self.photos:
            raise RunError("There is no photo.", field="photos", remedy="Choose a picture.")
        _check_photos(self.photos)


@dataclass(frozen=True)
class Outcome:
    """What was found of a piece, or of some of its kind.

    Attributes
    ----------
    piece : str
        Its name in the load.
    found_at : datetime
        Aware.
    kind : OutcomeKind
    count : int
        How many of the pieces of this name, 1 or more.
    retardation : float or None
        Measured in the polariscope [m] (1 nm is 1e-9).
    light_path : float or None
        Glass the light went through [m].
    grade : str
        As read or compared with a strain disc, in the studio's words, such as ``"temper 2"``.
    text : str
    photos : tuple of str

    Raises
    ------
    RunError
        No piece, a time without a zone, an impossible number.
    """

    piece: str
    found_at: datetime
    kind: OutcomeKind
    count: int = 1
    retardation: float | None = None
    light_path: float | None = None
    grade: str = ""
    text: str = ""
    photos: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.piece.strip():
            raise RunError("No piece was chosen.", field="piece", remedy="Choose the piece.")
        if self.found_at.tzinfo is None:
            raise RunError("The time it was found has no time zone.", field="found_at")
        if self.count < 1:
            raise RunError(
                f"A count of {self.count} is not possible.", field="count", remedy="Use 1 or more."
            )
        if self.retardation is not None and not 0.0 <= self.retardation <= 1e-4:
            raise RunError(
                f"A retardation of {self.retardation * 1e9:g} nm is not possible.",
                field="retardation",
                remedy="Use 0 to 100 000 nm.",
            )
        if self.light_path is not None and not 1e-4 <= self.light_path <= 1.0:
            raise RunError(
                f"A light path of {self.light_path * 1e3:g} mm is not possible.",
                field="light_path",
                remedy="Use 0.1 to 1000 mm of glass.",
            )
        _check_photos(self.photos)

    @property
    def retardation_per_length(self) -> float | None:
        """Retardation over the light path [m/m] (1 nm/cm is 1e-7); ``None`` without both."""
        if self.retardation is None or self.light_path is None:
            return None
        value = self.retardation / self.light_path
        return value if math.isfinite(value) else None


def _check_photos(photos: tuple[str, ...]) -> None:
    if not all(path.strip() for path in photos):
        raise RunError("A photo has no path.", field="photos", remedy="Choose the picture again.")
