"""Times typed into the book of a run lie in the past."""

from __future__ import annotations

from datetime import datetime

from app.local_time import day_and_clock
from app.studio import Studio
from core.errors import RunError


def refuse_future(moment: datetime, studio: Studio, field: str) -> None:
    """Raise RunError for a time still to come, such as 23:50 typed just after midnight."""
    now = studio.now()
    if moment > now:
        when = day_and_clock(moment, now=now, zone=studio.zone)
        raise RunError(
            f"{when[0].upper()}{when[1:]} is still to come.",
            field=field,
            remedy="For last night, choose the day before.",
        )
