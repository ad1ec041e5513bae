"""From stresses at every node and step to one answer a piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.stress.batch import Batch
from core.stress.result import PeakTension, PieceStress, SectionStress
from core.stress.section import Faces, StressPiece

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Fields:
    """Everything at every step: shapes (m, sections, nodes) unless said; SI.

    Attributes
    ----------
    time : ndarray, shape (m,)
        Seconds since each history's own start.
    temperature, fictive : ndarray
    stress, hoop, radial, largest : ndarray
        ``stress`` in the plane of a slab, axial in a cylinder, hoop in a sphere; ``largest`` is
        the greatest principal stress.
    """

    time: FloatArray
    temperature: FloatArray
    fictive: FloatArray
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
    spans: tuple[IntArray, IntArray],
    clocks: Sequence[float],
) -> list[PieceStress]:
    """One answer a piece.

    Parameters
    ----------
    pieces, batch, fields, left
    spans : tuple of ndarray of int, shape (sections,)
        First and last step of each section.
    clocks : sequence of float
        Start of each piece's history [s].
    """
    joined = np.array([pieces[i].joined for i in batch.piece])
    mean = np.einsum("msn,sn->ms", fields.stress, batch.weight)
    mean[:, ~joined] = 0.0
    left_mean = np.einsum("sn,sn->s", left.stress, batch.weight)
    left_mean[~joined] = 0.0
    own = fields.largest
    if joined.any():
        own = own - mean[..., None]
    answers = []
    bounds = np.flatnonzero(np.diff(batch.piece)) + 1
    for piece, clock, rows in zip(
        pieces, clocks, np.split(np.arange(batch.count), bounds), strict=True
    ):
        sections = tuple(
            _section(row, clock, batch, fields, left, spans, (own, mean, left_mean))
            for row in rows.tolist()
        )
        last = spans[1][rows]
        hottest = fields.temperature[last, rows].max(axis=1)
        answers.append(
            PieceStress(
                name=piece.name,
                sections=sections,
                stress_optical_coefficient=piece.properties.stress_optical_coefficient.value,
                settled=bool((hottest < batch.settled[rows]).all()),
            )
        )
    return answers


def _section(
    row: int,
    clock: float,
    batch: Batch,
    fields: Fields,
    left: Left,
    spans: tuple[IntArray, IntArray],
    joint: tuple[FloatArray, FloatArray, FloatArray],
) -> SectionStress:
    own, mean, left_mean = joint
    section = batch.sections[row]
    first, last = int(spans[0][row]), int(spans[1][row])
    run = slice(first, last + 1)
    depth = (1.0 - batch.place[row]) * section.depth
    permanent = left.stress[row] - left_mean[row]
    tension = own[run, row]
    step, node = divmod(int(tension.argmax()), tension.shape[1])
    on_shelf = section.faces is Faces.SHELF
    core = depth.size // 2 if on_shelf else 0
    surface = float(min(permanent[0], permanent[-1])) if on_shelf else float(permanent[-1])
    stress = fields.stress[run, row]
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
            time=float(fields.time[first + step]) + clock,
            depth=float(depth[node]),
            temperature=float(fields.temperature[first + step, row, node]),
        ),
        fictive_temperature=float(fields.fictive[last, row] @ batch.weight[row]),
        time=fields.time[run] + clock,
        core_temperature=fields.temperature[run, row, core],
        skin_temperature=fields.temperature[run, row, -1],
        core_stress=stress[:, core] - mean[run, row],
        skin_stress=stress[:, -1] - mean[run, row],
        joint_stress=mean[run, row],
    )
