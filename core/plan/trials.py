"""Candidate coolings put through the stress engine, many at once, and what each limit says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Lehr
from core.plan.cooling import Cooling
from core.plan.corners import Corner
from core.plan.stress_check import Limit
from core.stress.accuracy import Accuracy
from core.stress.engine import stresses_of_each
from core.stress.history import ChamberHistory
from core.stress.result import PieceStress
from core.stress.section import StressPiece

FloatArray = NDArray[np.float64]

COARSE = Accuracy(nodes=5, temperature_share=0.1, temperature_floor=2.0, largest_shift=1.2)
"""Quick, for searching: within a few per cent of the engine's usual accuracy."""
STEADY = Accuracy(nodes=5, temperature_share=0.05, temperature_floor=0.5, largest_shift=0.6)
"""For the end of a search: half as dear again, and five times nearer the engine's usual accuracy
from one cooling to the next, so that slopes are the cooling's and not the steps'."""
FINAL = Accuracy()
"""The engine's usual accuracy, with which every finished curve is replayed."""


@dataclass(frozen=True)
class Case:
    """One piece at one corner.

    Attributes
    ----------
    index : int
        Of the piece in the load.
    corner : Corner
    piece : StressPiece
    may : tuple of float
        What is allowed of each stress, in the order of :class:`Limit` [Pa].
    """

    index: int
    corner: Corner
    piece: StressPiece
    may: tuple[float, ...]

    @property
    def allowed(self) -> dict[Limit, float]:
        """What is allowed of each stress [Pa]."""
        return dict(zip(Limit, self.may, strict=True))


@dataclass(frozen=True)
class Row:
    """What one column of the ratios stands for; ``ramp`` is ``None`` for permanent stress."""

    limit: Limit
    ramp: int | None


def rows_of(ramps: int) -> tuple[Row, ...]:
    """Columns of the ratios: two permanent ones, then two for every ramp and the coasting."""
    rows = [Row(Limit.PERMANENT, None), Row(Limit.PERMANENT_JOINT, None)]
    for ramp in range(ramps + 1):
        rows += [Row(Limit.TEMPORARY, ramp), Row(Limit.TEMPORARY_JOINT, ramp)]
    return tuple(rows)


def ratios(
    cases: Sequence[Case],
    coolings: Sequence[Cooling],
    lehr: Lehr,
    end: float,
    accuracy: Accuracy = COARSE,
    past: ChamberHistory | None = None,
) -> FloatArray:
    """Ln of every stress over what is allowed, shape (coolings, cases, columns of ``rows_of``).

    Parameters
    ----------
    cases : sequence of Case
    coolings : sequence of Cooling
        All with the same number of ramps.
    lehr : Lehr
    end : float
        Chamber temperature [K] down to which coasting is followed.
    accuracy : Accuracy
    past : ChamberHistory, optional
        What led to where the coolings begin; it counts for what stays, not for what was met in it.
    """
    histories = [cooling.history(lehr, end, past) for cooling in coolings]
    answers = stresses_of_each([case.piece for case in cases], histories, accuracy=accuracy)
    table = np.stack(
        [
            np.stack(
                [
                    ratios_of(answer, _ends(cooling), case.allowed)
                    for answer, case in zip(each, cases, strict=True)
                ]
            )
            for each, cooling in zip(answers, coolings, strict=True)
        ]
    )
    return np.log(np.maximum(table, 1e-3))


def _ends(cooling: Cooling) -> FloatArray:
    return np.append(np.cumsum(cooling.ramp_times()), np.inf)


def ratios_of(stress: PieceStress, ends: FloatArray, may: Mapping[Limit, float]) -> FloatArray:
    """Every stress of a piece over what is allowed, in the columns of ``rows_of``.

    Parameters
    ----------
    stress : PieceStress
    ends : ndarray, shape (stages,)
        When each stage ends, on the history's clock [s], rising; what is met before 0 is past.
    may : mapping of Limit to float
        [Pa].
    """
    count = ends.size
    found = np.zeros(2 + 2 * count)
    found[0] = stress.permanent_core / may[Limit.PERMANENT]
    found[1] = stress.permanent_joint / may[Limit.PERMANENT_JOINT]
    for section in stress.sections:
        # A step belongs to the ramp it ends in, to within a thousandth of a second.
        ramp = np.where(section.time < 0.0, -1, np.searchsorted(ends + 1e-3, section.time))
        tension = section.stress.max(axis=1) / may[Limit.TEMPORARY]
        joint = np.abs(section.joint_stress) / may[Limit.TEMPORARY_JOINT]
        for i in range(count):
            inside = ramp == i
            if inside.any():
                found[2 + 2 * i] = max(found[2 + 2 * i], float(tension[inside].max()))
                found[3 + 2 * i] = max(found[3 + 2 * i], float(joint[inside].max()))
    return found
