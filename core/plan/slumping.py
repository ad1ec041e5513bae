"""How far pieces give under their own weight at the soak, from viscosity and span.

A plate lying on rails: the elastic deflection of a simply supported strip under its own weight,
5 rho g L^4/(32 E h^2), becomes a rate with E replaced by three times the viscosity (the analogy of
Trouton for slow viscous flow): 5 rho g L^4/(96 eta h^2). A standing piece grows shorter at
rho g H/(6 eta) of its height, the mean of its own weight over Trouton's 3 eta.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from core.glass.glass import GlassProperties
from core.piece.piece import Piece, Shape
from core.stress.relaxation import liquid_of

GRAVITY = 9.80665
"""[m/s2], standard."""
USUAL_SPAN = 0.10
"""[m] between the supports of a lying plate where nothing is said; common practice, no source."""
USUAL_HEIGHT = 0.20
"""[m] of a vessel where nothing is said; common practice, no source."""
VISIBLE = 0.5e-3
"""[m] A piece that gives more than this is seen to; common practice, no source."""


@dataclass(frozen=True)
class Slump:
    """How far a piece gives in a time at a temperature.

    Attributes
    ----------
    piece, glass : str
    distance : float
        Deflection between supports of a plate, or loss of height of a standing piece [m].
    length : float
        The span or height it was reckoned with [m].
    lies : bool
        True for a plate on supports.
    """

    piece: str
    glass: str
    distance: float
    length: float
    lies: bool

    @property
    def visible(self) -> bool:
        """True where it would be seen."""
        return self.distance > VISIBLE


def viscosity_at(glass: GlassProperties, temperature: float) -> float:
    """Equilibrium viscosity [Pa s] at a temperature [K]."""
    liquid = liquid_of(glass)
    exponent = liquid.a + liquid.b / max(temperature - liquid.t0, 1.0)
    return math.exp(min(exponent, 100.0))


def slump(piece: Piece, glass: GlassProperties, temperature: float, duration: float) -> Slump:
    """How far a piece gives in a time [s] at a temperature [K].

    A plate's height (or diameter) is taken as its span, a vessel's height as given.
    """
    viscosity = viscosity_at(glass, temperature)
    weight = glass.density.value * GRAVITY
    if piece.shape is Shape.PLATE:
        span = piece.height or piece.diameter or USUAL_SPAN
        thick = piece.wall_thickness or 0.001
        rate = 5.0 * weight * span**4 / (96.0 * viscosity * thick**2)
        return Slump(piece.name, piece.glass, rate * duration, span, lies=True)
    height = piece.height or piece.diameter or USUAL_HEIGHT
    rate = weight * height**2 / (6.0 * viscosity)
    return Slump(piece.name, piece.glass, rate * duration, height, lies=False)


def softest_hold(
    pieces: Sequence[Piece], glasses: Sequence[GlassProperties], duration: float, highest: float
) -> float:
    """Highest temperature [K], no more than ``highest``, at which no piece gives visibly.

    Parameters
    ----------
    pieces : sequence of Piece
    glasses : sequence of GlassProperties
        One a piece.
    duration : float
        [s].
    highest : float
        [K].
    """
    temperature = highest
    for _ in range(400):
        worst = max(
            slump(piece, glass, temperature, duration).distance
            for piece, glass in zip(pieces, glasses, strict=True)
        )
        if worst <= VISIBLE:
            return temperature
        temperature -= 1.0
    return temperature
