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

from core.stress.drive import Drive, relaxing_steps
from core.stress.mesh import radial_integrals

FloatArray = NDArray[np.float64]
_Soft = tuple[FloatArray, FloatArray, FloatArray, FloatArray]
"""Share kept, load, stiffness and inverse of one step."""


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
    count, s, n = drive.strain.shape
    march = _March(solids, drive.shares, (s, n))
    difference = np.zeros((count + 1, s, n))
    axial = np.zeros((count + 1, s, n))
    # Strain between hoop and radius follows what is uneven in time through compatibility.
    uneven_d = 3.0 * drive.uneven @ march.difference.T
    uneven_z = (
        ((drive.uneven @ solids.weight)[..., None] - drive.uneven) if march.cylinder else None
    )
    for part in relaxing_steps(drive):
        inverses = march.inverse(part.stiffness)
        soft = [m for m, at in zip(part.steps, part.place, strict=True) if at >= 0]
        extra_d = part.odd * uneven_d[soft][:, None]
        extra_z = None if uneven_z is None else part.odd * uneven_z[soft][:, None]
        for m, at in zip(part.steps, part.place, strict=True):
            relaxed = march.elastic
            if at >= 0:
                march.relax(part.kept[at], extra_d[at], None if extra_z is None else extra_z[at])
                relaxed = part.load[at], part.stiffness[at], inverses[at]
            new = march.step((difference[m], axial[m]), drive.strain[m], relaxed)
            difference[m + 1], axial[m + 1] = new
    return march.stresses(difference, axial)


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
        self.both = self.difference @ self.mean_of
        self.weight = solids.weight
        self.bulk = solids.bulk_modulus[:, None]
        twice = 2.0 * solids.shear_modulus[:, None] * np.ones(shape)
        self.d_elements = np.zeros((shares.shape[0], *shape))
        self.z_elements = np.zeros((shares.shape[0], *shape))
        self.elastic = shares * twice, twice, self.inverse(twice)

    def inverse(self, stiffness: FloatArray) -> FloatArray:
        """Inverse of the system for D, for a stiffness of shape (..., s, n)."""
        if self.cylinder:
            beta = 1.0 / (1.0 + stiffness / (6.0 * self.bulk))
            product = self.difference @ (beta[..., None] * self.mean_of)
        else:
            product = self.both
        system = (stiffness / self.bulk)[..., None] * product
        return np.asarray(np.linalg.inv(np.eye(self.weight.size) - system))

    def relax(self, kept: FloatArray, extra_d: FloatArray, extra_z: FloatArray | None) -> None:
        """Let the elements relax, and take what is uneven in time."""
        self.d_elements *= kept
        self.d_elements += extra_d
        if extra_z is not None:
            self.z_elements *= kept
            self.z_elements += extra_z

    def step(
        self,
        now: tuple[FloatArray, FloatArray],
        strain: FloatArray,
        relaxed: tuple[FloatArray, FloatArray, FloatArray],
    ) -> tuple[FloatArray, FloatArray]:
        """New D and axial deviator, shapes (s, n), after a step of thermal strain."""
        if self.cylinder:
            return self._cylinder_step(now, strain, relaxed)
        load, a, inverse = relaxed
        held = self.d_elements.sum(axis=0)
        right = held + a * (3.0 * strain @ self.difference.T - now[0] @ self.both.T / self.bulk)
        new = np.matmul(inverse, right[..., None])[..., 0]
        shear = (3.0 * strain) @ self.difference.T + (new - now[0]) @ self.both.T / self.bulk
        self.d_elements += load * shear
        return new, now[1]

    def _cylinder_step(
        self,
        now: tuple[FloatArray, FloatArray],
        strain: FloatArray,
        relaxed: tuple[FloatArray, FloatArray, FloatArray],
    ) -> tuple[FloatArray, FloatArray]:
        """As :meth:`step`, with the axial strain for which there is no axial force."""
        old_d, old_z = now
        load, a, inverse = relaxed
        held_d, held_z = self.d_elements.sum(axis=0), self.z_elements.sum(axis=0)
        beta = 1.0 / (1.0 + a / (6.0 * self.bulk))
        # The axial deviator but for the axial strain and the change of D.
        own = beta * (held_z - a * strain + a * old_z / (6.0 * self.bulk))
        volume = 3.0 * strain + (0.5 * (own - old_z) - beta * (old_d @ self.mean_of.T)) / self.bulk
        pull_volume = 0.5 * beta * a / self.bulk
        right = np.stack(
            (held_d + a * (volume @ self.difference.T), a * (pull_volume @ self.difference.T)), -1
        )
        both = np.matmul(inverse, right)
        d_base, d_pull = both[..., 0], both[..., 1]
        mixed = beta * a / (3.0 * self.bulk)
        mean_base, mean_pull = d_base @ self.mean_of.T, d_pull @ self.mean_of.T
        z_base = own - mixed * (mean_base - old_d @ self.mean_of.T)
        z_pull = beta * a - mixed * mean_pull
        force = (mean_base + 1.5 * z_base) @ self.weight
        force_pull = (mean_pull + 1.5 * z_pull) @ self.weight
        axial = -(force / force_pull)[:, None]
        new_d, new_z = d_base + axial * d_pull, z_base + axial * z_pull
        mean = (mean_base + axial * mean_pull - old_d @ self.mean_of.T) + 0.5 * (new_z - old_z)
        mean /= self.bulk
        self.d_elements += load * ((3.0 * strain + mean) @ self.difference.T)
        self.z_elements += load * (axial - strain - mean / 3.0)
        return new_d, new_z

    def stresses(self, d: FloatArray, z: FloatArray) -> SolidStress:
        """Principal stresses from D and the axial deviator."""
        radial = d @ self.radial.T
        if not self.cylinder:
            return SolidStress(radial, radial + d, radial + d)
        axial = d @ self.mean_of.T + 1.5 * z
        return SolidStress(radial, radial + d, axial)


def even_out(solids: Solids, strain: FloatArray) -> SolidStress:
    """Elastic stresses of a thermal strain, shape (s, n), as arrays of shape (1, s, n)."""
    march = _March(solids, np.ones((1, strain.shape[0], 1)), (strain.shape[0], strain.shape[1]))
    nothing = np.zeros_like(strain)
    d, z = march.step((nothing, nothing), strain, march.elastic)
    return march.stresses(d[None], z[None])
