"""Stress in solid cylinders and spheres: Maxwell shear, elastic bulk, free surface.

Unknown is D, hoop less radial stress, at every node. Equilibrium gives the radial stress from D,
the elastic bulk the volume strain from the mean stress, compatibility the difference of hoop and
radial strain from the volume strain, and the Maxwell elements D again: one small linear system a
step, with operators exact for parabolas (:mod:`core.stress.mesh`). A long cylinder keeps its
sections plane: one axial strain for all radii, from zero axial force.

Source: equations of equilibrium and compatibility in Timoshenko S., Goodier J.N. 1951, Theory of
Elasticity, thermal stress in cylinder and sphere; the viscoelastic step as in
:mod:`core.stress.slab`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.stress.mesh import radial_integrals
from core.stress.relaxation import decay
from core.stress.slab import RIGID, Drive

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_CHUNK = 64


@dataclass(frozen=True, eq=False)
class Solids:
    """Constants of s solids of one kind on n nodes.

    Attributes
    ----------
    power : int
        1 for cylinders, 2 for spheres.
    weight : ndarray, shape (n,)
        Of the mean over the cross-section.
    shear_modulus, bulk_modulus : ndarray, shape (s,)
        [Pa].
    """

    power: int
    weight: FloatArray
    shear_modulus: FloatArray
    bulk_modulus: FloatArray


@dataclass(frozen=True, eq=False)
class SolidStress:
    """Principal stresses, each of shape (m + 1, s, n) [Pa]; ``axial`` is the hoop in a sphere."""

    radial: FloatArray
    hoop: FloatArray
    axial: FloatArray

    def largest(self) -> FloatArray:
        """Largest principal stress at every node."""
        return np.maximum(np.maximum(self.radial, self.hoop), self.axial)


def solid_stress(solids: Solids, drive: Drive) -> SolidStress:
    """Stresses through a history."""
    reduced, strain, shares = drive.reduced, drive.strain, drive.shares
    count, s, n = strain.shape
    march = _March(solids, shares, (s, n))
    hoop_less_radial = np.zeros((count + 1, s, n))
    axial_deviator = np.zeros((count + 1, s, n))
    rates = 1.0 / drive.times
    for begin in range(0, count, _CHUNK):
        end = min(begin + _CHUNK, count)
        part = reduced[begin:end]
        relaxing = part.reshape(end - begin, -1).max(axis=1) * rates[0] > RIGID
        kept, mean = decay(part[relaxing][..., None] * rates)
        stiffness = 2.0 * solids.shear_modulus[:, None] * (mean @ shares)
        inverses = march.inverse(stiffness)
        at = 0
        for m in range(begin, end):
            if m in drive.resets:
                march.forget(drive.resets[m])
                hoop_less_radial[m][drive.resets[m]] = 0.0
                axial_deviator[m][drive.resets[m]] = 0.0
            now = hoop_less_radial[m], axial_deviator[m]
            if relaxing[m - begin]:
                new = march.step(now, strain[m], (stiffness[at], inverses[at]), kept[at], mean[at])
                at += 1
            else:
                new = march.step(now, strain[m])
            hoop_less_radial[m + 1], axial_deviator[m + 1] = new
    return march.stresses(hoop_less_radial, axial_deviator)


class _March:
    """Maxwell elements of all solids, and the step that carries them on."""

    def __init__(self, solids: Solids, shares: FloatArray, shape: tuple[int, int]) -> None:
        n = shape[1]
        operators = radial_integrals(n, solids.power)
        self.cylinder = solids.power == 1
        self.radial = operators.radial
        self.difference = operators.difference
        # Mean stress from D (and half the axial deviator in a cylinder).
        self.mean_of = operators.radial + (0.5 if self.cylinder else 2.0 / 3.0) * np.eye(n)
        self.weight = solids.weight
        self.bulk = solids.bulk_modulus[:, None]
        self.shares = shares
        self.twice = 2.0 * solids.shear_modulus[:, None] * np.ones(shape)
        self.d_elements = np.zeros((*shape, shares.size))
        self.z_elements = np.zeros((*shape, shares.size))
        self.elastic = self.twice, self.inverse(self.twice)

    def forget(self, mask: BoolArray) -> None:
        """Take all stress off some solids."""
        self.d_elements[mask] = 0.0
        self.z_elements[mask] = 0.0

    def inverse(self, stiffness: FloatArray) -> FloatArray:
        """Inverse of I - P for stiffness 2 G phi, shape (..., s, n)."""
        inner = self.mean_of
        if self.cylinder:
            beta = 1.0 / (1.0 + stiffness / (6.0 * self.bulk))
            inner = beta[..., None] * inner
        system = (stiffness / self.bulk)[..., None] * (self.difference @ inner)
        return np.linalg.inv(np.eye(inner.shape[-1]) - system)

    def step(
        self,
        now: tuple[FloatArray, FloatArray],
        strain: FloatArray,
        relaxed: tuple[FloatArray, FloatArray] | None = None,
        kept: FloatArray | None = None,
        mean: FloatArray | None = None,
    ) -> tuple[FloatArray, FloatArray]:
        """New D and axial deviator, shapes (s, n)."""
        old_d, old_z = now
        a, inverse = relaxed if relaxed is not None else self.elastic
        if kept is not None:
            self.d_elements *= kept
            self.z_elements *= kept
        load = self.twice[..., None] * self.shares
        if mean is not None:
            load = load * mean
        held_d = self.d_elements.sum(axis=-1)
        beta = 1.0 / (1.0 + a / (6.0 * self.bulk))
        # P applied to the old D, to turn the system for the change into one for the value.
        inner = old_d @ self.mean_of.T * (beta if self.cylinder else 1.0)
        right = held_d - a / self.bulk * (inner @ self.difference.T)
        volume = 3.0 * strain
        if not self.cylinder:
            right += a * (volume @ self.difference.T)
            new_d = (inverse @ right[..., None])[..., 0]
            self.d_elements += load * _strain(new_d, held_d, a)
            return new_d, new_d / 3.0
        held_z = self.z_elements.sum(axis=-1)
        own = beta * (held_z - a * strain + a * old_z / (6.0 * self.bulk))
        volume = volume + 0.5 * (own - old_z) / self.bulk
        right += a * (volume @ self.difference.T)
        pull = a * ((0.5 * beta * a / self.bulk) @ self.difference.T)
        both = inverse @ np.stack((right, pull), axis=-1)
        d_base, d_pull = both[..., 0], both[..., 1]
        mixed = beta * a / (3.0 * self.bulk)
        z_base = own - mixed * ((d_base - old_d) @ self.mean_of.T)
        z_pull = beta * a - mixed * (d_pull @ self.mean_of.T)
        force = (d_base @ self.mean_of.T + 1.5 * z_base) @ self.weight
        force_pull = (d_pull @ self.mean_of.T + 1.5 * z_pull) @ self.weight
        axial = -(force / force_pull)[:, None]
        new_d, new_z = d_base + axial * d_pull, z_base + axial * z_pull
        self.d_elements += load * _strain(new_d, held_d, a)
        self.z_elements += load * _strain(new_z, held_z, a)
        return new_d, new_z

    def stresses(self, d: FloatArray, z: FloatArray) -> SolidStress:
        """Principal stresses from D and the axial deviator."""
        radial = d @ self.radial.T
        if not self.cylinder:
            return SolidStress(radial, radial + d, radial + d)
        axial = d @ self.mean_of.T + 1.5 * z
        return SolidStress(radial, radial + d, axial)


def _strain(new: FloatArray, held: FloatArray, stiffness: FloatArray) -> FloatArray:
    """Step of deviatoric strain that took the held stress to the new one, shape (s, n, 1)."""
    return np.asarray(((new - held) / stiffness)[..., None])


def even_out(solids: Solids, strain: FloatArray) -> SolidStress:
    """Elastic stresses of a thermal strain, shape (s, n), as arrays of shape (1, s, n)."""
    march = _March(solids, np.ones(1), (strain.shape[0], strain.shape[1]))
    nothing = np.zeros_like(strain)
    d, z = march.step((nothing, nothing), strain)
    return march.stresses(d[None], z[None])
