"""Stress in slabs and walls: Maxwell shear, elastic bulk, shared membrane strain.

In-plane stress s is equal in both directions and free across, so the deviator is s/3 in the plane
and the free expansion of the thickness gives the in-plane deviatoric strain

    e = epsilon - epsilon_thermal - 2 s/(9 K).

Each Maxwell element s_k (sum s/3) is carried over a step exactly for e linear in reduced time:
s_k <- s_k exp(-y) + 2 G w_k (1 - exp(-y))/y de. That is linear in the unknown step of membrane
strain (and of curvature where the plate may bow), which zero force (and moment) give directly.
Source: Narayanaswamy O.S. 1978, J. Am. Ceram. Soc. 61, 146 for the equations of tempering; Lee
E.H., Rogers T.G., Woo T.C. 1965, J. Am. Ceram. Soc. 48, 480 for the viscoelastic plate.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.stress.relaxation import decay

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]

_CHUNK = 128
"""Steps whose relaxation is reckoned at once: few calls, little memory."""
RIGID = 1e-9
"""Reduced time over the shortest relaxation time below which nothing relaxes."""


@dataclass(frozen=True, eq=False)
class Slabs:
    """Constants of s slabs on n nodes.

    Attributes
    ----------
    weight : ndarray, shape (s, n)
        Of the mean through the thickness.
    place : ndarray, shape (s, n)
        0 to 1.
    thickness_share : ndarray, shape (groups, s)
        Share of each slab in the force of the group joined in one strain; rows sum to 1.
    group : ndarray of int, shape (s,)
    bends : ndarray of bool, shape (s,)
    shear_modulus, bulk_modulus : ndarray, shape (s,)
        [Pa].
    """

    weight: FloatArray
    place: FloatArray
    thickness_share: FloatArray
    group: IntArray
    bends: BoolArray
    shear_modulus: FloatArray
    bulk_modulus: FloatArray


@dataclass(frozen=True, eq=False)
class Drive:
    """What drives the stress of s sections on n nodes over m steps.

    Attributes
    ----------
    shares, times : ndarray, shape (k,)
        Of shear relaxation, times in viscosity/modulus, shortest first.
    reduced : ndarray, shape (m, s, n)
        Reduced time of each step.
    strain : ndarray, shape (m, s, n)
        Thermal strain of each step.
    resets : dict of int to ndarray, shape (s,)
        Sections free of stress again, by step.
    """

    shares: FloatArray
    times: FloatArray
    reduced: FloatArray
    strain: FloatArray
    resets: dict[int, BoolArray]


def slab_stress(slabs: Slabs, drive: Drive) -> FloatArray:
    """In-plane stress through a history, shape (m + 1, s, n) [Pa]; tension is positive."""
    reduced, strain, shares = drive.reduced, drive.strain, drive.shares
    count = strain.shape[0]
    stress = np.zeros((count + 1, *strain.shape[1:]))
    elements = np.zeros((*strain.shape[1:], shares.size))
    rates = 1.0 / drive.times
    twice = 2.0 * slabs.shear_modulus[:, None]
    ninth = 2.0 / (9.0 * slabs.bulk_modulus[:, None])
    free = _Balance(slabs)
    elastic_share = (twice[..., None] * shares) * np.ones((*strain.shape[1:], 1))
    for begin in range(0, count, _CHUNK):
        end = min(begin + _CHUNK, count)
        part = reduced[begin:end]
        relaxing = part.reshape(end - begin, -1).max(axis=1) * rates[0] > RIGID
        kept, mean = decay(part[relaxing][..., None] * rates)
        loads = twice[..., None] * (mean * shares)
        stiffness = loads.sum(axis=-1)
        at = 0
        for n in range(begin, end):
            if n in drive.resets:
                mask = drive.resets[n]
                elements[mask] = 0.0
                stress[n][mask] = 0.0
            if relaxing[n - begin]:
                elements *= kept[at]
                load, a = loads[at], stiffness[at]
                at += 1
            else:
                load, a = elastic_share, twice
            old = stress[n]
            gain = a / (1.0 / 3.0 + a * ninth)
            base = (elements.sum(axis=-1) / a + ninth * old - strain[n]) * gain
            common = free.step(gain, base)
            new = base + gain * common
            stress[n + 1] = new
            change = common - strain[n] - ninth * (new - old)
            elements += load * change[..., None]
    return stress


class _Balance:
    """Finds the step of strain that leaves no net force, and no moment where a slab may bow."""

    def __init__(self, slabs: Slabs) -> None:
        self.weight = slabs.weight
        self.share = slabs.thickness_share
        self.group = slabs.group
        self.bends = slabs.bends
        self.lever = slabs.place - 0.5
        self.any_bends = bool(slabs.bends.any())

    def step(self, gain: FloatArray, base: FloatArray) -> FloatArray:
        """Strain common to all nodes (plus curvature), broadcasting to (s, n)."""
        stiff = (self.weight * gain).sum(axis=1)
        force = (self.weight * base).sum(axis=1)
        mean = -((self.share @ force) / (self.share @ stiff))[self.group]
        if not self.any_bends:
            return np.asarray(mean[:, None])
        first = (self.weight * self.lever * gain).sum(axis=1)
        second = (self.weight * self.lever**2 * gain).sum(axis=1)
        moment = (self.weight * self.lever * base).sum(axis=1)
        determinant = stiff * second - first**2
        bow = (first * force - stiff * moment) / determinant
        level = (first * moment - second * force) / determinant
        mean = np.where(self.bends, level, mean)
        bow = np.where(self.bends, bow, 0.0)
        return np.asarray(mean[:, None] + bow[:, None] * self.lever)


def even_out(slabs: Slabs, strain: FloatArray) -> FloatArray:
    """Elastic stress of a thermal strain, shape (s, n): what evening out a section adds [Pa]."""
    modulus = 3.0 / (1.0 / (2.0 * slabs.shear_modulus) + 2.0 / (3.0 * slabs.bulk_modulus))
    gain = np.broadcast_to(modulus[:, None], strain.shape)
    base = -gain * strain
    return base + gain * _Balance(slabs).step(gain, base)
