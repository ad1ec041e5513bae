"""What stands on the lehr card: the night on one page, as data in SI, ready to be laid out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, tzinfo

from core.load.load import Load
from core.piece.piece import Piece, Shape
from core.plan.plan import Plan, SegmentKind
from core.plan.program import program_in_words
from core.plan.words import CAUTIONS, verdict_sentence
from core.units import TemperatureUnit


@dataclass(frozen=True)
class CardSegment:
    """One line of the table of segments; controller readings [K], K/s and seconds, UTC.

    ``rate`` is signed, and ``None`` where nothing is set: while the lehr coasts, and for a soak
    that begins at its own temperature.
    """

    number: int
    kind: SegmentKind
    start: datetime
    end: datetime
    target: float
    rate: float | None
    ramp_time: float
    hold_time: float
    governing_piece: str


@dataclass(frozen=True)
class CardPiece:
    """One kind of piece: its dimensions as (word, metres), and whether it sets the slow cooling."""

    name: str
    count: int
    shape: Shape
    dimensions: tuple[tuple[str, float], ...]
    glass: str
    governs: bool


@dataclass(frozen=True)
class CardGlass:
    """A glass's own annealing and strain point [K], without the thermocouple's offset."""

    name: str
    annealing_point: float
    strain_point: float


@dataclass(frozen=True)
class LehrCard:
    """Everything on the card but the curve.

    Attributes
    ----------
    title, lehr : str
    start, ready_at : datetime
        UTC.
    out_by : datetime or None
    verdict : str
        One plain sentence.
    in_time : bool
    governing_reason : str
    segments : tuple of CardSegment
    key_in : tuple of str
        Lines of the controller's program.
    controller_unit : TemperatureUnit
        Degrees of those lines.
    coasts : bool
        True when the power is off at the end.
    pieces : tuple of CardPiece
    glasses : tuple of CardGlass
    thermocouple_offset : float
        [K]; by this much every temperature of the curve and program lies above the true one.
    cautions, warnings : tuple of str
    program_version : str
    """

    title: str
    lehr: str
    start: datetime
    ready_at: datetime
    out_by: datetime | None
    verdict: str
    in_time: bool
    governing_reason: str
    segments: tuple[CardSegment, ...]
    key_in: tuple[str, ...]
    controller_unit: TemperatureUnit
    coasts: bool
    pieces: tuple[CardPiece, ...]
    glasses: tuple[CardGlass, ...]
    thermocouple_offset: float
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]
    program_version: str


def card_of(plan: Plan, load: Load, zone: tzinfo | None = None) -> LehrCard:
    """Gather what the lehr card says of a plan.

    Parameters
    ----------
    plan : Plan
    load : Load
        The load the plan was drawn up for.
    zone : tzinfo, optional
        Zone of the clock times in the verdict; the machine's own when left out.
    """
    offset = load.lehr.thermocouple_offset
    return LehrCard(
        title=plan.load_name,
        lehr=plan.lehr_name,
        start=plan.start,
        ready_at=plan.ready_at,
        out_by=plan.out_by,
        verdict=verdict_sentence(plan, zone),
        in_time=plan.feasible,
        governing_reason=plan.governing_reason,
        segments=_segments(plan),
        key_in=program_in_words(plan, load.lehr.controller),
        controller_unit=load.lehr.controller.unit,
        coasts=bool(plan.segments) and plan.segments[-1].kind is SegmentKind.COAST,
        pieces=tuple(_piece(piece, plan) for piece in load.pieces),
        glasses=tuple(
            CardGlass(z.glass, z.annealing_point - offset, z.strain_point - offset)
            for z in plan.zones
        ),
        thermocouple_offset=offset,
        cautions=CAUTIONS,
        warnings=plan.warnings,
        program_version=plan.program_version,
    )


def _segments(plan: Plan) -> tuple[CardSegment, ...]:
    rows = []
    for number, segment in enumerate(plan.segments, start=1):
        unset = segment.kind is SegmentKind.COAST or segment.ramp_time == 0.0
        rows.append(
            CardSegment(
                number=number,
                kind=segment.kind,
                start=segment.start,
                end=segment.end,
                target=segment.target,
                rate=None if unset else segment.rate,
                ramp_time=segment.ramp_time,
                hold_time=segment.hold_time,
                governing_piece=segment.governing_piece,
            )
        )
    return tuple(rows)


_DIMENSIONS = {
    Shape.PLATE: (("thick", "wall_thickness"),),
    Shape.VESSEL: (("wall", "wall_thickness"), ("base", "base_thickness")),
    Shape.CYLINDER: (("diameter", "diameter"), ("high", "height")),
    Shape.SPHERE: (("diameter", "diameter"),),
}


def _piece(piece: Piece, plan: Plan) -> CardPiece:
    given = ((word, getattr(piece, field)) for word, field in _DIMENSIONS[piece.shape])
    return CardPiece(
        name=piece.name,
        count=piece.count,
        shape=piece.shape,
        dimensions=tuple((word, value) for word, value in given if value is not None),
        glass=piece.glass,
        governs=plan.first_cooling is not None and piece.name == plan.first_cooling.governing_piece,
    )
