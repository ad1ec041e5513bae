"""Whether a planned charge is still to come, due, late or made."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

_SLACK = timedelta(minutes=5)
"""A charge is due, not late, so long after its time."""
_SOON = timedelta(minutes=15)


class Due(StrEnum):
    """Where a planned charge stands."""

    TO_COME = "to come"
    DUE = "due"
    LATE = "late"
    DONE = "done"


@dataclass(frozen=True)
class ChargeDue:
    """Where a planned charge stands, and by how much it is or was late [s]; early is negative."""

    due: Due
    late: float


def charge_due(planned: datetime, now: datetime, charged: datetime | None = None) -> ChargeDue:
    """Judge a planned charge.

    Parameters
    ----------
    planned, now : datetime
        Aware.
    charged : datetime, optional
        When it was made.
    """
    if charged is not None:
        return ChargeDue(Due.DONE, (charged - planned).total_seconds())
    late = now - planned
    if late > _SLACK:
        return ChargeDue(Due.LATE, late.total_seconds())
    return ChargeDue(Due.DUE if -late <= _SOON else Due.TO_COME, late.total_seconds())
