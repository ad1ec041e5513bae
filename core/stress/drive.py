"""What drives the stress: reduced time and thermal strain of every step."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.stress.structure import carry

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]

_CHUNK = 64
"""Steps whose relaxation is reckoned at once: few calls, little memory."""
_RIGID = 1e-7
"""Reduced time over the shortest relaxation time below which nothing relaxes."""


@dataclass(frozen=True, eq=False)
class Drive:
    """What drives the stress of s sections on n nodes over m steps.

    Attributes
    ----------
    shares, rates : ndarray, shape (k, s, 1)
        Of shear relaxation; rates are 1 over times in viscosity/modulus.
    twice_shear : ndarray, shape (s, 1)
        Twice the shear modulus [Pa].
    reduced, skew : ndarray, shape (m, s, n)
        Reduced time of each step, and how much of what is steady in time falls late in it.
    strain : ndarray, shape (m, s, n)
        Thermal strain of each step.
    uneven : ndarray, shape (m, s, n)
        Its part that falls late in time less that which falls early.
    """

    shares: FloatArray
    rates: FloatArray
    twice_shear: FloatArray
    reduced: FloatArray
    skew: FloatArray
    strain: FloatArray
    uneven: FloatArray

    @property
    def steps(self) -> int:
        """Number of steps."""
        return int(self.reduced.shape[0])


@dataclass(frozen=True, eq=False)
class Relaxing:
    """Maxwell elements over some steps, w of them; all but ``steps`` only where any glass relaxes.

    Attributes
    ----------
    steps : range
    place : list of int
        Which of the arrays' rows each step has; -1 where all is rigid.
    kept : ndarray, shape (w, k, s, n)
        Share of each element's stress left at the end.
    load : ndarray, shape (w, k, s, n)
        Stress each takes of a strain steady in time [Pa].
    stiffness : ndarray, shape (w, s, n)
        Their sum [Pa].
    odd : ndarray, shape (w, k, s, n)
        Stress each takes of the uneven part of a strain [Pa].
    """

    steps: range
    place: list[int]
    kept: FloatArray
    load: FloatArray
    stiffness: FloatArray
    odd: FloatArray


def relaxing_steps(drive: Drive) -> Iterator[Relaxing]:
    """Coefficients of the Maxwell elements, some steps at a time."""
    fastest = float(drive.rates.max())
    strength = drive.twice_shear * drive.shares
    for begin in range(0, drive.steps, _CHUNK):
        end = min(begin + _CHUNK, drive.steps)
        reduced = drive.reduced[begin:end]
        soft = reduced.reshape(end - begin, -1).max(axis=1) * fastest > _RIGID
        kept, even, odd = carry(reduced[soft][:, None] * drive.rates)
        load = strength * (even + drive.skew[begin:end][soft][:, None] * odd)
        yield Relaxing(
            steps=range(begin, end),
            place=np.where(soft, np.cumsum(soft) - 1, -1).tolist(),
            kept=kept,
            load=load,
            stiffness=load.sum(axis=1),
            odd=strength * odd,
        )
