"""Rows of the piece table while they are being typed; no Qt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from app.tonight.piece_own import Own
from core.errors import PieceError
from core.load.gathering import Gathering
from core.piece.piece import CooledFrom, Piece, Shape

DIMENSIONS: Mapping[Shape, tuple[str, ...]] = {
    Shape.VESSEL: ("wall_thickness", "base_thickness"),
    Shape.PLATE: ("wall_thickness",),
    Shape.CYLINDER: ("diameter", "height"),
    Shape.SPHERE: ("diameter",),
}
"""Which lengths each shape asks for."""

FACES: Mapping[Shape, tuple[str, ...]] = {
    Shape.VESSEL: ("cooled_from", "base_cooled_from"),
    Shape.PLATE: ("cooled_from",),
    Shape.CYLINDER: (),
    Shape.SPHERE: (),
}
"""For which parts each shape asks whether heat leaves through one face or both."""

SHAPE_WORDS: Mapping[Shape, str] = {
    Shape.VESSEL: "Vessel",
    Shape.PLATE: "Plate, shell",
    Shape.CYLINDER: "Cylinder",
    Shape.SPHERE: "Solid lump",
}


@dataclass(frozen=True)
class PieceRow:
    """One row: what is typed, and the piece it last made.

    Attributes
    ----------
    entries : mapping
        Values by the names of :class:`core.piece.piece.Piece`; ``None`` where nothing usable is
        typed. Lengths the shape does not ask for are kept, so that choosing it back finds them.
    piece : Piece or None
        The last state that was complete and meant, which goes into the load; ``None`` for a new
        row.
    complaint : PieceError or None
        What keeps the present entries from being a piece.
    own : Own
        Its own limits, strength and place.
    """

    entries: Mapping[str, Any] = field(default_factory=dict)
    piece: Piece | None = None
    complaint: PieceError | None = None
    own: Own = field(default_factory=Own)

    @property
    def name(self) -> str:
        """As typed."""
        return str(self.entries.get("name") or "")


def row_of(piece: Piece, own: Own | None = None) -> PieceRow:
    """The row of a complete piece, with what it has of its own."""
    names = (
        "name",
        "count",
        "shape",
        "glass",
        "wall_thickness",
        "base_thickness",
        "diameter",
        "height",
        "cooled_from",
        "base_cooled_from",
    )
    entries = {name: getattr(piece, name) for name in names}
    return PieceRow(entries, piece, own=own or Own())


def new_row(glass: str, gathered: Gathering | None = None) -> PieceRow:
    """A row for a new piece, with nothing measured yet."""
    return with_entries(
        PieceRow(own=Own(gathered=gathered)),
        {
            "name": "New piece",
            "count": 1,
            "shape": Shape.VESSEL,
            "glass": glass,
            "cooled_from": CooledFrom.ONE,
            "base_cooled_from": CooledFrom.ONE,
        },
    )


def with_entries(row: PieceRow, entries: Mapping[str, Any]) -> PieceRow:
    """The row with other entries; its piece changes only when they make one."""
    merged = {**row.entries, **entries}
    try:
        piece = piece_from(merged)
    except PieceError as error:
        return PieceRow(merged, row.piece, error, row.own)
    return PieceRow(merged, piece, own=row.own)


def settled(row: PieceRow) -> PieceRow:
    """The row as it stands when it is left: back to the last complete state, if there was one."""
    if row.complaint is not None and row.piece is not None:
        return row_of(row.piece, row.own)
    return row


def piece_from(entries: Mapping[str, Any]) -> Piece:
    """The piece these entries describe, with only the lengths its shape asks for.

    Raises
    ------
    PieceError
        With ``field`` naming the entry that is missing or impossible.
    """
    shape = Shape(entries["shape"])
    if entries.get("count") is None:
        raise PieceError("How many are there?", field="count", remedy="Use 1 or more.")
    lengths = {name: entries.get(name) for name in DIMENSIONS[shape]}
    faces = {name: entries[name] for name in FACES[shape] if name in entries}
    return Piece(
        name=str(entries.get("name") or ""),
        count=int(entries["count"]),
        shape=shape,
        glass=str(entries.get("glass") or ""),
        **lengths,
        **faces,
    )
