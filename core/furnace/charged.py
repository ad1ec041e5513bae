"""What went into the pots: sums by day, and what is doubtful about an entry."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo

from core.errors import FurnaceError
from core.furnace.ledger import Charge, Pot

CLOCK_SLACK = timedelta(minutes=1)
"""An entry may be this far ahead: a time is typed in whole minutes."""


@dataclass(frozen=True)
class DayCharged:
    """What one pot was given on one day.

    Attributes
    ----------
    day : date
        Local.
    pot : str
    mass : float
        [kg].
    first : datetime
        Time of the first charge.
    """

    day: date
    pot: str
    mass: float
    first: datetime


def charged_by_day(charges: Iterable[Charge], zone: tzinfo | None = None) -> tuple[DayCharged, ...]:
    """Mass charged into each pot on each local day, in order of day and pot.

    Parameters
    ----------
    charges : iterable of Charge
        In any order.
    zone : tzinfo, optional
        In whose clock a day begins; the machine's own when left out.
    """
    found: dict[tuple[date, str], list[Charge]] = {}
    for charge in charges:
        day = charge.time.astimezone(zone).date()
        found.setdefault((day, charge.pot), []).append(charge)
    return tuple(
        DayCharged(
            day,
            pot,
            math.fsum(charge.mass for charge in those),
            min(charge.time for charge in those),
        )
        for (day, pot), those in sorted(found.items())
    )


def charged_on(
    day: date, charges: Iterable[Charge], zone: tzinfo | None = None
) -> tuple[DayCharged, ...]:
    """What each pot was given on one local day, by pot; pots that got nothing are left out."""
    return tuple(one for one in charged_by_day(charges, zone) if one.day == day)


def overfills(mass: float, pot: Pot) -> bool:
    """Tell whether a charge [kg] alone is more than the pot holds; never, if that is not known."""
    return pot.capacity is not None and mass > pot.capacity


def require_happened(time: datetime, now: datetime) -> None:
    """Refuse an entry for a time that has not come yet.

    Raises
    ------
    FurnaceError
        If ``time`` is more than :data:`CLOCK_SLACK` after ``now`` (both aware).
    """
    if time > now + CLOCK_SLACK:
        raise FurnaceError(
            "This time has not come yet.", field="time", remedy="Check the clock time and the day."
        )
