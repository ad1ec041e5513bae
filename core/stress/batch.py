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
    first_row : ndarray of int, shape (pieces,)
        First section of each piece; those of a piece follow one another.
    place : ndarray, shape (s, n)
        Depth from the first node, 0 to 1.
    volume : ndarray, shape (s, n)
        Control volumes, in units of the cooled face times metre.
    spread : ndarray, shape (s, n - 1)
        Area over distance between nodes [1/m].
    weight : ndarray, shape (s, n)
        Of the mean over the body, sum 1.
    liquid_extra : ndarray
        Expansion of the liquid less that of the glass [1/K].
    structure_shares, structure_times, shear_shares, shear_times : ndarray, shape (k, s)
        Spectra; terms a section lacks have share 0.
    resting_fictive : ndarray
        Temperature [K] at ``RESTING_LOG``.
    """

    sections: tuple[StressSection, ...]
    piece: IntArray
    first_row: IntArray
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
    non_linearity: FloatArray
    liquid_extra: FloatArray
    structure_shares: FloatArray
    structure_times: FloatArray
    shear_shares: FloatArray
    shear_times: FloatArray
    resting_fictive: FloatArray

    @property
    def count(self) -> int:
        """Number of sections."""
        return len(self.sections)


RESTING_LOG = 12.7
"""log10(viscosity / Pa s) at the fictive temperature of glass annealed before."""


def lay_out(pieces: Sequence[StressPiece], nodes: int) -> Batch:
    """Arrays for pieces, in their order."""
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

    relaxations = [piece.relaxation for _, piece, _ in rows]
    expansion = column([g.expansion.value for g in glasses])
    youngs = column([g.youngs_modulus.value for g in glasses])
    poisson = column([g.poissons_ratio.value for g in glasses])
    shear = youngs / (2.0 * (1.0 + poisson))
    return Batch(
        sections=sections,
        piece=np.array([i for i, _, _ in rows], dtype=np.intp),
        first_row=np.cumsum([0] + [len(piece.sections) for piece in pieces[:-1]], dtype=np.intp),
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
        expansion=expansion,
        liquid=(
            column([f.a for f in of_row]) - np.log(shear),
            column([f.b for f in of_row]),
            column([f.t0 for f in of_row]),
        ),
        non_linearity=column([r.non_linearity for r in relaxations]),
        liquid_extra=expansion * column([r.liquid_expansion_ratio - 1.0 for r in relaxations]),
        structure_shares=_terms([r.structure_shares for r in relaxations], 0.0),
        structure_times=_terms([r.structure_times for r in relaxations], 1.0),
        shear_shares=_terms([r.shear_shares for r in relaxations], 0.0),
        shear_times=_terms([r.shear_times for r in relaxations], 1.0),
        resting_fictive=column([f.temperature(RESTING_LOG) for f in of_row]),
    )


def _terms(values: Sequence[tuple[float, ...]], missing: float) -> FloatArray:
    """Spectra as columns of equal length, shape (k, s)."""
    filled = np.full((max(len(v) for v in values), len(values)), missing)
    for column, terms in enumerate(values):
        filled[: len(terms), column] = terms
    return filled


def _mesh(
    section: StressSection, nodes: int
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Places, control volumes, area over distance, and weights of the mean."""
    power = POWER[section.geometry]
    on_shelf = section.faces is Faces.SHELF
    place = node_places(nodes, both_faces=on_shelf)
    inner = section.curvature_radius or 0.0
    radius = inner + place * section.depth
    face = 0.5 * (radius[1:] + radius[:-1])
    edges = np.concatenate((radius[:1], face, radius[-1:]))
    scale = radius[-1] ** power
    volume = np.diff(edges ** (power + 1)) / (power + 1) / scale
    spread = face**power / scale / np.diff(radius)
    # A curved wall's stress is a slab's, so its balance of force is too.
    weight = mean_weights(nodes, 0 if section.is_slab else power, both_faces=on_shelf)
    return place, volume, spread, weight
