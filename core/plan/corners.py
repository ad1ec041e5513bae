"""What may be otherwise than believed: the corners at which a plan must hold.

The glass may be stiffer or softer than its annealing point says (its 90 % interval), the
thermocouple may be off, and the lehr is hotter in one place than in another. To the glass a
chamber some kelvin hotter than believed is the same as points that lie as many kelvin lower, so
all three are one shift of the glass's viscosity curve; the worst corners are where they add up.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from core.glass.glass import Estimate, GlassProperties
from core.load.load import Load
from core.stress.section import StressPiece, stress_piece


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


def shift(load: Load, glass: GlassProperties, margins: Margins, corner: Corner) -> float:
    """How far [K] the viscosity curve of a glass lies from the believed one at a corner.

    Positive is stiffer. A glass without an interval is taken as known.
    """
    if corner is Corner.BELIEVED:
        return 0.0
    lehr = load.lehr
    chamber = lehr.thermocouple_error * margins.thermocouple + lehr.unevenness * margins.unevenness
    point = glass.annealing_point
    up = down = 0.0
    if margins.glass and point.low is not None and point.high is not None:
        up, down = max(0.0, point.high - point.value), max(0.0, point.value - point.low)
    return up + chamber if corner is Corner.STIFF else -(down + chamber)


def shifted(glass: GlassProperties, by: float) -> GlassProperties:
    """The same glass with strain, annealing and softening point moved [K]."""
    if by == 0.0:
        return glass

    def moved(point: Estimate) -> Estimate:
        return replace(point, value=point.value + by)

    softening = glass.softening_point
    return replace(
        glass,
        strain_point=moved(glass.strain_point),
        annealing_point=moved(glass.annealing_point),
        softening_point=None if softening is None else moved(softening),
    )


def glasses_at(
    load: Load, properties: Mapping[str, GlassProperties], margins: Margins, corner: Corner
) -> dict[str, GlassProperties]:
    """Properties of every glass of a load at a corner, by name."""
    return {
        name: shifted(glass, shift(load, glass, margins, corner))
        for name, glass in properties.items()
    }


def pieces_at(load: Load, glasses: Mapping[str, GlassProperties]) -> tuple[StressPiece, ...]:
    """The pieces of a load as the stress engine takes them, made of these glasses."""
    return tuple(stress_piece(piece, glasses[piece.glass]) for piece in load.pieces)
