"""The engine: pieces and chamber histories in, stresses out.

Conduction, structure and stress are reckoned one after the other over the whole history, each for
all sections of all pieces at once: temperature does not depend on stress, nor structure on either
but temperature.

Valid for sections whose temperature depends on depth alone (one-dimensional), small strain, and a
glass opaque to its own radiation (heat carried by radiation within thick clear glass above some
600 °C is left out, so hot cores are held to be slower than they are). Open ends, corners, feet and
handles are not covered. Sections joined in one vessel share a membrane strain and cannot bend,
which bounds the stress between them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from core.errors import StressError
from core.piece.piece import Geometry
from core.stress import slab, solid
from core.stress.batch import Batch, lay_out
from core.stress.conduction import Accuracy, Entry, Temperatures, conduct
from core.stress.gather import Fields, Left, gather
from core.stress.history import ChamberHistory
from core.stress.relaxation import follow_structure
from core.stress.result import PieceStress
from core.stress.section import Faces, FirstState, StressPiece
from core.stress.slab import Drive, Slabs, slab_stress
from core.stress.solid import Solids, solid_stress

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]


def stresses(
    pieces: Sequence[StressPiece],
    history: ChamberHistory,
    *,
    accuracy: Accuracy | None = None,
    stopped: Callable[[], bool] | None = None,
) -> tuple[PieceStress, ...]:
    """Stress that one chamber history leaves in each piece, and meets on the way.

    Parameters
    ----------
    pieces : sequence of StressPiece
        At least one.
    history : ChamberHistory
    accuracy : Accuracy, optional
    stopped : callable, optional
        Answers true when the work is to be given up.

    Returns
    -------
    tuple of PieceStress
        In the order of ``pieces``.

    Raises
    ------
    StressError
        If there is no piece, or one enters outside the history.
    StoppedError
        When stopped.
    """
    return stresses_of_each(pieces, (history,), accuracy=accuracy, stopped=stopped)[0]


def stresses_of_each(
    pieces: Sequence[StressPiece],
    histories: Sequence[ChamberHistory],
    *,
    accuracy: Accuracy | None = None,
    stopped: Callable[[], bool] | None = None,
) -> tuple[tuple[PieceStress, ...], ...]:
    """The same for several histories (candidate schedules) at once: one tuple a history.

    ``enters`` counts on each history's own clock.
    """
    if not pieces or not histories:
        raise StressError("There is no piece or no history to reckon with.", field="pieces")
    accuracy = accuracy or Accuracy()
    every = [piece for _ in histories for piece in pieces]
    which = [i for i in range(len(histories)) for _ in pieces]
    batch = lay_out(every, which, accuracy.nodes)
    heat, starts, ends = _follow_heat(every, histories, batch, accuracy, stopped)
    spans = np.searchsorted(heat.time, starts), np.searchsorted(heat.time, ends)
    fields, left = _follow_stress(every, batch, heat, spans[1])
    clocks = [float(histories[i].time[0]) for i in which]
    answers = gather(every, batch, fields, left, spans, clocks)
    width = len(pieces)
    return tuple(tuple(answers[i * width : (i + 1) * width]) for i in range(len(histories)))


def _follow_heat(
    pieces: Sequence[StressPiece],
    histories: Sequence[ChamberHistory],
    batch: Batch,
    accuracy: Accuracy,
    stopped: Callable[[], bool] | None,
) -> tuple[Temperatures, FloatArray, FloatArray]:
    """Temperatures, and first and last time of each section on the common clock."""
    clocks = [history.time - history.time[0] for history in histories]
    starts = np.zeros(batch.count)
    ends = np.array([clocks[i][-1] for i in batch.history])
    for row in range(batch.count):
        piece, history = pieces[batch.piece[row]], histories[batch.history[row]]
        if piece.enters is not None:
            starts[row] = piece.enters - history.time[0]
            if not 0.0 <= starts[row] < ends[row]:
                raise StressError(
                    f"“{piece.name}” is put in outside the time of the history.",
                    field="enters",
                    remedy="Check the time.",
                )
    corners = np.unique(np.concatenate([*clocks, starts]))
    chamber = np.empty((corners.size, batch.count))
    for i, (clock, history) in enumerate(zip(clocks, histories, strict=True)):
        mine = batch.history == i
        chamber[:, mine] = np.interp(corners, clock, history.temperature)[:, None]
    first = np.searchsorted(corners, starts)
    initial = _initial(pieces, batch, chamber[first, np.arange(batch.count)])
    entries = tuple(
        Entry(float(time), starts == time, initial) for time in np.unique(starts[starts > 0])
    )
    heat = conduct(batch, corners, chamber, initial, entries, ends, accuracy, stopped)
    return heat, starts, ends


def _initial(pieces: Sequence[StressPiece], batch: Batch, chamber: FloatArray) -> FloatArray:
    """Temperatures of every section as it enters [K]."""
    initial = np.repeat(chamber[:, None], batch.place.shape[1], axis=1)
    for row, section in enumerate(batch.sections):
        state = pieces[batch.piece[row]].first_state
        if state is not None:
            place = batch.place[row]
            if section.faces is Faces.SHELF:
                place = 2.0 * place - 1.0
            initial[row] = state.core + (state.skin - state.core) * place**2
    return initial


def _fictive(pieces: Sequence[StressPiece], batch: Batch, initial: FloatArray) -> FloatArray:
    """Fictive temperature of each section as it enters: its own, or the liquid's at rest."""
    rest = batch.resting_fictive.copy()
    for row in range(batch.count):
        state = pieces[batch.piece[row]].first_state or FirstState(300.0, 300.0)
        if state.fictive is not None:
            rest[row] = state.fictive
    return np.maximum(initial, rest[:, None])


