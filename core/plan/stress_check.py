"""What a replay through the stress engine says of a plan: each stress beside what is allowed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.load.load import StressLimits
from core.plan.corners import Corner


class Limit(StrEnum):
    """Which stress is held to a limit."""

    PERMANENT = "core tension left for good"
    PERMANENT_JOINT = "stress left for good between wall and base"
    TEMPORARY = "tension on the way"
    TEMPORARY_JOINT = "stress between wall and base on the way"


def allowed(limits: StressLimits) -> dict[Limit, float]:
    """What the engine's stresses are held to [Pa].

    Permanent stresses to their limits as they are: the engine reckons what the safety factor has
    to cover in the closed forms, and what is uncertain is covered by the corners. Stresses on the
    way to their limits over the safety factor: those are strengths, and the skin's is never known.
    """
    return {
        Limit.PERMANENT: limits.permanent_tension,
        Limit.PERMANENT_JOINT: limits.permanent_wall_base,
        Limit.TEMPORARY: limits.allowed_temporary_tension,
        Limit.TEMPORARY_JOINT: limits.allowed_temporary_wall_base,
    }


@dataclass(frozen=True)
class StressCheck:
    """One stress of one piece, at the corner where it is worst.

    Attributes
    ----------
    piece : str
    limit : Limit
    segment : int or None
        Index of the segment it is met in; ``None`` for what is left for good.
    stress, allowed : float
        [Pa].
    corner : Corner
    """

    piece: str
    limit: Limit
    segment: int | None
    stress: float
    allowed: float
    corner: Corner

    @property
    def margin(self) -> float:
        """How many times the stress would fit into what is allowed."""
        return self.allowed / self.stress if self.stress > 0 else float("inf")


@dataclass(frozen=True)
class Replay:
    """Outcome of putting a plan through the stress engine.

    Attributes
    ----------
    checks : tuple of StressCheck
        The worst of every limit for every piece, in the order of the load.
    corners : tuple of Corner
        At which it was replayed.
    """

    checks: tuple[StressCheck, ...]
    corners: tuple[Corner, ...]

    @property
    def worst(self) -> StressCheck:
        """The check with the smallest margin."""
        return min(self.checks, key=lambda check: check.margin)

    @property
    def margin(self) -> float:
        """The smallest margin; below 1 some limit is passed."""
        return self.worst.margin

    @property
    def safe(self) -> bool:
        """True when every stress of every piece at every corner is within what is allowed."""
        return self.margin >= 1.0
