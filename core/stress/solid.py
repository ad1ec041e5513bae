"""Stress in solid cylinders and spheres: Maxwell shear, elastic bulk, free surface.

Unknown is D, hoop less radial stress, at every node, and in a cylinder the axial deviator Z as
well. Equilibrium gives the radial stress from D, the elastic bulk the volume strain from the mean
stress, compatibility the difference of hoop and radial strain from the volume strain, and the
Maxwell elements D again, with operators exact for parabolas (:mod:`core.stress.mesh`). A long
cylinder keeps its sections plane: one axial strain for all radii, from zero axial force.

With H what the elements still hold of D (and Z) at the end of a step, a their stiffness and e the
step of thermal strain, one linear system gives the new values:

    D - a C dV = H_D,   dV = d(mean stress)/K + 3 e,   mean stress = M D (+ Z/2),
    Z - a (axial - dV/3) = H_Z,   no axial force        (cylinder only),

C being compatibility. It is solved for all steps of a chunk at once, so that each step is one
product of a matrix with (H, old values).

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
    system = _System(solids)
    s = drive.strain.shape[1]
    values = np.zeros((drive.steps + 1, s, system.size))
    elements = np.zeros((drive.shares.shape[0], s, system.size))
    elastic = np.broadcast_to(drive.twice_shear, drive.strain.shape[1:])
    hard, hard_push = system.solution(elastic)
    uneven = system.uneven(drive.uneven)
    new = values[0]
    for part in relaxing_steps(drive):
        soft = [m for m, at in zip(part.steps, part.place, strict=True) if at >= 0]
        matrix, push = system.solution(part.stiffness)
        pushed = np.matmul(push, drive.strain[soft][..., None])[..., 0]
        extra = system.spread(part.odd) * uneven[soft][:, None]
        kept = system.spread(part.kept)
        share = system.spread(part.load / part.stiffness[:, None])
        hard_pushed = np.matmul(hard_push, drive.strain[part.steps][..., None])[..., 0]
        for m, at in zip(part.steps, part.place, strict=True):
            if at >= 0:
                elements *= kept[at]
                elements += extra[at]
                operator, moved, taken = matrix[at], pushed[at], share[at]
            else:
                operator, moved, taken = hard, hard_pushed[m - part.steps.start], drive.shares
            held = np.add.reduce(elements, axis=0)
            both = np.concatenate((held, new), axis=1)
            new = np.matmul(operator, both[..., None])[..., 0] + moved
            values[m + 1] = new
            elements += taken * (new - held)
    return system.stresses(values)


class _System:
    """The linear system of a step, its solution, and stresses from the unknowns."""

    def __init__(self, solids: Solids) -> None:
        n = solids.weight.size
        operators = radial_integrals(n, solids.power)
        self.cylinder = solids.power == 1
        self.size = 2 * n if self.cylinder else n
        self.nodes = n
        self.radial = operators.radial
        self.compatible = operators.difference
        # Mean stress from D (and half the axial deviator in a cylinder).
        self.mean_of = operators.radial + (0.5 if self.cylinder else 2.0 / 3.0) * np.eye(n)
        self.weight = solids.weight
        self.bulk = solids.bulk_modulus

    def spread(self, values: FloatArray) -> FloatArray:
        """The same for D and Z, along the last axis."""
        return np.concatenate((values, values), axis=-1) if self.cylinder else values

    def uneven(self, strain: FloatArray) -> FloatArray:
        """What drives D (and Z) of the part of a thermal strain that is uneven in time.

        The axial strain follows it too; only what departs from its mean makes stress.
        """
        shear = 3.0 * strain @ self.compatible.T
        if not self.cylinder:
            return np.asarray(shear)
        return np.concatenate((shear, (strain @ self.weight)[..., None] - strain), axis=-1)

    def solution(self, stiffness: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Matrices of shapes (..., s, size, 2 size) and (..., s, size, n).

        The new values are the first times (held, old values) plus the second times the step of
        thermal strain.

        Parameters
        ----------
        stiffness : ndarray, shape (..., s, n)
            [Pa].
        """
        n, size = self.nodes, self.size
        a = stiffness[..., None]
        bulk = self.bulk[:, None, None]
        volume = np.zeros((self.bulk.size, n, size))
        volume[..., :n] = self.mean_of / bulk
        if self.cylinder:
            volume[..., n:] = 0.5 * np.eye(n) / bulk
        change = np.zeros((*stiffness.shape[:-1], size, size))
        change[..., :n, :] = -a * (self.compatible @ volume)
        push = np.zeros((*stiffness.shape[:-1], size, n))
        push[..., :n, :] = a * (3.0 * self.compatible)
        if not self.cylinder:
            return _applied(np.asarray(np.linalg.inv(np.eye(size) + change)), change, push)
        change[..., n:, :] = a / 3.0 * volume
        push[..., n:, :] = -a * np.eye(n)
        inverse = np.linalg.inv(np.eye(size) + change)
        # One axial strain for all radii, such that there is no axial force.
        force = np.concatenate((self.weight @ self.mean_of, 1.5 * self.weight))
        pull = np.zeros((*stiffness.shape[:-1], size, 1))
        pull[..., n:, 0] = stiffness
        pulled = inverse @ pull
        inverse = inverse - pulled @ ((force @ inverse)[..., None, :] / (force @ pulled)[..., None])
        return _applied(inverse, change, push)

    def stresses(self, values: FloatArray) -> SolidStress:
        """Principal stresses from D (and the axial deviator)."""
        d = values[..., : self.nodes]
        radial = d @ self.radial.T
        if not self.cylinder:
            return SolidStress(radial, radial + d, radial + d)
        axial = d @ self.mean_of.T + 1.5 * values[..., self.nodes :]
        return SolidStress(radial, radial + d, axial)


def _applied(
    inverse: FloatArray, change: FloatArray, push: FloatArray
) -> tuple[FloatArray, FloatArray]:
    both = np.concatenate((inverse, inverse @ change), axis=-1)
    return np.asarray(both), np.asarray(inverse @ push)


def even_out(solids: Solids, strain: FloatArray) -> SolidStress:
    """Elastic stresses of a thermal strain, shape (s, n), as arrays of the same shape."""
    system = _System(solids)
    stiffness = np.broadcast_to(2.0 * solids.shear_modulus[:, None], strain.shape)
    push = system.solution(stiffness)[1]
    return system.stresses(np.matmul(push, strain[..., None])[..., 0])
