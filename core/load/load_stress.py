"""What a chamber history leaves in tonight's pieces: the load as the stress engine takes it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from core.equipment.lehr import Lehr
from core.glass.properties import properties_of
from core.load.load import Load, StressLimits
from core.load.placed import first_state_of, shelf_under, shifted
from core.load.reheating import ReheatKind
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.log_reduction import history_from_log
from core.stress.result import Judgement, PieceStress, judge
from core.stress.section import StressPiece, stress_piece

_SAME_TIME = 1e-3
"""[s] Corners nearer than this are one; clock times are kept to the microsecond."""

_AS_HOT = 10.0
"""[K] below the hottest at which a casting is still held."""


def stress_pieces(load: Load) -> tuple[StressPiece, ...]:
    """The pieces of a load, in its order, each at its place; there when the history begins.

    A place hotter than the thermocouple's softens the glass by as much.
    """
    properties = {name: properties_of(glass) for name, glass in load.glasses.items()}
    pieces = []
    for piece in load.pieces:
        placing = load.placing_of(piece)
        glass = shifted(properties[piece.glass], -placing.hotter)
        pieces.append(
            stress_piece(
                piece, glass, shelf=shelf_under(placing), first_state=first_state_of(placing)
            )
        )
    return tuple(pieces)


def limits_of_pieces(load: Load) -> tuple[StressLimits, ...]:
    """Limits of every piece of a load, in its order: the load's own, or its grade's."""
    if not (load.piece_limits or load.strengths):
        return (load.limits,) * len(load.pieces)
    properties = {name: properties_of(glass) for name, glass in load.glasses.items()}
    return tuple(
        load.limits_of(piece, properties[piece.glass].stress_optical_coefficient.value)
        for piece in load.pieces
    )


def drawn_history(time: ArrayLike, reading: ArrayLike, lehr: Lehr) -> ChamberHistory:
    """Chamber history of a drawn curve of controller readings, such as a plan's.

    Parameters
    ----------
    time : array_like, shape (n,)
        [s], never decreasing; of corners at the same time the last counts.
    reading : array_like, shape (n,)
        Controller readings [K].
    lehr : Lehr
        Whose thermocouple offset is taken off.

    Raises
    ------
    StressError
        As :class:`~core.stress.history.ChamberHistory`.
    """
    times = np.asarray(time, dtype=np.float64)
    true = np.asarray(reading, dtype=np.float64) - lehr.thermocouple_offset
    last = np.append(np.abs(np.diff(times)) > _SAME_TIME, True)
    return ChamberHistory(times[last], true[last])


def logged_history(time: ArrayLike, reading: ArrayLike, lehr: Lehr) -> ChamberHistory:
    """Chamber history of a log of controller readings, brought to few corners.

    Parameters
    ----------
    time : array_like, shape (n,)
        [s], strictly rising.
    reading : array_like, shape (n,)
        [K].
    lehr : Lehr
        Whose thermocouple offset is taken off.

    Raises
    ------
    StressError
        As :func:`~core.stress.log_reduction.history_from_log`.
    """
    true = np.asarray(reading, dtype=np.float64) - lehr.thermocouple_offset
    return history_from_log(time, true)


def stresses_of_load(
    load: Load, history: ChamberHistory, stopped: Callable[[], bool] | None = None
) -> tuple[PieceStress, ...]:
    """Stress of every piece of a load, in its order.

    Pieces are there from the start of the history, or from when they went in or the button was
    pressed where that lies within it (what the lehr did before, it did without them); they are even
    then, at the chamber's temperature, unless it is known how they came. A casting is followed from
    when the chamber was last hottest: before that it is cullet.

    Parameters
    ----------
    load : Load
    history : ChamberHistory
        Times as UTC epoch seconds.
    stopped : callable, optional
        Answers true when the work is to be given up.

    Raises
    ------
    StressError
        If no stress can be reckoned for a piece.
    StoppedError
        When stopped.
    """
    pieces = tuple(
        replace(made, enters=moment) if history.time[0] < moment < history.time[-1] else made
        for made, moment in zip(stress_pieces(load), entries_of(load, history), strict=True)
    )
    return stresses(pieces, history, stopped=stopped)


def entries_of(load: Load, history: ChamberHistory) -> list[float]:
    """When each piece goes in, or a casting is one mass, on the clock [UTC epoch s]."""
    if load.reheating is not None and load.reheating.kind is ReheatKind.CASTING:
        hot = history.temperature > history.temperature.max() - _AS_HOT
        melted = float(history.time[np.flatnonzero(hot)[-1]])
        return [melted] * len(load.pieces)
    placed = [load.placing_of(piece).put_in or load.button_time for piece in load.pieces]
    return [moment.timestamp() for moment in placed]


def judge_by(limits: StressLimits, stress: PieceStress) -> Judgement:
    """A piece's stresses beside what is allowed, as the planner holds them.

    Permanent stresses beside their limits as they are: the engine reckons what the safety factor
    has to cover in the closed forms. Stresses on the way beside their limits over the safety
    factor: those limits are strengths.

    Parameters
    ----------
    limits : StressLimits
        Of this piece (:func:`limits_of_pieces`).
    stress : PieceStress
    """
    return judge(
        stress,
        permanent_tension=limits.permanent_tension,
        temporary_tension=limits.allowed_temporary_tension,
        permanent_joint=limits.permanent_wall_base,
        temporary_joint=limits.allowed_temporary_wall_base,
    )
