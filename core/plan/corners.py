"""What may be otherwise than believed: the corners at which a plan must hold.

The glass may be stiffer or softer than its annealing point says (its 90 % interval), the
thermocouple may be off, and the lehr is hotter in one place than in another. To the glass a
chamber some kelvin hotter than believed is the same as points that lie as many kelvin lower, so
all three are one shift of the glass's viscosity curve; the worst corners are where they add up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from core.glass.glass import GlassProperties
from core.load.load import Load
from core.load.placed import shelf_under, shifted
from core.piece.piece import Piece
from core.stress.section import StressPiece, stress_piece

__all__ = [
    "ALL",
    "NONE",
    "Corner",
    "Margins",
    "chamber_doubt",
    "glasses_at",
    "pieces_at",
    "shift",
    "shifted",
]


class Corner(StrEnum):
    """Which way everything uncertain lies."""

    BELIEVED = "as believed"
    SOFT = "softer than believed"
    """Low annealing point, lehr hotter than it reads: freezes later, at lower readings."""
    STIFF = "stiffer than believed"
    """High annealing point, lehr cooler than it reads: freezes sooner, releases stress slower."""


@dataclass(frozen=True)
class Margins:
    """Which uncertainties a plan allows for.

    Attributes
    ----------
    glass : bool
        The interval of each annealing point.
    thermocouple : bool
        The error of the lehr's thermocouple, beyond its known offset.
    unevenness : bool
        How much hotter or cooler a place in the lehr may be.
    """

    glass: bool = True
    thermocouple: bool = True
    unevenness: bool = True

    @property
    def none(self) -> bool:
        """True when everything is taken as believed."""
        return not (self.glass or self.thermocouple or self.unevenness)


ALL = Margins()
NONE = Margins(glass=False, thermocouple=False, unevenness=False)


def chamber_doubt(load: Load, piece: Piece, margins: Margins) -> float:
    """How much hotter or cooler [K] than believed it may be where a piece stands."""
    lehr, placing = load.lehr, load.placing_of(piece)
    uneven = lehr.unevenness if placing.within is None else placing.within
    return lehr.thermocouple_error * margins.thermocouple + uneven * margins.unevenness


def shift(
    load: Load, piece: Piece, glass: GlassProperties, margins: Margins, corner: Corner
) -> float:
    """How far [K] the viscosity curve of a piece's glass lies from the believed one at a corner.

    Positive is stiffer. A glass without an interval is taken as known. A place known to be hotter
    than the thermocouple's softens the glass at every corner.
    """
    placed = -load.placing_of(piece).hotter
    if corner is Corner.BELIEVED:
        return placed
    chamber = chamber_doubt(load, piece, margins)
    point = glass.annealing_point
    up = down = 0.0
    if margins.glass and point.low is not None and point.high is not None:
        up, down = max(0.0, point.high - point.value), max(0.0, point.value - point.low)
    return placed + (up + chamber if corner is Corner.STIFF else -(down + chamber))


def glasses_at(
    load: Load, properties: Mapping[str, GlassProperties], margins: Margins, corner: Corner
) -> tuple[GlassProperties, ...]:
    """Properties of every piece's glass at a corner, in the order of the load.

    Pieces of one glass in like places share one object.
    """
    made: dict[tuple[str, float], GlassProperties] = {}
    glasses = []
    for piece in load.pieces:
        glass = properties[piece.glass]
        key = (piece.glass, shift(load, piece, glass, margins, corner))
        if key not in made:
            made[key] = shifted(glass, key[1])
        glasses.append(made[key])
    return tuple(glasses)


def pieces_at(load: Load, glasses: Sequence[GlassProperties]) -> tuple[StressPiece, ...]:
    """The pieces of a load as the stress engine takes them, made of these glasses."""
    return tuple(
        stress_piece(piece, glass, shelf=shelf_under(load.placing_of(piece)))
        for piece, glass in zip(load.pieces, glasses, strict=True)
    )
