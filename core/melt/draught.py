"""Air that is drawn through the furnace's open hole, and what it cools."""

from __future__ import annotations

import math
from collections.abc import Sequence

from core.melt.melting_furnace import Opening

_DISCHARGE = 0.6
"""Of the exchange through an opening."""
_AIR_GAS_CONSTANT = 287.05
_AIR_HEAT = 1100.0
"""[J/(kg K)] Mean of air between the room and the furnace."""
_PRESSURE = 101_325.0
_GRAVITY = 9.80665


class Draught:
    """The exchange of air through one opening.

    Parameters
    ----------
    opening : Opening
    ambient : float
        Room [K].
    areas : sequence of float
        Of the walls' hot faces [m2].
    """

    def __init__(self, opening: Opening, ambient: float, areas: Sequence[float]) -> None:
        flow = _DISCHARGE / 3.0 * opening.area * math.sqrt(_GRAVITY * opening.height)
        self._factor = flow * _PRESSURE / _AIR_GAS_CONSTANT * _AIR_HEAT
        self._ambient = ambient
        self._areas, self._area = tuple(areas), math.fsum(areas)

    def cooling(self, hot: Sequence[float], opening: float) -> list[float]:
        """What each wall gives to air drawn in [W], by how much hotter it is than the room.

        Parameters
        ----------
        hot : sequence of float
            Of the hot faces [K].
        opening : float
            Share that stands open.
        """
        warm = [a * max(0.0, t - self._ambient) for a, t in zip(self._areas, hot, strict=True)]
        excess = sum(warm)
        if excess <= 0.0:
            return warm
        share = self._loss(excess / self._area) * opening / excess
        return [share * w for w in warm]

    def _loss(self, difference: float) -> float:
        """Heat carried off by air through the open hole [W] at a difference to the room [K].

        Exchange by buoyancy, volume flow C/3 A sqrt(g h dT/Tm) (Brown W.G., Solvason K.R. 1962,
        Int. J. Heat Mass Transfer 5, 859).
        """
        mean = self._ambient + 0.5 * difference
        return self._factor * math.sqrt(difference / mean) * difference / mean
