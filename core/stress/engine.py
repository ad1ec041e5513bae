"""The engine: pieces and chamber histories in, stresses out.

Conduction and structure are followed together, each piece at its own pace, then stress, for all
sections of all pieces at once: neither temperature nor structure depends on stress.

Valid for sections whose temperature depends on depth alone (one-dimensional), small strain, and a
glass opaque to its own radiation (heat carried by radiation within thick clear glass above some
600 °C is left out, so hot cores are held to be slower than they are). Open ends, corners, feet and
handles are not covered. Sections joined in one vessel share a membrane strain and cannot bend,
which bounds the stress between them.

What the constants leave open: elastic bulk holds some 6 % more stress than the relaxing bulk of the
same authors' table; an expansion of the liquid of 32 in place of 25.1e-6 1/K gives 18 % more,
structure four in place of nine times slower than stress 8 % more (each checked by an independent
solution). Permanent stress is thus known to about -6/+20 % for soda-lime glass, worse for others.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from core.errors import StressError
from core.piece.piece import Geometry
from core.stress import slab, solid
from core.stress.accuracy import FOR_A_CHILLED_SKIN, Accuracy
from core.stress.batch import Batch, lay_out
from core.stress.clocks import Course
from core.stress.drive import Drive
from core.stress.gather import Fields, Left, gather
from core.stress.history import ChamberHistory
from core.stress.march import Paths, march
from core.stress.result import PieceStress
from core.stress.section import Faces, StressPiece
from core.stress.slab import Slabs, slab_stress
from core.stress.solid import Solids, solid_stress
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
ROOM = ZERO_CELSIUS + 20.0
"""Temperature at which stress is permanent [K]; that it is even is what counts."""


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
        By default the usual one, finer for pieces that come with a chilled skin.
    stopped : callable, optional
        Answers true when the work is to be given up.

    Returns
    -------
    tuple of PieceStress
        In the order of ``pieces``.

    Raises
    ------
    StressError
        If there is no piece, one enters outside the history, or it cannot be followed.
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
    if accuracy is not None:
        return _reckoned(pieces, histories, accuracy, stopped)
    # Where a hot core meets a chilled skin, relaxation times differ by decades from node to node.
    answers: list[list[PieceStress]] = [[] for _ in histories]
    for wanted, chosen in ((False, Accuracy()), (True, FOR_A_CHILLED_SKIN)):
        some = [piece for piece in pieces if _has_chilled_skin(piece) is wanted]
        if some:
            for answer, found in zip(
                answers, _reckoned(some, histories, chosen, stopped), strict=True
            ):
                answer.extend(found)
    order = np.argsort([_has_chilled_skin(piece) for piece in pieces], kind="stable")
    place = np.argsort(order).tolist()
    return tuple(tuple(answer[i] for i in place) for answer in answers)


def _has_chilled_skin(piece: StressPiece) -> bool:
    state = piece.first_state
    return state is not None and state.core != state.skin


def _reckoned(
    pieces: Sequence[StressPiece],
    histories: Sequence[ChamberHistory],
    accuracy: Accuracy,
    stopped: Callable[[], bool] | None,
) -> tuple[tuple[PieceStress, ...], ...]:
    """Every piece through every history, at one accuracy."""
    every = [piece for _ in histories for piece in pieces]
    courses, clocks = [], []
    for history in histories:
        for piece in pieces:
            course, clock = _course(piece, history)
            courses.append(course)
            clocks.append(clock)
    batch = lay_out(every, accuracy.nodes)
    first = _first_temperatures(every, batch, np.array([c.temperature[0] for c in courses]))
    paths = march(batch, courses, first, _first_fictive(every, batch, first), accuracy, stopped)
    fields, left = _follow_stress(every, batch, paths)
    answers = gather(every, batch, fields, left, clocks)
    width = len(pieces)
    return tuple(tuple(answers[i * width : (i + 1) * width]) for i in range(len(histories)))


def _course(piece: StressPiece, history: ChamberHistory) -> tuple[Course, float]:
    """Chamber temperatures from when a piece enters, and that time on the history's clock."""
    if piece.enters is None:
        start = float(history.time[0])
        return Course(history.time - start, history.temperature), start
    start = piece.enters
    if not history.time[0] <= start < history.time[-1]:
        raise StressError(
            f"“{piece.name}” is put in outside the time of the history.",
            field="enters",
            remedy="Check the time.",
        )
    later = history.time > start
    entry = float(np.interp(start, history.time, history.temperature))
    time = np.concatenate(([0.0], history.time[later] - start))
    return Course(time, np.concatenate(([entry], history.temperature[later]))), start


