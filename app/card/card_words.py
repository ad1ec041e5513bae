"""The words in the card's tables, in the units, decimals and days of whoever reads it."""

from __future__ import annotations

from datetime import datetime, tzinfo

from PySide6.QtCore import QDate, QLocale

from app.card.sheet import Row, Title
from app.local_time import clock_text, to_local
from app.widgets.quantity import Quantity, format_quantity, number_text, scale_of
from core.piece.piece import Shape
from core.plan.card import CardPiece, CardSegment, LehrCard
from core.plan.plan import SegmentKind
from core.units import TemperatureUnit, UnitChoice, format_duration

SEGMENT_WORDS = {
    SegmentKind.HEAT: "Heating",
    SegmentKind.SQUEEZE: "Squeeze",
    SegmentKind.PROCESS: "Process hold",
    SegmentKind.CRASH: "Crash cooling",
    SegmentKind.SOAK: "Soak",
    SegmentKind.SLOW_COOL: "Slow cooling",
    SegmentKind.COOL: "Cooling",
    SegmentKind.COAST: "Power off",
}
SHAPE_WORDS = {
    Shape.PLATE: "wall",
    Shape.CYLINDER: "cylinder",
    Shape.SPHERE: "sphere",
    Shape.VESSEL: "vessel",
}
_NONE = "–"


def long_date(moment: datetime, zone: tzinfo | None) -> str:
    """A day as ``Wednesday 25 November 2026``, in the words of the machine's language."""
    day = to_local(moment, zone).date()
    return QLocale().toString(QDate(day.year, day.month, day.day), "dddd d MMMM yyyy")


def ready_words(card: LehrCard, zone: tzinfo | None) -> str:
    """When the pieces are ready, as it stands in large letters."""
    return f"Ready {_moment(card.ready_at, card, zone)}"


def _moment(moment: datetime, card: LehrCard, zone: tzinfo | None) -> str:
    """Clock time with as much of the day as tells the times of this card apart."""
    local = to_local(moment, zone)
    first, last = to_local(card.start, zone).date(), to_local(card.ready_at, zone).date()
    if first == last:
        return clock_text(moment, zone)
    day = QDate(local.year, local.month, local.day)
    pattern = "ddd" if (last - first).days <= 6 else "d MMM"
    return f"{QLocale().toString(day, pattern)} {local:%H:%M}"


def segment_table(
    card: LehrCard, units: UnitChoice, zone: tzinfo | None
) -> tuple[list[Title], list[Row]]:
    """Titles and rows of the segments."""
    degrees = units.temperature.symbol
    titles = [
        Title("", right=True),
        Title("Segment"),
        Title("From"),
        Title("Until"),
        Title(f"{degrees}/h", right=True),
        Title(f"To {degrees}", right=True),
        Title("Ramp h:mm", right=True),
        Title("Hold h:mm", right=True),
        Title("Set by", gives=1.0),
    ]
    return titles, [Row(_segment(s, card, units, zone)) for s in card.segments]


def _segment(
    segment: CardSegment, card: LehrCard, units: UnitChoice, zone: tzinfo | None
) -> tuple[str, ...]:
    rate = format_quantity(Quantity.RATE, segment.rate, units, with_unit=False)
    return (
        str(segment.number),
        SEGMENT_WORDS[segment.kind],
        _moment(segment.start, card, zone),
        _moment(segment.end, card, zone),
        rate.replace("-", "−"),
        format_quantity(Quantity.TEMPERATURE, segment.target, units, with_unit=False),
        format_duration(segment.ramp_time) if segment.ramp_time else _NONE,
        format_duration(segment.hold_time) if segment.hold_time else _NONE,
        segment.governing_piece or "the lehr",
    )


def piece_table(card: LehrCard, units: UnitChoice) -> tuple[list[Title], list[Row]]:
    """Titles and rows of the pieces; the one that needs the slowest cooling is bold and marked."""
    length = scale_of(Quantity.LENGTH, units).symbol
    titles = [
        Title("", right=True),
        Title("Piece", gives=2.0),
        Title(f"Shape and size, {length}"),
        Title("Glass", gives=1.5),
    ]
    # With one glass in the load the column would say the same in every row.
    shown = 4 if len(card.glasses) > 1 else 3
    rows = [Row(_piece(piece, units)[:shown], bold=piece.governs) for piece in card.pieces]
    return titles[:shown], rows


def _piece(piece: CardPiece, units: UnitChoice) -> tuple[str, ...]:
    name = f"▸ {piece.name}" if piece.governs else piece.name
    return (f"{piece.count} ×", name, shape_and_size(piece, units), piece.glass)


def shape_and_size(piece: CardPiece, units: UnitChoice) -> str:
    """Shape and dimensions without their unit, e.g. ``vessel, wall 5, base 20``."""
    scale = scale_of(Quantity.LENGTH, units)
    sizes = {
        word: number_text(scale.from_si(value), scale.shown, trim=True)
        for word, value in piece.dimensions
    }
    shape = SHAPE_WORDS[piece.shape]
    if "diameter" in sizes:
        height = f" × {sizes['high']} high" if "high" in sizes else ""
        return f"{shape} ⌀ {sizes['diameter']}{height}"
    if piece.shape is Shape.PLATE:
        return f"{shape} {sizes['thick']}"
    return f"{shape}, " + ", ".join(f"{word} {size}" for word, size in sizes.items())


def governing_words(card: LehrCard) -> str:
    """What the mark in the table of pieces means."""
    if not any(line.governs for line in card.pieces):
        return card.governing_reason
    return f"▸ needs the slowest cooling. {card.governing_reason}"


def glass_table(card: LehrCard, units: UnitChoice) -> tuple[list[Title], list[Row]]:
    """Titles and rows of the glasses' own points."""
    symbol = units.temperature.symbol
    titles = [
        Title("Glass", gives=1.0),
        Title(f"Annealing {symbol}", right=True),
        Title(f"Strain {symbol}", right=True),
    ]
    rows = []
    for glass in card.glasses:
        points = (glass.annealing_point, glass.strain_point)
        shown = (
            format_quantity(Quantity.TEMPERATURE, point, units, with_unit=False) for point in points
        )
        rows.append(Row((glass.name, *shown)))
    return titles, rows


def key_in_heading(card: LehrCard, units: UnitChoice) -> str:
    """Heading of the controller's lines; names the unit when it is not the one of the page."""
    if card.controller_unit is units.temperature:
        return "To key in"
    word = "Fahrenheit" if card.controller_unit is TemperatureUnit.FAHRENHEIT else "Celsius"
    return f"To key in (in {word})"


def key_in_lines(card: LehrCard) -> tuple[str, ...]:
    """Lines of the controller's program and what follows it."""
    return (*card.key_in, "then power off, door shut") if card.coasts else card.key_in


def offset_words(card: LehrCard, units: UnitChoice) -> str:
    """That curve and program are controller readings, where that makes a difference."""
    if abs(card.thermocouple_offset) < 0.05:
        return ""
    amount = format_quantity(Quantity.INTERVAL, abs(card.thermocouple_offset), units)
    side = "above" if card.thermocouple_offset > 0 else "below"
    return (
        f"Curve and program are controller readings, {amount} {side} the true temperature; "
        "the glasses' points are true."
    )


def notices(card: LehrCard, units: UnitChoice) -> tuple[str, ...]:
    """What must be said of this night, most pressing first."""
    offset = offset_words(card, units)
    return (*((offset,) if offset else ()), *card.warnings)
