"""The first curve: guessed, scaled by the stress engine until it holds, and quick to find."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.errors import PlanError
from core.plan.cooling import Cooling
from core.plan.guess import ClosedForms, Pattern, guess
from core.plan.night import LONGEST_NIGHT
from core.plan.setting import SAFE_SIDE, Setting
from core.plan.trials import Case

FloatArray = NDArray[np.float64]

SPREAD = np.array([1.3, 1.18, 1.08, 1.0, 0.92, 0.83, 0.72])
"""Slow rates tried beside the expected one."""
_ROUNDS = 6


def first_cooling(
    setting: Setting, forms: ClosedForms, pattern: Pattern
) -> tuple[Cooling, tuple[Case, ...]]:
    """A cooling that holds by coarse reckoning, and the cases that decide it.

    Permanent stress grows about as the slow rate, so one trial tells about where to look; a
    handful of rates around it are then tried at once and the quickest that holds is taken.
    """
    coast = forms.coast_from()
    slow = forms.slow
    tried = guess(forms, pattern, slow, coast)
    found = setting.ratios([tried])[0]
    cases = setting.close_cases(found)
    worst = found.max(axis=0)
    fast = np.ones(pattern.ramps)
    for _ in range(_ROUNDS):
        refuse_endless(tried, setting)
        slow *= float(np.exp(-max(worst[:2].max(), -1.5) - SAFE_SIDE))
        coast, fast = _eased(setting, worst, coast, fast)
        options = [guess(forms, pattern, slow * s, coast).scaled(fast) for s in SPREAD]
        table = setting.ratios(options, cases).max(axis=1)
        holds = np.flatnonzero(table.max(axis=1) <= -SAFE_SIDE)
        if holds.size:
            times = [options[i].duration(setting.lehr, setting.end) for i in holds]
            return options[int(holds[int(np.argmin(times))])], cases
        last = int(np.argmin(table.max(axis=1)))
        tried = options[last]
        worst = table[last]
        slow *= float(SPREAD[last])
    return tried, cases


def refuse_endless(cooling: Cooling, setting: Setting) -> None:
    """Raise PlanError when a cooling takes longer than any plan may."""
    days = cooling.duration(setting.lehr, setting.end) / 86400.0
    if days * 86400.0 > LONGEST_NIGHT:
        raise PlanError(
            f"This load would need {days:.0f} days to cool.",
            field="pieces",
            remedy="Check the thickness and stress limits, or allow more controller segments.",
        )


def _eased(
    setting: Setting, worst: FloatArray, coast: float, fast: FloatArray
) -> tuple[float, FloatArray]:
    """Power-off temperature and factors of the ramps, eased where stress on the way is too much."""
    over = _over_on_the_way(worst)
    return _lowered(setting, coast, over[-1]), fast * np.exp(-over[:-1])


def _over_on_the_way(worst: FloatArray) -> FloatArray:
    return np.asarray(np.maximum(np.maximum(worst[2::2], worst[3::2]) + SAFE_SIDE, 0.0))


def _lowered(setting: Setting, coast: float, over: float) -> float:
    """Where the power may go off when the coasting's stress is so much [ln] too great."""
    ambient = setting.lehr.ambient
    return max(ambient + (coast - ambient) * float(np.exp(-over)), min(setting.end, coast))


def eased(cooling: Cooling, worst: FloatArray, setting: Setting) -> Cooling:
    """A cooling slowed where a replay of it failed; ``worst`` in the columns of ``rows_of``."""
    permanent = max(float(worst[:2].max()) + SAFE_SIDE, 0.0)
    over = _over_on_the_way(worst)
    slower = cooling.scaled(np.exp(-np.maximum(over[:-1], permanent)))
    last = _lowered(setting, cooling.bottoms[-1], over[-1])
    return Cooling(slower.soak, (*slower.bottoms[:-1], last), slower.rates)
