"""Cullet melted in a mould: at what viscosities and for how long, and what one mass becomes of it.

Lumps are brought up slowly while they are stiff, held where they settle and the air between them
gets out before their necks close (the squeeze), melted in, and held until they are one mass. From
then on the casting is followed as one piece: what of it is glass while the lehr falls to the soak,
the stress engine says.

Two lumps of radius r grow together by viscous flow: the neck x obeys (x/r)^2 = 3 gamma t/(2 eta r)
(Frenkel J. 1945, J. Phys. USSR 9, 385); they are one when x = r, after 2 eta r/(3 gamma).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.errors import GlassError
from core.glass.fixed_points import ANNEALING, SOFTENING, WORKING
from core.glass.glass import GlassProperties
from core.glass.viscosity_curve import VftCurve, vft_through
from core.load.load import Load
from core.load.reheating import Reheating
from core.piece.piece import Piece, Shape
from core.piece.response import PieceResponse
from core.plan.slumping import viscosity_at
from core.plan.soak import EVEN_WITHIN
from core.stress.relaxation import liquid_of
from core.units import rate_from

SQUEEZE_DECADE = 7.5
"""log10(viscosity / Pa s) at which cullet is let settle; common practice, no source."""
PROCESS_DECADE = 4.5
"""The same at which it is melted to one mass; common practice, no source."""
SQUEEZE_TIME = 30 * 60.0
"""[s] Held there once the lumps are as hot; common practice, no source."""
MOULD_RATE = rate_from(100.0)
"""[K/s] A refractory mould is heated no faster; common practice, no source."""
SURFACE_TENSION = 0.3
"""[N/m] Of silicate melts (Scholze 1991, Glass; from memory, unverified)."""
FUSED = 1.5
"""Times until lumps are one that are waited for; common practice, no source."""
OPEN_NECK = 0.5
"""Neck over radius up to which air still gets out between lumps; common practice, no source."""


@dataclass(frozen=True)
class Stages:
    """Temperatures [K, true] and holds [s] of a casting, before the soak.

    ``neck`` is how far lumps have grown together by the end of the squeeze: neck over radius.
    """

    squeeze: float
    squeeze_time: float
    process: float
    process_time: float
    neck: float


def lump_of(load: Load, reheating: Reheating) -> tuple[Piece, ...]:
    """The largest lump of cullet of every glass, as pieces."""
    names = dict.fromkeys(piece.glass for piece in load.pieces)
    return tuple(
        Piece(f"lumps of {name}", 1, Shape.SPHERE, name, diameter=reheating.lump) for name in names
    )


def stages_of(
    reheating: Reheating, castings: tuple[PieceResponse, ...], lumps: tuple[PieceResponse, ...]
) -> Stages:
    """When and how hot, from the viscosity of the glasses: the softest settles, the stiffest melts.

    Parameters
    ----------
    reheating : Reheating
        Whose own temperatures and times take precedence.
    castings : tuple of PieceResponse
        What is cast.
    lumps : tuple of PieceResponse
        What it is cast from.
    """
    glasses = [response.properties for response in castings]
    squeeze = reheating.squeeze_temperature
    if squeeze is None:
        squeeze = min(_at(glass, SQUEEZE_DECADE) for glass in glasses)
    process = reheating.process_temperature
    if process is None:
        process = max(squeeze + 1.0, *(_at(glass, PROCESS_DECADE) for glass in glasses))
    squeeze_time = reheating.squeeze_time
    if squeeze_time is None:
        squeeze_time = SQUEEZE_TIME + _heated_through(lumps, squeeze, squeeze)
    process_time = reheating.process_time
    if process_time is None:
        fused = max(fusing_time(glass, process, reheating.lump / 2) for glass in glasses)
        process_time = _heated_through(castings, process, process - squeeze) + FUSED * fused
    neck = max(neck_after(g, squeeze, squeeze_time, reheating.lump / 2) for g in glasses)
    return Stages(squeeze, squeeze_time, process, process_time, neck)


def fusing_time(glass: GlassProperties, temperature: float, radius: float) -> float:
    """Seconds in which lumps of a radius [m] become one at a temperature [K] (Frenkel 1945)."""
    return 2.0 * hot_viscosity(glass, temperature) * radius / (3.0 * SURFACE_TENSION)


def neck_after(glass: GlassProperties, temperature: float, duration: float, radius: float) -> float:
    """Neck between lumps over their radius after a time [s], at most 1."""
    return min(1.0, math.sqrt(duration / fusing_time(glass, temperature, radius)))


def hot_curve_of(glass: GlassProperties) -> VftCurve | None:
    """Viscosity through annealing, softening and working point; ``None`` where one is not known.

    The engine's own curve, through strain, annealing and softening point, is right where stress
    sets in but a hundred kelvin too cool at the working point.
    """
    softening, working = glass.softening_point, glass.working_point
    if softening is None or working is None:
        return None
    try:
        return vft_through(
            [
                (ANNEALING.log_viscosity, glass.annealing_point.value),
                (SOFTENING.log_viscosity, softening.value),
                (WORKING.log_viscosity, working.value),
            ]
        )
    except GlassError:
        return None


def hot_viscosity(glass: GlassProperties, temperature: float) -> float:
    """Viscosity [Pa s] at a temperature [K] between softening and working point."""
    curve = hot_curve_of(glass)
    if curve is None:
        return viscosity_at(glass, temperature)
    return float(10.0 ** min(curve.log_viscosity(temperature), 40.0))


def _at(glass: GlassProperties, decade: float) -> float:
    curve = hot_curve_of(glass)
    return float((liquid_of(glass) if curve is None else curve).temperature(decade))


def _heated_through(
    responses: tuple[PieceResponse, ...], temperature: float, spread: float
) -> float:
    """Until the slowest is within a few kelvin, from so far [K] away."""
    folds = math.log(max(spread, 2.0 * EVEN_WITHIN) / EVEN_WITHIN)
    return folds * max(float(r.time_constant(np.asarray(temperature))) for r in responses)
