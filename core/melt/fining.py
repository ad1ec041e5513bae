"""Fining: how far the smallest bubble that matters has risen.

Stokes G.G. 1851: a rigid sphere, or a bubble whose surface is held still by impurities, rises at
2/9 (density difference) g r^2 / viscosity; Hadamard J. 1911 and Rybczynski W. 1911: one with a
free surface half as fast again, 1/3 in place of 2/9. Both at Reynolds numbers far below 1. The
glass is taken as still: its own circulation helps large bubbles up and carries small ones down.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from core.melt.glass_melt import GlassMelt
from core.melt.limits import require

FloatArray = NDArray[np.float64]

_GRAVITY = 9.80665


class BubbleSurface(StrEnum):
    """Whether the bubble's surface flows with the melt."""

    RIGID = "rigid"
    FREE = "free"


_FACTOR = {BubbleSurface.RIGID: 2.0 / 9.0, BubbleSurface.FREE: 1.0 / 3.0}


@dataclass(frozen=True)
class Fining:
    """The smallest bubble that must be gone.

    Attributes
    ----------
    bubble : float
        Its diameter [m].
    surface : BubbleSurface
        ``RIGID`` is the slower and the safe choice.
    """

    bubble: float = 0.5e-3
    surface: BubbleSurface = BubbleSurface.RIGID

    def __post_init__(self) -> None:
        require(self.bubble * 1000.0, 0.01, 20.0, "bubble", "A bubble", "mm")


def rise_velocity(fining: Fining, density: float, viscosity: float) -> float:
    """Speed of a bubble [m/s] in a melt of a density [kg/m3] and viscosity [Pa s].

    The gas inside counts as weightless.
    """
    radius = fining.bubble / 2.0
    return _FACTOR[fining.surface] * density * _GRAVITY * radius**2 / viscosity


def risen(fining: Fining, melt: GlassMelt, time: FloatArray, glass: FloatArray) -> FloatArray:
    """How far a bubble has risen [m] at each moment of a temperature history.

    Parameters
    ----------
    time, glass : ndarray, shape (n,)
        [s] and [K].

    Returns
    -------
    ndarray, shape (n,)
        From 0; trapezoidal rule.
    """
    log = np.asarray(melt.curve.log_viscosity(glass))
    speed = rise_velocity(fining, melt.density, 1.0) * 10.0 ** -np.minimum(log, 300.0)
    mean = 0.5 * (speed[1:] + speed[:-1])
    return np.concatenate(([0.0], np.cumsum(mean * np.diff(time))))
