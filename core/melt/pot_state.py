"""Glass and heap as they stand in the pot at a moment, for the chamber's exchange."""

from __future__ import annotations

from typing import NamedTuple

from core.melt.heap import Heap


class Lying(NamedTuple):
    """The heap as it lies: core temperature [K], areas [m2], lengths [m], conductivity."""

    heap: Heap
    core: float
    area: float
    side: float
    conductivity: float
    thickness: float


class Pool(NamedTuple):
    """The glass as it stands: temperature [K], sizes [m], and conductances.

    ``inside``: from a face to the mean [W/(m2 K)]; ``wetted``: from the pot [W/K]; ``empty``:
    black area of the pot's bare inner side, seen through the mouth [m2].
    """

    temperature: float
    diameter: float
    surface: float
    deep: float
    inside: float
    wetted: float
    empty: float


class IntoHeap(NamedTuple):
    """Heat that warms the heap and that melts it, and how much of it glass and pot give [W]."""

    warming: float
    melting: float
    from_glass: float
    from_pot: float


NOTHING = IntoHeap(0.0, 0.0, 0.0, 0.0)
