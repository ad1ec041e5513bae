"""The first cooling to try: slow while any glass freezes, then as the closed forms allow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.plan.cooling import Cooling, followed_rate
from core.plan.freezing import free_above, frozen_below
from core.plan.setting import Setting
from core.units import rate_from

FloatArray = NDArray[np.float64]

QUICK = 4.0
"""Rate from the soak to where glass begins to freeze, over the slow rate, to begin with."""
SECOND = 2.5
SECOND_FALL = 35.0
"""Rate over the slow one just below the slow range, and for how far [K], to begin with."""
SHORTEST = 4.0
"""[K] No ramp is shorter than this."""
MOST_RAMPS = 5
"""More ramps than this save next to nothing and are more to key in."""


@dataclass(frozen=True)
class Pattern:
    """Which stages the ramps of a cooling stand for: quick top, slow, second, faster ones."""

    top: bool
    second: bool
    fast: int

    @property
    def ramps(self) -> int:
        """How many ramps it takes, the slow one included."""
        return 1 + self.top + self.second + self.fast


def patterns_for(room: int) -> tuple[Pattern, ...]:
    """Patterns worth trying with room for so many ramps, the likeliest first."""
    if room <= 1:
        return (Pattern(top=False, second=False, fast=0),)
    if room == 2:
        return (Pattern(top=False, second=False, fast=1), Pattern(top=True, second=False, fast=0))
    if room == 3:
        return (Pattern(top=True, second=False, fast=1), Pattern(top=False, second=True, fast=1))
    if room == 4:
        return (Pattern(top=True, second=True, fast=1),)
    return (Pattern(top=True, second=True, fast=2),)


def fitting(forms: ClosedForms, pattern: Pattern) -> Pattern:
    """A pattern without the ramps there is no room for between the slow range and power off."""
    setting = forms.setting
    natural = setting.lehr.natural_cooling_rate(frozen_below(setting.soft, forms.slow))
    if natural <= forms.slow:
        return Pattern(top=False, second=False, fast=0)
    coast = forms.coast_from()
    stop = frozen_below(setting.soft, forms.slow)
    second = pattern.second and coast < stop - 2 * SHORTEST
    low = stop - SECOND_FALL if second else stop
    fast = min(pattern.fast, max(0, int((low - coast) / (2 * SHORTEST))))
    return Pattern(pattern.top, second, fast)


class ClosedForms:
    """Safe rates below the freezing range by the closed forms, looked up once."""

    def __init__(self, setting: Setting) -> None:
        self.setting = setting
        lehr = setting.lehr
        self.slow = setting.night.limits.permanent().rate
        self.temperature = np.linspace(lehr.ambient + 1.0, setting.night.soak, 60)
        bounds = setting.night.limits.temporary(self.temperature)
        self.rate = np.array([bound.rate for bound in bounds])
        self.natural = np.array([lehr.natural_cooling_rate(float(t)) for t in self.temperature])

    def coast_from(self, scale: float = 1.0) -> float:
        """Highest temperature [K] from which the lehr may be left to itself."""
        unsafe = np.flatnonzero(self.natural > self.rate * scale)
        highest = self.setting.highest_off
        if unsafe.size:
            highest = min(highest, float(self.temperature[max(0, int(unsafe[0]) - 1)]))
        return max(highest, self.setting.end)

    def between(self, top: float, bottom: float) -> float:
        """Safe rate [K/s] all the way from one temperature down to another."""
        inside = (self.temperature >= bottom - 5.0) & (self.temperature <= top + 5.0)
        return float(self.rate[inside].min()) if inside.any() else float(self.rate[0])


def guess(forms: ClosedForms, pattern: Pattern, slow: float, coast: float) -> Cooling:
    """A cooling of a pattern whose slow ramp goes at a rate [K/s] and whose power goes off at K.

    Falls short of the pattern (ramps of no length are spread out) where there is no room.
    """
    setting, lehr = forms.setting, forms.setting.lehr
    soak = setting.night.soak
    slow = min(slow, followed_rate(lehr, soak))
    begin = min(free_above(setting.stiff, slow), soak - SHORTEST)
    stop = min(frozen_below(setting.soft, slow), begin - SHORTEST)
    bottoms, rates = [], []
    if pattern.top:
        bottoms.append(begin)
        rates.append(QUICK * slow)
    bottoms.append(stop)
    rates.append(slow)
    if pattern.second:
        bottoms.append(stop - SECOND_FALL)
        rates.append(SECOND * slow)
    low = bottoms[-1]
    for place in range(pattern.fast):
        top = low
        low = low + (coast - low) / (pattern.fast - place)
        bottoms.append(low)
        rates.append(forms.between(top, low) if low < top else slow)
    if pattern.fast == 0:
        bottoms[-1] = min(bottoms[-1], coast)
    return tidied(Cooling(soak, tuple(bottoms), tuple(rates)), setting)


def tidied(cooling: Cooling, setting: Setting) -> Cooling:
    """Ramps in order, none too short, none faster than the lehr follows, not below the end."""
    lehr = setting.lehr
    count = len(cooling.bottoms)
    lowest = min(setting.end, cooling.soak - count * SHORTEST - 1.0)
    bottoms: list[float] = []
    top = cooling.soak
    for left, bottom in zip(range(count - 1, -1, -1), cooling.bottoms, strict=True):
        place = min(bottom, top - SHORTEST)
        top = max(place, lowest + left * SHORTEST)
        bottoms.append(top)
    bottoms[-1] = max(min(bottoms[-1], setting.highest_off), lowest)
    for i in range(count - 2, -1, -1):
        bottoms[i] = max(bottoms[i], bottoms[i + 1] + SHORTEST)
    least = rate_from(lehr.controller.smallest_rate or 0.0, lehr.controller.unit)
    rates = [
        min(max(rate, least), followed_rate(lehr, bottom))
        for rate, bottom in zip(cooling.rates, bottoms, strict=True)
    ]
    return Cooling(cooling.soak, tuple(bottoms), tuple(rates))
