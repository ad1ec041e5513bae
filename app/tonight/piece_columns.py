"""Columns of the table of pieces."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QIcon

from app.tonight.piece_rows import DIMENSIONS, PieceRow
from app.widgets.quantity import Quantity, entry_text, format_quantity, scale_of
from app.widgets.tables import Column
from core.piece.piece import Shape
from core.units import UnitChoice


def piece_columns(units: UnitChoice, problem_icon: Callable[[], QIcon]) -> list[Column]:
    """Name, number and size; ``problem_icon`` marks what is not complete."""
    symbol = scale_of(Quantity.LENGTH, units).symbol
    return [
        Column(
            "Piece",
            lambda r: r.name or "–",
            stretch=True,
            icon=lambda r: problem_icon() if r.complaint is not None else None,
            spoken=lambda r: f"{r.name}, not complete" if r.complaint is not None else r.name,
            tip=_own_words,
        ),
        Column("No.", _count, numeric=True),
        Column(
            f"Size {symbol}",
            lambda r: _size(r, units),
            numeric=True,
            tip=lambda r: _size_words(r, units),
        ),
    ]


def _own_words(row: PieceRow) -> str:
    return f"Of its own: {row.own.words}" if row.own.words else row.name


def _count(row: PieceRow) -> str:
    count = row.entries.get("count")
    return "–" if count is None else str(count)


def _size(row: PieceRow, units: UnitChoice) -> str:
    names = DIMENSIONS[Shape(row.entries["shape"])]
    known = [row.entries.get(name) for name in names]
    texts = [entry_text(Quantity.LENGTH, value, units) for value in known if value is not None]
    return " / ".join(texts) if texts else "–"


def _size_words(row: PieceRow, units: UnitChoice) -> str:
    names = DIMENSIONS[Shape(row.entries["shape"])]
    return ", ".join(
        f"{name.split('_')[0]} {format_quantity(Quantity.LENGTH, row.entries.get(name), units)}"
        for name in names
        if row.entries.get(name) is not None
    )