def _first_temperatures(
    pieces: Sequence[StressPiece], batch: Batch, chamber: FloatArray
) -> FloatArray:
    """Temperatures of every section as it enters [K]."""
    initial = np.repeat(chamber[batch.piece, None], batch.place.shape[1], axis=1)
    for row, section in enumerate(batch.sections):
        state = pieces[batch.piece[row]].first_state
        if state is not None:
            place = batch.place[row]
            if section.faces is Faces.SHELF:
                place = 2.0 * place - 1.0
            initial[row] = state.core + (state.skin - state.core) * place**2
    return initial


def _first_fictive(pieces: Sequence[StressPiece], batch: Batch, initial: FloatArray) -> FloatArray:
    """Fictive temperature of each section as it enters: its own, or the liquid's at rest."""
    rest = batch.resting_fictive.copy()
    for row, piece in enumerate(batch.piece):
        state = pieces[piece].first_state
        if state is not None and state.fictive is not None:
            rest[row] = state.fictive
    return np.maximum(initial, rest[:, None])


def _follow_stress(
    pieces: Sequence[StressPiece], batch: Batch, paths: Paths
) -> tuple[Fields, Left]:
    """Stress of every kind of section, and what is left from its last step."""
    shape = paths.temperature.shape
    fields = Fields(paths, *(np.zeros(shape) for _ in range(4)))
    left = Left(*(np.zeros(shape[1:]) for _ in range(3)))
    warming = batch.expansion[:, None] * np.diff(paths.temperature, axis=0)
    settling = batch.liquid_extra[:, None] * np.diff(paths.fictive, axis=0)
    uneven = batch.expansion[:, None] * paths.bend + settling * paths.fictive_bend
    # Evening out from the last step, elastically, to one temperature for all sections of a piece.
    even = batch.expansion[:, None] * (ROOM - paths.temperature[-1])
    for rows in _kinds(batch):
        drive = Drive(
            shares=batch.shear_shares[:, rows, None],
            rates=1.0 / batch.shear_times[:, rows, None],
            twice_shear=2.0 * batch.shear_modulus[rows, None],
            reduced=paths.reduced[:, rows],
            skew=paths.skew[:, rows],
            strain=warming[:, rows] + settling[:, rows],
            uneven=uneven[:, rows],
        )
        if batch.sections[rows[0]].is_slab:
            _reckon_slabs(_slabs(pieces, batch, rows), drive, even[rows], (fields, left, rows))
        else:
            _reckon_solids(_solids(batch, rows), drive, even[rows], (fields, left, rows))
    return fields, left


_Where = tuple[Fields, Left, IntArray]
"""Fields and rests to fill, and the rows at hand."""


def _reckon_slabs(slabs: Slabs, drive: Drive, even: FloatArray, where: _Where) -> None:
    fields, left, rows = where
    stress = slab_stress(slabs, drive)
    for field in (fields.stress, fields.hoop, fields.largest):
        field[:, rows] = stress
    left.stress[rows] = left.hoop[rows] = stress[-1] + slab.even_out(slabs, even)


def _reckon_solids(solids: Solids, drive: Drive, even: FloatArray, where: _Where) -> None:
    fields, left, rows = where
    stress = solid_stress(solids, drive)
    fields.largest[:, rows] = stress.largest()
    added = solid.even_out(solids, even)
    for name, now, more in (
        ("stress", stress.axial, added.axial),
        ("hoop", stress.hoop, added.hoop),
        ("radial", stress.radial, added.radial),
    ):
        getattr(fields, name)[:, rows] = now
        getattr(left, name)[rows] = now[-1] + more


def _kinds(batch: Batch) -> list[IntArray]:
    """Rows of slabs, cylinders and spheres."""
    kinds = np.array([0 if s.is_slab else list(Geometry).index(s.geometry) for s in batch.sections])
    return [np.flatnonzero(kinds == kind) for kind in np.unique(kinds)]


def _slabs(pieces: Sequence[StressPiece], batch: Batch, rows: IntArray) -> Slabs:
    piece = batch.piece[rows]
    joined = np.array([pieces[i].joined for i in piece])
    with_last = joined[1:] & (np.diff(piece) == 0)
    group = np.concatenate(([0], np.cumsum(~with_last)))
    return Slabs(
        weight=batch.weight[rows],
        place=batch.place[rows],
        thickness=np.array([batch.sections[i].thickness for i in rows]),
        group=group.astype(np.intp),
        bends=np.array([batch.sections[i].may_bend for i in rows]),
        shear_modulus=batch.shear_modulus[rows],
        bulk_modulus=batch.bulk_modulus[rows],
    )


def _solids(batch: Batch, rows: IntArray) -> Solids:
    power = 1 if batch.sections[rows[0]].geometry is Geometry.CYLINDER else 2
    return Solids(power, batch.weight[rows[0]], batch.shear_modulus[rows], batch.bulk_modulus[rows])
