"""A finished plan put through the stress engine: whether it is safe, and by how much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Lehr
from core.load.load_stress import drawn_history
from core.plan.cooling import EVENING_OUT
from core.plan.plan import Segment
from core.plan.setting import Setting
from core.plan.stress_check import Limit, Replay, StressCheck
from core.plan.trials import COARSE, FINAL, Case, ratios_of, rows_of
from core.stress.accuracy import Accuracy
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.result import PieceStress

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Replayed:
    """A replay with its figures: ln of stress over allowed, shape (cases, columns).

    ``answers`` are the engine's own, one a case, to the true chamber temperatures ``history``.
    """

    replay: Replay
    figures: FloatArray
    cases: tuple[Case, ...]
    answers: tuple[PieceStress, ...]
    history: ChamberHistory


def curve_of(
    segments: Sequence[Segment], lehr: Lehr, past: ChamberHistory | None = None
) -> tuple[ChamberHistory, FloatArray]:
    """True chamber history of segments from the start of the first [s], and their ends.

    Times of the past are negative. The last stage goes on, at the same temperature, until
    everything is even.
    """
    origin = segments[0].start
    time: list[float] = []
    reading: list[float] = []
    for segment in segments:
        begin = (segment.start - origin).total_seconds()
        time.extend(begin + t for t in segment.curve_time)
        reading.extend(segment.curve_temperature)
    ends = np.array([(segment.end - origin).total_seconds() for segment in segments])
    ends[-1] = np.inf
    time.append(time[-1] + EVENING_OUT)
    reading.append(reading[-1])
    ahead = drawn_history(time, reading, lehr)
    if past is None:
        return ahead, ends
    return ChamberHistory(
        np.concatenate((past.time[:-1] - past.time[-1], ahead.time)),
        np.concatenate((past.temperature[:-1], ahead.temperature)),
    ), ends


def replayed(
    segments: Sequence[Segment],
    setting: Setting,
    accuracy: Accuracy = COARSE,
    cases: Sequence[Case] | None = None,
    melted: float | None = None,
) -> Replayed:
    """Put segments through the engine at all corners of a setting.

    Every piece is there, and even, from the start, at the chamber's temperature, unless it is
    known how it came; a casting from when it is one mass (``melted``, seconds from the start).
    """
    cases = tuple(cases or setting.cases)
    history, ends = curve_of(segments, setting.lehr, setting.past)
    pieces = [case.piece for case in cases]
    if setting.came:
        pieces = [setting.came[case.index].of(case.piece, melted) for case in cases]
    chilled = any(p.first_state and p.first_state.core != p.first_state.skin for p in pieces)
    # The engine itself knows how much finer a chilled skin has to be followed.
    used = None if chilled and accuracy == FINAL else accuracy
    answers = stresses(pieces, history, accuracy=used)
    table = np.stack(
        [ratios_of(answer, ends, case.allowed) for answer, case in zip(answers, cases, strict=True)]
    )
    return _with_table(table, cases, answers, history, setting)


def with_figures(outcome: Replayed, table: FloatArray, setting: Setting) -> Replayed:
    """The same replay with other ratios of stress to what is allowed."""
    return _with_table(table, outcome.cases, outcome.answers, outcome.history, setting)


def _with_table(
    table: FloatArray,
    cases: tuple[Case, ...],
    answers: tuple[PieceStress, ...],
    history: ChamberHistory,
    setting: Setting,
) -> Replayed:
    checks = _checks(table, cases, setting, (table.shape[1] - 2) // 2)
    corners = tuple(dict.fromkeys(case.corner for case in cases))
    figures = np.log(np.maximum(table, 1e-3))
    return Replayed(Replay(checks, corners), figures, cases, answers, history)


def _checks(
    table: FloatArray, cases: Sequence[Case], setting: Setting, segments: int
) -> tuple[StressCheck, ...]:
    rows = rows_of(segments - 1)
    checks = []
    for index in dict.fromkeys(case.index for case in cases):
        mine = [i for i, case in enumerate(cases) if case.index == index]
        piece = setting.night.load.pieces[index]
        may = cases[mine[0]].allowed
        for limit in Limit:
            columns = [j for j, row in enumerate(rows) if row.limit is limit]
            part = table[np.ix_(mine, columns)]
            at, column = np.unravel_index(int(part.argmax()), part.shape)
            value = float(part[at, column])
            if value == 0.0:
                continue
            checks.append(
                StressCheck(
                    piece=piece.name,
                    limit=limit,
                    segment=rows[columns[column]].ramp,
                    stress=value * may[limit],
                    allowed=may[limit],
                    corner=cases[mine[at]].corner,
                )
            )
    return tuple(checks)
