"""Stress in slabs and walls: Maxwell shear, elastic bulk, shared membrane strain.

In-plane stress s is equal in both directions and free across, so the deviator is s/3 in the plane
and the free expansion of the thickness gives the in-plane deviatoric strain

    e = epsilon - epsilon_thermal - 2 s/(9 K).

Each Maxwell element s_k (sum s/3) is carried over a step as in :mod:`core.stress.structure`, with
epsilon, temperature and s going evenly in time and the fictive temperature as its rates at both
ends say. That is linear in the unknown step of membrane strain (and of curvature where the plate
may bow), which zero force (and moment) give directly.

Source: Narayanaswamy O.S. 1978, J. Am. Ceram. Soc. 61, 146 for the equations of tempering; Lee
E.H., Rogers T.G., Woo T.C. 1965, J. Am. Ceram. Soc. 48, 480 for the viscoelastic plate.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.stress.drive import Drive, relaxing_steps

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Slabs:
    """Constants of s slabs on n nodes.

    Attributes
    ----------
    weight : ndarray, shape (s, n)
        Of the mean through the thickness.
    place : ndarray, shape (s, n)
        0 to 1.
    thickness : ndarray, shape (s,)
        [m].
    group : ndarray of int, shape (s,)
        Slabs joined in one strain share a number; the numbers rise from 0.
    bends : ndarray of bool, shape (s,)
    shear_modulus, bulk_modulus : ndarray, shape (s,)
        [Pa].
    """

    weight: FloatArray
    place: FloatArray
    thickness: FloatArray
    group: IntArray
    bends: BoolArray
    shear_modulus: FloatArray
    bulk_modulus: FloatArray

    @property
    def elastic_modulus(self) -> FloatArray:
        """E/(1 - nu) as a column [Pa]."""
        return np.asarray(
            3.0 / (1.0 / (2.0 * self.shear_modulus) + 2.0 / (3.0 * self.bulk_modulus))
        )[:, None]


def slab_stress(slabs: Slabs, drive: Drive) -> FloatArray:
    """In-plane stress through a history, shape (m + 1, s, n) [Pa]; tension is positive."""
    strain = drive.strain
    stress = np.zeros((drive.steps + 1, *strain.shape[1:]))
    elements = np.zeros((drive.shares.shape[0], *strain.shape[1:]))
    ninth = 2.0 / (9.0 * slabs.bulk_modulus[:, None])
    balance = Balance(slabs)
    # The membrane follows what is uneven in time too; only what departs from it makes stress.
    uneven = balance.strain(np.ones_like(strain[0]), -drive.uneven) - drive.uneven
    elastic = drive.twice_shear * drive.shares * np.ones_like(strain[0])
    hard = np.broadcast_to(drive.twice_shear, strain.shape[1:])
    new = stress[0]
    for part in relaxing_steps(drive):
        soft = [n for n, at in zip(part.steps, part.place, strict=True) if at >= 0]
        extra = part.odd * uneven[soft][:, None]
        for n, at in zip(part.steps, part.place, strict=True):
            load, stiffness = elastic, hard
            if at >= 0:
                elements *= part.kept[at]
                elements += extra[at]
                load, stiffness = part.load[at], part.stiffness[at]
            old = new
            compliance = 1.0 / 3.0 + stiffness * ninth
            gain = stiffness / compliance
            base = (elements.sum(axis=0) + stiffness * (ninth * old - strain[n])) / compliance
            common = balance.strain(gain, base)
            new = base + gain * common
            stress[n + 1] = new
            elements += load * (common - strain[n] - ninth * (new - old))
    return stress


class Balance:
    """Finds the strain that leaves no net force, and no moment where a slab may bow."""

    def __init__(self, slabs: Slabs) -> None:
        self.weight = slabs.weight
        self.first = np.flatnonzero(np.diff(slabs.group, prepend=-1))
        self.thickness = slabs.thickness
        self.group = slabs.group
        self.shared = self.first.size < slabs.group.size
        self.bends = slabs.bends
        self.any_bends = bool(slabs.bends.any())
        self.lever = slabs.place - 0.5

    def _total(self, values: FloatArray) -> FloatArray:
        """Sum over the slabs of a group, by thickness, for each slab of it."""
        if not self.shared:
            return values
        return np.asarray(
            np.add.reduceat(values * self.thickness, self.first, axis=-1)[..., self.group]
        )

    def strain(self, gain: FloatArray, base: FloatArray) -> FloatArray:
        """Strain c for which base + gain c has no net force; arrays of shape (..., s, n)."""
        pull = self.weight * gain
        stiff = pull.sum(axis=-1)
        force = (self.weight * base).sum(axis=-1)
        mean = -self._total(force) / self._total(stiff)
        if not self.any_bends:
            return np.asarray(mean[..., None])
        first = (pull * self.lever).sum(axis=-1)
        second = (pull * self.lever**2).sum(axis=-1)
        moment = (self.weight * self.lever * base).sum(axis=-1)
        determinant = stiff * second - first**2
        bow = (first * force - stiff * moment) / determinant
        level = (first * moment - second * force) / determinant
        mean = np.where(self.bends, level, mean)
        bow = np.where(self.bends, bow, 0.0)
        return np.asarray(mean[..., None] + bow[..., None] * self.lever)


def even_out(slabs: Slabs, strain: FloatArray) -> FloatArray:
    """Elastic stress of a thermal strain, shape (s, n): what evening out a section adds [Pa]."""
    gain = np.broadcast_to(slabs.elastic_modulus, strain.shape)
    base = -gain * strain
    return base + gain * Balance(slabs).strain(gain, base)
