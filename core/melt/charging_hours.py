"""Hours of the day in which nobody charges: the night's sleep, the neighbours' peace."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta, tzinfo

from core.errors import FurnaceError


@dataclass(frozen=True)
class ClosedHours:
    """From one clock time to another, every day; over midnight where the end comes first.

    Attributes
    ----------
    start, end : time
        Without zone; the end itself is open again.
    zone : tzinfo or None
        Whose clock; ``None``: the machine's own.

    Raises
    ------
    FurnaceError
        If they are the same.
    """

    start: time
    end: time
    zone: tzinfo | None = None

    def __post_init__(self) -> None:
        if self.start == self.end:
            raise FurnaceError(
                "Hours without charges begin and end at the same time.",
                field="closed",
                remedy="Give two times, such as 00:30 and 06:00.",
            )

    def holds(self, moment: datetime) -> bool:
        """Tell whether an aware moment lies in these hours."""
        clock = moment.astimezone(self.zone).time()
        if self.start < self.end:
            return self.start <= clock < self.end
        return clock >= self.start or clock < self.end

    def over(self, moment: datetime) -> datetime:
        """The moment itself, or the end of these hours if it lies in them; UTC."""
        if not self.holds(moment):
            return moment.astimezone(UTC)
        local = moment.astimezone(self.zone)
        day = local.date()
        if self.end <= local.time():
            day += timedelta(days=1)
        end = datetime.combine(day, self.end)
        aware = end.replace(tzinfo=self.zone) if self.zone else end.astimezone()
        return aware.astimezone(UTC)


def first_open(moment: datetime, closed: Sequence[ClosedHours]) -> datetime | None:
    """First moment from an aware one on that lies in none of these hours; ``None``: never."""
    now = moment.astimezone(UTC)
    for _ in range(4 * len(closed) + 1):
        later = now
        for hours in closed:
            later = hours.over(later)
        if later == now:
            return now
        now = later
        if now - moment > timedelta(days=2):
            break
    return None
