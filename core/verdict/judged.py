"""One piece through everything it may have been through, before anything is said of it."""

from __future__ import annotations

from dataclasses import dataclass

from core.plan.stress_check import Limit
from core.stress.result import PieceStress


@dataclass(frozen=True, eq=False)
class Judged:
    """One piece through everything it may have been through.

    Attributes
    ----------
    believed : PieceStress
        As believed, straight lines across gaps.
    courses : tuple of PieceStress
        As believed, in the extreme courses of the gaps.
    soft, stiff : tuple of PieceStress
        At either corner, in all courses, the straight one first.
    """

    believed: PieceStress
    courses: tuple[PieceStress, ...]
    soft: tuple[PieceStress, ...]
    stiff: tuple[PieceStress, ...]


def stress_of(stress: PieceStress, limit: Limit) -> float:
    """The stress a limit is for [Pa]."""
    if limit is Limit.PERMANENT:
        return stress.permanent_core
    if limit is Limit.PERMANENT_JOINT:
        return stress.permanent_joint
    if limit is Limit.TEMPORARY:
        return stress.peak.stress
    return stress.peak_joint
