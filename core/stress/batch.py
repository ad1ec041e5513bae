"""Sections of many pieces and schedules laid out as arrays, one row a section."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.piece.piece import Geometry
from core.stress.mesh import mean_weights, node_places
from core.stress.relaxation import Liquid, liquid_of
from core.stress.section import Faces, StressPiece, StressSection

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

POWER = {Geometry.SLAB: 0, Geometry.CYLINDER: 1, Geometry.SPHERE: 2}
"""Power of the radius in the area heat flows through."""


@dataclass(frozen=True, eq=False)
class Batch:
    """Everything constant of s sections on n nodes; SI, shapes (s,) or (s, n) unless said.

    Attributes
    ----------
    sections : tuple of StressSection
    piece : ndarray of int
        Index of the piece each section belongs to.
    history : ndarray of int
        Index of the chamber history each follows.
    place : ndarray, shape (s, n)
        Depth from the first node, 0 to 1.
    volume : ndarray, shape (s, n)
        Control volumes, in units of the cooled face times metre.
    spread : ndarray, shape (s, n - 1)
        Area over distance between nodes [1/m].
    weight : ndarray, shape (s, n)
        Of the mean over the body, sum 1.
    """

    sections: tuple[StressSection, ...]
    piece: IntArray
    history: IntArray
    place: FloatArray
    volume: FloatArray
    spread: FloatArray
    weight: FloatArray
    density: FloatArray
    heat_terms: tuple[FloatArray, FloatArray]
    conductivity_terms: tuple[FloatArray, FloatArray]
    emissivity: FloatArray
    convection: FloatArray
    fixed: FloatArray
    shelf_coupling: FloatArray
    shelf_content: FloatArray
    shear_modulus: FloatArray
    bulk_modulus: FloatArray
    expansion: FloatArray
    liquid: tuple[FloatArray, FloatArray, FloatArray]
    active_range: tuple[FloatArray, FloatArray]
    resting_fictive: FloatArray
    settled: FloatArray

    @property
    def count(self) -> int:
        """Number of sections."""
        return len(self.sections)


RIGID_LOG, FLUID_LOG = 16.0, 8.0
"""log10(viscosity / Pa s) between which structure and stress change within a working night or a
tempering blast; there time steps are kept short."""
SETTLED_LOG = 14.5
"""log10(viscosity / Pa s) above which glass keeps its stress for weeks."""
RESTING_LOG = 12.7
"""log10(viscosity / Pa s) at the fictive temperature of glass annealed before."""


def lay_out(pieces: Sequence[StressPiece], histories: Sequence[int], nodes: int) -> Batch:
    """Arrays for pieces, each following the history of the same place in ``histories``."""
    rows = [(i, piece, section) for i, piece in enumerate(pieces) for section in piece.sections]
    sections = tuple(section for _, _, section in rows)
    meshes = [_mesh(section, nodes) for section in sections]
    glasses = [piece.properties for _, piece, _ in rows]
    liquids: dict[int, Liquid] = {}
    for glass in glasses:
        if id(glass) not in liquids:
            liquids[id(glass)] = liquid_of(glass)
    of_row = [liquids[id(glass)] for glass in glasses]

    def column(values: Sequence[float]) -> FloatArray:
        return np.array(values, dtype=np.float64)

    youngs = column([g.youngs_modulus.value for g in glasses])
    poisson = column([g.poissons_ratio.value for g in glasses])
    shear = youngs / (2.0 * (1.0 + poisson))
    return Batch(
        sections=sections,
        piece=np.array([i for i, _, _ in rows], dtype=np.intp),
        history=np.array([histories[i] for i, _, _ in rows], dtype=np.intp),
        place=np.stack([m[0] for m in meshes]),
        volume=np.stack([m[1] for m in meshes]),
        spread=np.stack([m[2] for m in meshes]),
        weight=np.stack([m[3] for m in meshes]),
        density=column([g.density.value for g in glasses]),
        heat_terms=(
            column([g.heat_capacity_terms[0] for g in glasses]),
            column([g.heat_capacity_terms[1] for g in glasses]),
        ),
        conductivity_terms=(
            column([g.conductivity_terms[0] for g in glasses]),
            column([g.conductivity_terms[1] for g in glasses]),
        ),
        emissivity=column([p.surroundings.emissivity for _, p, _ in rows]),
        convection=column([p.surroundings.convection for _, p, _ in rows]),
        fixed=column([p.surroundings.fixed for _, p, _ in rows]),
        shelf_coupling=column([1.0 / s.shelf.resistance if s.shelf else 0.0 for s in sections]),
        shelf_content=column([s.shelf.heat_content if s.shelf else 1.0 for s in sections]),
        shear_modulus=shear,
        bulk_modulus=youngs / (3.0 * (1.0 - 2.0 * poisson)),
        expansion=column([g.expansion.value for g in glasses]),
        liquid=(
            column([f.a for f in of_row]) - np.log(shear),
            column([f.b for f in of_row]),
            column([f.t0 for f in of_row]),
        ),
        active_range=(
            column([f.temperature(RIGID_LOG) for f in of_row]),
            column([f.temperature(FLUID_LOG) for f in of_row]),
        ),
        resting_fictive=column([f.temperature(RESTING_LOG) for f in of_row]),
        settled=column([f.temperature(SETTLED_LOG) for f in of_row]),
    )


def _mesh(
    section: StressSection, nodes: int
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Places, control volumes, area over distance, and weights of the mean."""
    power = POWER[section.geometry]
    place = node_places(nodes, both_faces=section.faces is Faces.SHELF)
    inner = section.curvature_radius or 0.0
    radius = inner + place * section.depth
    face = 0.5 * (radius[1:] + radius[:-1])
    edges = np.concatenate((radius[:1], face, radius[-1:]))
    scale = radius[-1] ** power
    volume = np.diff(edges ** (power + 1)) / (power + 1) / scale
    spread = face**power / scale / np.diff(radius)
    # A curved wall's stress is a slab's, so its balance of force is too.
    weight = mean_weights(place, 0 if section.is_slab else power)
    return place, volume, spread, weight
