"""Where a night has got to by its plan."""

from __future__ import annotations

from datetime import datetime

from core.plan.plan import Plan, Segment


def segment_at(plan: Plan, moment: datetime) -> Segment | None:
    """The segment that runs at a moment; ``None`` before the start and after the last.

    Parameters
    ----------
    plan : Plan
    moment : datetime
        Aware. A moment at which one segment ends and the next begins belongs to the next.
    """
    for segment in plan.segments:
        if segment.start <= moment < segment.end:
            return segment
    return None


def planned_now(plan: Plan, moment: datetime) -> float | None:
    """Controller reading [K] the plan has at a moment; ``None`` before its start and after it."""
    value = float(plan.temperature_at([moment.timestamp()])[0])
    return value if value == value else None  # noqa: PLR0124 -- NaN outside the plan
