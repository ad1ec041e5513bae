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
    plain = _Response(hard, elastic, ninth)
    plain_stiff = balance.of(plain.gain)
    new = stress[0]
    for part in relaxing_steps(drive):
        soft = [n for n, at in zip(part.steps, part.place, strict=True) if at >= 0]
        extra = part.odd * uneven[soft][:, None]
        relaxing = _Response(part.stiffness, part.load, ninth)
        stiff = balance.of(relaxing.gain)
        for n, at in zip(part.steps, part.place, strict=True):
            if at >= 0:
                elements *= part.kept[at]
                elements += extra[at]
                gain, give = relaxing.gain[at], relaxing.give[at]
                own, taken = relaxing.own[at], relaxing.taken[at]
                common = stiff.strain
            else:
                gain, give, own, taken = plain.gain, plain.give, plain.own, plain.taken
                common = plain_stiff.strain
            held = np.add.reduce(elements, axis=0)
            base = held * give + new * own - gain * strain[n]
            new = base + gain * common(base, at)
            stress[n + 1] = new
            elements += taken * (new / 3.0 - held)
    return stress


class _Response:
    """How stress answers in a step: s = give * held + own * old s + gain * (epsilon - thermal).

    ``taken`` is what each element takes of the change of s/3 beyond what was held.
    """

    def __init__(self, stiffness: FloatArray, load: FloatArray, ninth: FloatArray) -> None:
        self.give = 1.0 / (1.0 / 3.0 + stiffness * ninth)
        self.gain = stiffness * self.give
        self.own = self.gain * ninth
        self.taken = load / np.expand_dims(stiffness, -3)


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

    def total(self, values: FloatArray) -> FloatArray:
        """Sum over the slabs of a group, by thickness, for each slab of it."""
        if not self.shared:
            return values
        sums = np.add.reduceat(values * self.thickness, self.first, axis=-1)
        return np.asarray(sums[..., self.group])

    def of(self, gain: FloatArray) -> _Resistance:
        """What slabs of this gain, shape (..., s, n), set against a common strain."""
        pull = self.weight * gain
        stiff = np.add.reduce(pull, axis=-1)
        moments = None
        if self.any_bends:
            first = np.add.reduce(pull * self.lever, axis=-1)
            moments = first, np.add.reduce(pull * self.lever**2, axis=-1)
        return _Resistance(self, stiff, self.total(stiff), moments)

    def strain(self, gain: FloatArray, base: FloatArray) -> FloatArray:
        """Strain c for which base + gain c has no net force; arrays of shape (..., s, n)."""
        return self.of(gain).strain(base)


@dataclass(frozen=True, eq=False)
class _Resistance:
    """Stiffness of slabs, shape (..., s), and of the groups they belong to.

    ``moments`` are the first and second moments of stiffness where any slab may bow.
    """

    balance: Balance
    stiff: FloatArray
    total: FloatArray
    moments: tuple[FloatArray, FloatArray] | None

    def strain(self, base: FloatArray, step: int = -1) -> FloatArray:
        """Strain c for which base + gain c has no net force, nor moment where a slab may bow.

        ``step`` picks one of many gains; -1 where there is but one, or one for each base.
        """
        balance = self.balance
        one = step >= 0 and self.total.ndim > 1
        force = np.add.reduce(balance.weight * base, axis=-1)
        mean = -balance.total(force) / (self.total[step] if one else self.total)
        if self.moments is None:
            return np.asarray(mean[..., None])
        stiff, first, second = (self.stiff, *self.moments)
        if one:
            stiff, first, second = stiff[step], first[step], second[step]
        moment = np.add.reduce(balance.weight * balance.lever * base, axis=-1)
        determinant = stiff * second - first**2
        bow = (first * force - stiff * moment) / determinant
        level = (first * moment - second * force) / determinant
        mean = np.where(balance.bends, level, mean)
        bow = np.where(balance.bends, bow, 0.0)
        return np.asarray(mean[..., None] + bow[..., None] * balance.lever)


def even_out(slabs: Slabs, strain: FloatArray) -> FloatArray:
    """Elastic stress of a thermal strain, shape (s, n): what evening out a section adds [Pa]."""
    gain = np.broadcast_to(slabs.elastic_modulus, strain.shape)
    base = -gain * strain
    return base + gain * Balance(slabs).strain(gain, base)
