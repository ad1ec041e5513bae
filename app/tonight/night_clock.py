"""Clock times of a night, with the weekday where the night is longer than a day."""

from __future__ import annotations

from datetime import datetime, timedelta, tzinfo

from PySide6.QtCore import QDate, QLocale

from app.local_time import clock_text, to_local
from core.plan.plan import Plan


def night_clock(moment: datetime, plan: Plan, zone: tzinfo | None) -> str:
    """``"06:28"``, or ``"Sun 16:29"`` where the clock alone could mean several days."""
    text = clock_text(moment, zone)
    end = plan.ready_at if plan.out_by is None else max(plan.ready_at, plan.out_by)
    if end - plan.start < timedelta(days=1):
        return text
    day = to_local(moment, zone).date()
    return f"{QLocale().toString(QDate(day.year, day.month, day.day), 'ddd')} {text}"
