"""A cooling brought to what the controller takes, without making it quicker where glass freezes."""

from __future__ import annotations

from core.equipment.lehr import Entry, Lehr
from core.errors import PlanError
from core.plan import words
from core.plan.cooling import Cooling
from core.plan.night import LONGEST_NIGHT
from core.plan.rounding import (
    rate_step_down,
    whole_minutes_up,
    whole_reading_down,
    whole_reading_up,
)


def keyed(cooling: Cooling, lehr: Lehr) -> Cooling:
    """Corners at whole readings, rates at whole steps (or ramps of whole minutes).

    Each corner moves so that the slower of its two ramps grows longer; rates go down.

    Raises
    ------
    PlanError
        If the controller's smallest rate is too fast, or the ramp longer than 60 days.
    """
    bottoms: list[float] = []
    rates = cooling.rates
    for place, bottom in enumerate(cooling.bottoms):
        slower_below = place + 1 < len(rates) and rates[place + 1] < rates[place]
        whole = whole_reading_up if slower_below else whole_reading_down
        bottoms.append(whole(bottom, lehr))
    kept_bottoms: list[float] = []
    kept_rates: list[float] = []
    top = cooling.soak
    for bottom, rate in zip(bottoms, rates, strict=True):
        if top - bottom < 0.5:  # no degree is left of it
            continue
        kept_bottoms.append(bottom)
        kept_rates.append(keyed_rate(top - bottom, rate, lehr))
        top = bottom
    return Cooling(cooling.soak, tuple(kept_bottoms), tuple(kept_rates))


def keyed_rate(fall: float, rate: float, lehr: Lehr) -> float:
    """The rate [K/s] of a ramp that falls so far [K], as the controller takes it."""
    controller = lehr.controller
    if controller.entry is Entry.RATE:
        step = rate_step_down(rate, controller)
        if step <= 0:
            raise PlanError(
                words.too_coarse(rate, controller),
                field="rate_step",
                remedy="Enter the program by target and time, or set a finer rate step if it has "
                "one.",
            )
        rate = step
    else:
        rate = fall / whole_minutes_up(fall / rate)
    if fall / rate > LONGEST_NIGHT:
        raise PlanError(
            f"This load would need {fall / rate / 86400:.0f} days for one ramp.",
            field="pieces",
            remedy="Check the thickness and stress limits, or allow more controller segments.",
        )
    return rate
