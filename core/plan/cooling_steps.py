"""The cooling below the soak as the few straight ramps a controller has room for."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Lehr
from core.plan.allowed_rates import Bound, RateLimits
from core.plan.rounding import whole_reading_down

FloatArray = NDArray[np.float64]

SECOND_STAGE = 50.0
"""Below the slow range the next 50 K are cooled at no more than twice the slow rate: handbook
schedule for ordinary ware (Shand E.B. 1958, Glass Engineering Handbook; from memory)."""

GRID_STEP = 2.0
"""Spacing [K] at which the safe rates are looked up."""

EXTRA_RAMP_WORTH = 600.0
EXTRA_RAMP_SHARE = 0.05
"""An extra ramp must save this many seconds, and this share of the cooling, to earn its line."""

INNER_SPLITS = 10
"""How many places are tried for an extra ramp between the second stage and coasting."""


@dataclass(frozen=True)
class Ramp:
    """A straight ramp in true temperatures [K], with the bound that sets its rate.

    ``bound`` is ``None`` where the lehr's own cooling is the limit.
    """

    top: float
    bottom: float
    rate: float
    bound: Bound | None


@dataclass(frozen=True)
class SafeRates:
    """Safe rates tabulated from the end of the slow range down to the room.

    Attributes
    ----------
    temperature : ndarray, shape (n,)
        True chamber temperature, rising [K].
    bounds : list of Bound
        One a temperature.
    rate : ndarray, shape (n,)
        [K/s].
    natural : ndarray, shape (n,)
        The lehr's own cooling rate [K/s].
    """

    temperature: FloatArray
    bounds: list[Bound]
    rate: FloatArray
    natural: FloatArray

    def coast_from(self) -> float:
        """Highest temperature from which the lehr may cool by itself all the way down [K]."""
        unsafe = np.flatnonzero(self.natural > self.rate)
        if unsafe.size == 0:
            return float(self.temperature[-1])
        return float(self.temperature[max(0, int(unsafe[0]) - 1)])

    def ramp(self, top: float, bottom: float) -> Ramp:
        """Fastest safe straight ramp between two temperatures that the lehr can follow."""
        inside = np.flatnonzero(
            (self.temperature >= bottom - GRID_STEP) & (self.temperature <= top + 1e-6)
        )
        lowest = int(inside[np.argmin(self.rate[inside])])
        rate = float(self.rate[lowest])
        natural = float(np.interp(bottom, self.temperature, self.natural))
        if natural < rate:
            return Ramp(top, bottom, natural, None)
        return Ramp(top, bottom, rate, self.bounds[lowest])


def tabulate(limits: RateLimits, slow: Bound, slow_end: float, lehr: Lehr) -> SafeRates:
    """Safe rates below the slow range, which ends at a true temperature [K]."""
    lowest = lehr.ambient + 0.5
    count = max(8, round((slow_end - lowest) / GRID_STEP) + 1)
    temperature = np.linspace(lowest, slow_end, count)
    bounds = limits.temporary(temperature)
    for i, at in enumerate(temperature):
        if at > slow_end - SECOND_STAGE and 2 * slow.rate < bounds[i].rate:
            bounds[i] = Bound(
                2 * slow.rate,
                slow.piece,
                "twice the slow rate for the first 50 °C below it (handbook practice)",
                0.0,
            )
    rate = np.asarray([bound.rate for bound in bounds])
    natural = np.asarray([lehr.natural_cooling_rate(float(at)) for at in temperature])
    return SafeRates(temperature, bounds, rate, natural)


def choose_ramps(
    safe: SafeRates, slow_ramp: Ramp, slow_bound: Bound, room: int, lehr: Lehr
) -> list[Ramp]:
    """The quickest set of at most ``room`` ramps from the soak down to where the lehr may coast.

    Parameters
    ----------
    safe : SafeRates
    slow_ramp : Ramp
        From the soak to the end of the slow range.
    slow_bound : Bound
        Its rate's bound, used where a longer slow ramp has to serve for the rest.
    room : int
        Ramps the controller still has, at least 1.
    lehr : Lehr
    """
    coast = max(whole_reading_down(safe.coast_from(), lehr), float(safe.temperature[0]))
    slow_end = slow_ramp.bottom
    if coast >= slow_end - 1.0:
        return [slow_ramp]
    if room == 1:
        rest = safe.ramp(slow_end, coast)
        if rest.rate < slow_ramp.rate:
            return [Ramp(slow_ramp.top, coast, rest.rate, rest.bound)]
        return [Ramp(slow_ramp.top, coast, slow_ramp.rate, slow_bound)]
    second = whole_reading_down(slow_end - SECOND_STAGE, lehr)
    places = [second] if second > coast + 1.0 else []
    inner = np.linspace(min(second, slow_end), coast, INNER_SPLITS + 2)[1:-1]
    places += [whole_reading_down(float(t), lehr) for t in inner]
    places = sorted({p for p in places if coast + 1.0 < p < slow_end - 1.0}, reverse=True)
    best: list[Ramp] = []
    best_time = np.inf
    for count in range(min(room - 2, 3, len(places)) + 1):
        options = [
            [safe.ramp(a, b) for a, b in pairwise([slow_end, *chosen, coast])]
            for chosen in combinations(places, count)
        ]
        quickest = min(options, key=_total_time)
        time = _total_time(quickest)
        if not best or time < best_time - max(EXTRA_RAMP_WORTH, EXTRA_RAMP_SHARE * best_time):
            best, best_time = quickest, time
    return [slow_ramp, *best]


def _total_time(ramps: list[Ramp]) -> float:
    return sum((ramp.top - ramp.bottom) / ramp.rate for ramp in ramps)
