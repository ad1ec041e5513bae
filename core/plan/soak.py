"""How hot and how long: the soak that evens out every piece and lets its stress go."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from core.glass.glass import GlassProperties
from core.piece.response import PieceResponse

ENTRY_SPREAD = 100.0
"""How far [K] a piece may differ from the soak when the soak begins (straight from the pipe with a
hot core, or waiting in a cooler lehr). Common practice, no source."""

EVEN_WITHIN = 2.0
"""A piece counts as heated through once it is this close [K] to the soak."""

STRESS_RELEASE = 15 * 60.0
"""Seconds in which stress goes at the annealing point: its definition in ASTM C336 / C598."""


HIGHEST_RISE = 20.0
"""The soak is never raised by more than this [K] above the annealing point and what the load asks
for, to release the stress of a glass stiffer than believed. Common practice, no source."""


@dataclass(frozen=True)
class SoakTime:
    """Soak needed by a load.

    Attributes
    ----------
    duration : float
        [s], heat-through and release together.
    index : int
        Which piece needs longest, in the order of the load; names may come twice.
    heat_through : float
        Its heat-through alone [s].
    release : float
        Time for stress to go [s].
    """

    duration: float
    index: int
    heat_through: float
    release: float


def release_time(glasses: Iterable[GlassProperties], temperature: float) -> float:
    """Time [s] in which stress goes at a temperature [K] in the stiffest of some glasses.

    15 minutes at the annealing point or above it, longer as the viscosity below it.
    """
    decades = [
        viscosity_decade_at(glass.annealing_point.value, glass.strain_point.value, temperature)
        for glass in glasses
    ]
    return STRESS_RELEASE * math.pow(10.0, max(0.0, max(decades, default=12.0) - 12.0))


def soak_time(
    responses: tuple[PieceResponse, ...],
    soak_temperature: float,
    stiff: Iterable[GlassProperties] = (),
    spread: float = ENTRY_SPREAD,
) -> SoakTime:
    """Soak of the slowest piece at a true temperature [K].

    Heat-through is tau ln(spread/even): a first-order approach with the piece's own time constant
    (conduction plus film, on the long side); then the time in which stress is released, also where
    the glasses are as stiff as they may be (``stiff``). ``spread`` is how far from the soak [K]
    pieces may be when it begins.
    """
    temperature = np.asarray(soak_temperature)
    through = math.log(max(spread, 2.0 * EVEN_WITHIN) / EVEN_WITHIN)
    times = [float(r.time_constant(temperature)) * through for r in responses]
    longest = max(times)
    release = release_time(stiff, soak_temperature)
    return SoakTime(longest + release, times.index(longest), longest, release)


def viscosity_decade_at(annealing_point: float, strain_point: float, temperature: float) -> float:
    """Log10 viscosity [Pa s] at a temperature [K] near the annealing range.

    Straight line in temperature through annealing (12.0) and strain point (13.5); good to a few
    tenths within some 40 K, enough to warn that a soft glass will sag.
    """
    return 12.0 - 1.5 * (temperature - annealing_point) / (annealing_point - strain_point)
