"""From stresses at every node and step to one answer a piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.stress.batch import Batch
from core.stress.march import Paths
from core.stress.result import PeakTension, PieceStress, SectionStress
from core.stress.section import Faces, StressPiece

FloatArray = NDArray[np.float64]


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
    hottest = fields.paths.temperature[-1].max(axis=1)
    bounds = batch.first_row[1:]
    for index, rows in enumerate(np.split(np.arange(batch.count), bounds)):
        piece = pieces[index]
        run = slice(0, int(fields.paths.count[index]) + 1)
        time = fields.paths.time[run, index] + clocks[index]
        sections = tuple(
            _section(row, time, batch, fields, left, (own, mean, left_mean))
            for row in rows.tolist()
        )
        answers.append(
            PieceStress(
                name=piece.name,
                sections=sections,
                stress_optical_coefficient=piece.properties.stress_optical_coefficient.value,
                settled=bool((hottest[rows] < batch.settled[rows]).all()),
            )
        )
    return answers


def _section(
    row: int,
    time: FloatArray,
    batch: Batch,
    fields: Fields,
    left: Left,
    joint: tuple[FloatArray, FloatArray, FloatArray],
) -> SectionStress:
    own, mean, left_mean = joint
    section = batch.sections[row]
    run = slice(0, time.size)
    depth = (1.0 - batch.place[row]) * section.depth
    permanent = left.stress[row] - left_mean[row]
    tension = own[run, row]
    step, node = divmod(int(tension.argmax()), tension.shape[1])
    on_shelf = section.faces is Faces.SHELF
    core = depth.size // 2 if on_shelf else 0
    surface = float(min(permanent[0], permanent[-1])) if on_shelf else float(permanent[-1])
    stress = fields.stress[run, row] - mean[run, row, None]
    temperature = fields.paths.temperature[run, row]
    return SectionStress(
        section=section,
        depth=depth,
        permanent=permanent,
        permanent_hoop=left.hoop[row] - left_mean[row],
        permanent_radial=left.radial[row],
        permanent_core=float(permanent.max()) if on_shelf else float(permanent[0]),
        permanent_surface=surface,
        permanent_joint=float(left_mean[row]),
        peak=PeakTension(
            stress=max(0.0, float(tension[step, node])),
            time=float(time[step]),
            depth=float(depth[node]),
            temperature=float(temperature[step, node]),
        ),
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