def _follow_stress(
    pieces: Sequence[StressPiece], batch: Batch, heat: Temperatures, last: IntArray
) -> tuple[Fields, Left]:
    """Structure and stress of every kind of section, and what is left from its last step."""
    temperature = heat.temperature
    shape = temperature.shape
    initial = temperature[0].copy()
    for step, mask in heat.entries.items():
        initial[mask] = temperature[step][mask]
    first = _fictive(pieces, batch, initial)
    fields = Fields(heat.time, temperature, *(np.zeros(shape) for _ in range(5)))
    left = Left(*(np.zeros(shape[1:]) for _ in range(3)))
    for relaxation in dict.fromkeys(piece.relaxation for piece in pieces):
        mine = np.array([pieces[i].relaxation == relaxation for i in batch.piece])
        for rows in _kinds(batch, mine):
            a, b, t0 = (term[rows, None] for term in batch.liquid)
            resets = {n: mask[rows] for n, mask in heat.entries.items() if mask[rows].any()}
            own = temperature[:, rows]
            fictive, reduced = follow_structure(
                relaxation, (a, b, t0), heat.time, own, first[rows], resets
            )
            fields.fictive[:, rows] = fictive
            expansion = batch.expansion[rows, None]
            strain = expansion * np.diff(own, axis=0)
            liquid_extra = expansion * (relaxation.liquid_expansion_ratio - 1.0)
            strain += liquid_extra * np.diff(fictive, axis=0)
            shares, times = np.array(relaxation.shear_shares), np.array(relaxation.shear_times)
            drive = Drive(shares, times, reduced, strain, resets)
            # Evening out from the last step, elastically; only differences of strain matter.
            final = own[last[rows], np.arange(rows.size)]
            even = expansion * (final[:, :1] - final)
            if batch.sections[rows[0]].is_slab:
                _reckon_slabs(_slabs(pieces, batch, rows), drive, even, (fields, left, rows, last))
            else:
                _reckon_solids(_solids(batch, rows), drive, even, (fields, left, rows, last))
    return fields, left


_Where = tuple[Fields, Left, IntArray, IntArray]
"""Fields and rests to fill, the rows at hand, and the last step of every row."""


def _reckon_slabs(slabs: Slabs, drive: Drive, even: FloatArray, where: _Where) -> None:
    fields, left, rows, last = where
    stress = slab_stress(slabs, drive)
    for field in (fields.stress, fields.hoop, fields.largest):
        field[:, rows] = stress
    rest = stress[last[rows], np.arange(rows.size)] + slab.even_out(slabs, even)
    left.stress[rows] = left.hoop[rows] = rest


def _reckon_solids(solids: Solids, drive: Drive, even: FloatArray, where: _Where) -> None:
    fields, left, rows, last = where
    stress = solid_stress(solids, drive)
    fields.largest[:, rows] = stress.largest()
    added = solid.even_out(solids, even)
    for name, now, more in (
        ("stress", stress.axial, added.axial),
        ("hoop", stress.hoop, added.hoop),
        ("radial", stress.radial, added.radial),
    ):
        getattr(fields, name)[:, rows] = now
        getattr(left, name)[rows] = now[last[rows], np.arange(rows.size)] + more[0]


def _kinds(batch: Batch, mine: BoolArray) -> list[IntArray]:
    """Rows of slabs, cylinders and spheres among some."""
    slabs = np.array([section.is_slab for section in batch.sections])
    rows = []
    for geometry in (None, Geometry.CYLINDER, Geometry.SPHERE):
        if geometry is None:
            kind = slabs
        else:
            kind = ~slabs & np.array([s.geometry is geometry for s in batch.sections])
        found = np.flatnonzero(kind & mine)
        if found.size:
            rows.append(found)
    return rows


def _slabs(pieces: Sequence[StressPiece], batch: Batch, rows: IntArray) -> Slabs:
    own = np.arange(rows.size)
    joined = np.array([pieces[i].joined for i in batch.piece[rows]])
    _, group = np.unique(np.where(joined, batch.piece[rows], -1 - own), return_inverse=True)
    thickness = np.array([batch.sections[i].thickness for i in rows])
    share = np.zeros((int(group.max()) + 1, rows.size))
    share[group, own] = thickness
    share /= share.sum(axis=1, keepdims=True)
    return Slabs(
        weight=batch.weight[rows],
        place=batch.place[rows],
        thickness_share=share,
        group=group.astype(np.intp),
        bends=np.array([batch.sections[i].may_bend for i in rows]),
        shear_modulus=batch.shear_modulus[rows],
        bulk_modulus=batch.bulk_modulus[rows],
    )


def _solids(batch: Batch, rows: IntArray) -> Solids:
    power = 1 if batch.sections[rows[0]].geometry is Geometry.CYLINDER else 2
    return Solids(power, batch.weight[rows[0]], batch.shear_modulus[rows], batch.bulk_modulus[rows])
