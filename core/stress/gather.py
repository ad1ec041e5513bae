"""From stresses at every node and step to one answer a piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.stress.batch import Batch
from core.stress.march import Paths
from core.stress.relaxation import log_rate
from core.stress.result import PeakTension, PieceStress, SectionStress
from core.stress.retardation import slab_retardation, solid_retardation
from core.stress.section import Faces, StressPiece
from core.units import SECONDS_PER_HOUR

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

SETTLED = 4000.0 * SECONDS_PER_HOUR
"""Viscosity over shear modulus [s] from which glass keeps its stress, within some 8 % or
0.02 MPa, however the night goes on: its quick elements are far quicker."""
_MOST_RISE = 0.01
"""Share by which a maximum in time may lie above the greatest of the steps."""
_LEAST_EVEN = 0.25
"""Ratio of neighbouring spaces below which a maximum is not sought between them."""


@dataclass(frozen=True, eq=False)
class Fields:
    """Everything at every step: shapes (m + 1, sections, nodes) [Pa].

    Attributes
    ----------
    paths : Paths
    stress, hoop, radial, largest : ndarray
        ``stress`` in the plane of a slab, axial in a cylinder, hoop in a sphere; ``largest`` is
        the greatest principal stress.
    """

    paths: Paths
    stress: FloatArray
    hoop: FloatArray
    radial: FloatArray
    largest: FloatArray


@dataclass(frozen=True, eq=False)
class Left:
    """What stays when temperatures have evened out: stresses of shape (sections, nodes)."""

    stress: FloatArray
    hoop: FloatArray
    radial: FloatArray


def gather(
    pieces: Sequence[StressPiece],
    batch: Batch,
    fields: Fields,
    left: Left,
    clocks: Sequence[float],
) -> list[PieceStress]:
    """One answer a piece.

    Parameters
    ----------
    pieces, batch, fields, left
    clocks : sequence of float
        When each piece enters, on its history's clock [s].
    """
    joined = np.array([pieces[i].joined for i in batch.piece])
    mean = (fields.stress * batch.weight).sum(axis=-1)
    mean[:, ~joined] = 0.0
    left_mean = (left.stress * batch.weight).sum(axis=-1)
    left_mean[~joined] = 0.0
    own = fields.largest - mean[..., None] if joined.any() else fields.largest
    answers = []
    settled = _settled(batch, fields.paths)
    bounds = batch.first_row[1:]
    for index, rows in enumerate(np.split(np.arange(batch.count), bounds)):
        piece = pieces[index]
        coefficient = piece.properties.stress_optical_coefficient.value
        run = slice(0, int(fields.paths.count[index]) + 1)
        time = fields.paths.time[run, index] + clocks[index]
        sections = tuple(
            _section(row, time, batch, fields, left, (own, mean, left_mean), coefficient)
            for row in rows.tolist()
        )
        answers.append(
            PieceStress(
                name=piece.name,
                sections=sections,
                settled=bool(settled[rows].all()),
            )
        )
    return answers


def _settled(batch: Batch, paths: Paths) -> BoolArray:
    """Sections none of whose glass, as it is at the end, would still let stress go."""
    a, b, t0 = (term[:, None] for term in batch.liquid)
    x = batch.non_linearity[:, None]
    rate = log_rate(a, b, t0, x, paths.temperature[-1], paths.fictive[-1])
    return np.asarray(rate.max(axis=1) < -np.log(SETTLED))


def _section(
    row: int,
    time: FloatArray,
    batch: Batch,
    fields: Fields,
    left: Left,
    joint: tuple[FloatArray, FloatArray, FloatArray],
    coefficient: float,
) -> SectionStress:
    own, mean, left_mean = joint
    section = batch.sections[row]
    run = slice(0, time.size)
    depth = (1.0 - batch.place[row]) * section.depth
    temperature = fields.paths.temperature[run, row]
    permanent = left.stress[row] - left_mean[row]
    hoop = left.hoop[row] - left_mean[row]
    tension = own[run, row]
    step, node = divmod(int(tension.argmax()), tension.shape[1])
    peak_depth, peak_stress = _greatest(depth, tension[step])
    peak_time = float(time[step])
    if not fields.paths.at_corner[step, batch.piece[row]]:
        near = slice(step - 1, step + 2)
        between, found = _greatest(time[near], tension[near, node])
        # More would be a rise the steps have not followed closely enough for a parabola.
        if found <= (1.0 + _MOST_RISE) * tension[step, node]:
            peak_time = between
            peak_stress += found - float(tension[step, node])
    two_skins = section.faces is Faces.SHELF or section.may_bend
    core = depth.size // 2 if two_skins else 0
    permanent_core = _greatest(depth, permanent)[1] if two_skins else float(permanent[0])
    if section.is_slab:
        shown = slab_retardation(permanent_core, coefficient, section.viewing_path)
    else:
        shown = solid_retardation(
            section.geometry,
            section.depth,
            batch.place[row],
            (permanent, hoop, left.radial[row]),
            coefficient,
        )
    surface = float(min(permanent[0], permanent[-1]) if two_skins else permanent[-1])
    stress = fields.stress[run, row] - mean[run, row, None]
    return SectionStress(
        section=section,
        depth=depth,
        permanent=permanent,
        permanent_hoop=hoop,
        permanent_radial=left.radial[row],
        permanent_core=permanent_core,
        permanent_surface=surface,
        permanent_joint=float(left_mean[row]),
        peak=PeakTension(
            stress=max(0.0, peak_stress),
            time=peak_time,
            depth=peak_depth,
            temperature=float(np.interp(-peak_depth, -depth, temperature[step])),
        ),
        retardation=shown,
        fictive_temperature=float(fields.paths.fictive[-1, row] @ batch.weight[row]),
        time=time,
        temperature=temperature,
        stress=stress,
        core_temperature=temperature[:, core],
        skin_temperature=temperature[:, -1],
        core_stress=stress[:, core],
        skin_stress=stress[:, -1],
        joint_stress=mean[run, row],
    )


def _greatest(place: FloatArray, values: FloatArray) -> tuple[float, float]:
    """Place and value of the maximum, between places by the parabola through three of them.

    Not where they are spaced too unevenly, as just before or after a corner of a history.
    """
    top = int(values.argmax())
    if not 0 < top < values.size - 1:
        return float(place[top]), float(values[top])
    x = place[top - 1 : top + 2] - place[top]
    (low, high), y = (float(x[0]), float(x[2])), values[top - 1 : top + 2] - values[top]
    curvature = (y[2] / high - y[0] / low) / (high - low)
    if curvature >= 0.0 or not _LEAST_EVEN < abs(high / low) < 1.0 / _LEAST_EVEN:
        return float(place[top]), float(values[top])
    slope = y[0] / low - curvature * low
    return (
        float(place[top] - 0.5 * slope / curvature),
        float(values[top] - 0.25 * slope**2 / curvature),
    )
