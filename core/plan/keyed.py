"""A cooling brought to what the controller takes, without making it quicker where glass freezes."""

from __future__ import annotations

import numpy as np

from core.equipment.lehr import Entry, Lehr
from core.errors import PlanError
from core.plan import words
from core.plan.cooling import Cooling
from core.plan.night import LONGEST_NIGHT
from core.plan.rounding import (
    greatest_rate,
    parts_of,
    rate_step_down,
    smallest_rate,
    whole_minutes_up,
    whole_reading_down,
    whole_reading_up,
)
from core.units import interval_from, rate_from, rate_to


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
        for end in _in_parts(top, bottom, keyed_rate(top - bottom, rate, lehr), lehr):
            kept_bottoms.append(end)
            kept_rates.append(keyed_rate(top - end, rate, lehr))
            top = end
    return Cooling(cooling.soak, tuple(kept_bottoms), tuple(kept_rates))


def _in_parts(top: float, bottom: float, rate: float, lehr: Lehr) -> list[float]:
    """Where the segments end that a ramp takes, each within the longest the controller knows.

    Raises
    ------
    PlanError
        If even a ramp of one degree lasts longer.
    """
    controller = lehr.controller
    degree = interval_from(1.0, controller.unit)
    parts = parts_of((top - bottom) / rate, controller)
    if parts == 1:
        return [bottom]
    while True:
        ends = [whole_reading_up(top + (bottom - top) * n / parts, lehr) for n in range(1, parts)]
        ends.append(bottom)
        falls = -np.diff([top, *ends])
        if falls.min() < 0.5 * degree:
            raise PlanError(
                f"One degree at {rate_to(rate, controller.unit):.2g} {controller.unit.symbol}/h "
                f"takes longer than the controller's longest segment.",
                field="longest_segment",
                remedy="Give a longer one, or leave it out if there is none.",
            )
        slowest = [keyed_rate(float(fall), rate, lehr) for fall in falls]
        if all(
            parts_of(float(fall) / slow, controller) == 1
            for fall, slow in zip(falls, slowest, strict=True)
        ):
            return ends
        parts += 1


def keyed_rate(fall: float, rate: float, lehr: Lehr) -> float:
    """The rate [K/s] of a ramp that falls so far [K], as the controller takes it."""
    controller = lehr.controller
    if controller.entry is Entry.RATE:
        step = rate_step_down(rate, controller)
        if step <= 0:
            raise PlanError(
                words.too_coarse(rate, controller),
                field="smallest_rate" if controller.smallest_rate else "rate_step",
                remedy="Enter the program by target and time, or set a finer rate step if it has "
                "one.",
            )
        rate = step
    else:
        rate = fall / whole_minutes_up(fall / min(rate, greatest_rate(controller)))
        if rate < rate_from(smallest_rate(controller), controller.unit) * (1.0 - 1e-6):
            raise PlanError(
                words.too_coarse(rate, controller),
                field="smallest_rate",
                remedy="Check it; a controller that takes target and time seldom has one.",
            )
    if fall / rate > LONGEST_NIGHT:
        raise PlanError(
            f"This load would need {fall / rate / 86400:.0f} days for one ramp.",
            field="pieces",
            remedy="Check the thickness and stress limits, or allow more controller segments.",
        )
    return rate
