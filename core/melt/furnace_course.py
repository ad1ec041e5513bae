"""The record of a furnace's run: temperatures, masses, power and where the heat went."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class FurnaceCourse:
    """The record of a run; arrays of shape (n,), one entry a step, read-only.

    Attributes
    ----------
    time : ndarray
        [s] from the start of the run.
    chamber, source, glass : ndarray
        Temperatures of the thermocouple, the elements or burner gas, and the glass [K].
    set_point : ndarray
        [K]; NaN where the power is off or set by hand.
    hot, cold : ndarray, shape (sections, n)
        Inner and outer face of each wall section [K].
    pot : ndarray, shape (2, n)
        Outer and inner face of the pot [K].
    heap_temperature : ndarray
        Of the unmelted heap [K]; NaN without one.
    glass_mass, heap_mass : ndarray
        [kg].
    power : ndarray
        Bought [W].
    losses : ndarray, shape (5, n)
        Since the start [J]: flue, walls, opening, gas given off, reaction.
    bought : ndarray
        Since the start [J].
    imbalance : ndarray
        Energy unaccounted for since the start, over the energy that has moved [-]: what was
        bought or brought in with charges, or came out of store.
    """

    time: FloatArray
    chamber: FloatArray
    source: FloatArray
    glass: FloatArray
    set_point: FloatArray
    hot: FloatArray
    cold: FloatArray
    pot: FloatArray
    heap_temperature: FloatArray
    glass_mass: FloatArray
    heap_mass: FloatArray
    power: FloatArray
    losses: FloatArray
    bought: FloatArray
    imbalance: FloatArray

    @property
    def energy(self) -> float:
        """Bought in the whole run [J]."""
        return float(self.bought[-1])

    @property
    def worst_imbalance(self) -> float:
        """Largest imbalance of any step [-]."""
        return float(np.abs(self.imbalance).max())


def course_of(rows: Sequence[Sequence[float]], sections: int) -> FurnaceCourse:
    """The record from its rows, as :class:`core.melt.furnace_run.FurnaceRun` writes them.

    Parameters
    ----------
    rows : sequence of sequence of float
        One a step.
    sections : int
        Wall sections of the furnace.
    """
    table = np.array(rows).T
    table.setflags(write=False)
    faces = table[16:]
    return FurnaceCourse(
        time=table[0],
        chamber=table[1],
        source=table[2],
        glass=table[3],
        set_point=table[4],
        heap_temperature=table[5],
        glass_mass=table[6],
        heap_mass=table[7],
        power=table[8],
        bought=table[9],
        imbalance=table[10],
        losses=table[11:16],
        hot=faces[:sections],
        cold=faces[sections : 2 * sections],
        pot=faces[2 * sections :],
    )
