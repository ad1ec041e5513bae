"""Clock times of a night, with the weekday where the night is longer than a day."""

from __future__ import annotations

from datetime import datetime, timedelta, tzinfo

from app.local_time import clock_text, weekday_clock
from core.plan.plan import Plan


def night_clock(moment: datetime, plan: Plan, zone: tzinfo | None) -> str:
    """``"06:28"``, or ``"Sun 16:29"`` where the clock alone could mean several days."""
    text = clock_text(moment, zone)
    end = plan.ready_at if plan.out_by is None else max(plan.ready_at, plan.out_by)
    if end - plan.start < timedelta(days=1):
        return text
    return weekday_clock(moment, zone)
