"""One linear programme around a cooling: the best step within a region, and what each limit costs.

Unknown are where each ramp ends and the logarithm of its rate; time and the logarithms of stresses
over what is allowed are taken as linear.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from core.plan.cooling import Cooling, followed_rate
from core.plan.guess import SHORTEST
from core.plan.rounding import greatest_rate
from core.plan.setting import Setting
from core.units import rate_from

FloatArray = NDArray[np.float64]

SLOWEST, FASTEST = 1e-7, 0.5
"""[K/s] Rates outside this are not looked for."""
_IDLE = -1.2
"""Ln of a stress over its limit below which it cannot bind within one step."""
_PRICE = 8.0
"""Price of a stress over its limit, in cooling times per unit of ln."""


@dataclass(frozen=True)
class Goal:
    """Shortest cooling within the limits, or (with a time) the largest margin that fits into it.

    Attributes
    ----------
    within : float or None
        Seconds the cooling may take; ``None`` for the shortest.
    """

    within: float | None = None


def unknowns(cooling: Cooling) -> FloatArray:
    """Corners [K] and ln of rates [K/s] of a cooling as one vector."""
    return np.concatenate((np.asarray(cooling.bottoms), np.log(np.asarray(cooling.rates))))


def cooling_of(soak: float, vector: FloatArray) -> Cooling:
    """The cooling of such a vector."""
    half = vector.size // 2
    return Cooling(soak, tuple(vector[:half].tolist()), tuple(np.exp(vector[half:]).tolist()))


def time_slopes(cooling: Cooling, setting: Setting) -> FloatArray:
    """Change of the cooling's duration with each unknown."""
    lehr = setting.lehr
    pace = 1.0 / np.asarray(cooling.rates)
    corner = -pace.copy()
    corner[:-1] += pace[1:]
    last = cooling.bottoms[-1]
    if last > setting.end:
        corner[-1] += lehr.cooling_time_constant / (last - lehr.ambient)
    return np.concatenate((corner, -cooling.ramp_times()))


class Programme:
    """One linear programme around a cooling."""

    def __init__(self, setting: Setting, cooling: Cooling, ratios: FloatArray, slopes: FloatArray):
        self.setting, self.cooling = setting, cooling
        self.size = unknowns(cooling).size
        self.flat = ratios.ravel()
        self.kept = np.flatnonzero(self.flat > _IDLE)
        self.slopes = slopes.reshape(self.flat.size, self.size)[self.kept]
        self.time = cooling.duration(setting.lehr, setting.end)
        self.time_slopes = time_slopes(cooling, setting)

    def solve(
        self, goal: Goal, corner: float, rate: float, fixed_rates: FloatArray | None = None
    ) -> tuple[FloatArray, FloatArray, FloatArray] | None:
        """Best step within a region, with the multipliers of stresses and of the lehr [s].

        The last unknown of the programme is how far stresses lie above what is allowed (shortest,
        at a price) or the logarithm of the margin (safest).
        """
        half = self.size // 2
        safest = goal.within is not None
        above = self.flat[self.kept]
        rows = [np.column_stack((self.slopes, np.full(above.size, 1.0 if safest else -1.0)))]
        limits = [-above - (0.0 if safest else self.setting.side)]
        natural, room = self._lehr_rows()
        rows.append(np.column_stack((natural, np.zeros(half))))
        limits.append(room)
        order, gap = self._order_rows()
        rows.append(np.column_stack((order, np.zeros(order.shape[0]))))
        limits.append(gap)
        if goal.within is not None:
            rows.append(np.append(self.time_slopes / self.time, 0.0)[None])
            limits.append(np.array([goal.within / self.time - 1.0]))
            cost = np.append(0.02 * self.time_slopes / self.time, -1.0)
        else:
            cost = np.append(self.time_slopes / self.time, _PRICE)
        bounds = self._bounds(corner, rate, fixed_rates)
        bounds.append((-5.0, 10.0) if safest else (0.0, None))
        answer = linprog(
            cost, A_ub=np.vstack(rows), b_ub=np.concatenate(limits), bounds=bounds, method="highs"
        )
        if answer.status != 0 or answer.x is None:
            return None
        prices = -np.asarray(answer.ineqlin.marginals)
        on_stress = np.zeros(self.flat.size)
        on_stress[self.kept] = prices[: above.size]
        return np.asarray(answer.x[:-1]), on_stress, prices[above.size : above.size + half]

    def _lehr_rows(self) -> tuple[FloatArray, FloatArray]:
        """No ramp faster than the lehr follows at its lower end."""
        half = self.size // 2
        lehr = self.setting.lehr
        rows = np.zeros((half, self.size))
        room = np.zeros(half)
        for i, (bottom, rate) in enumerate(
            zip(self.cooling.bottoms, self.cooling.rates, strict=True)
        ):
            rows[i, half + i] = 1.0
            rows[i, i] = -1.0 / max(bottom - lehr.ambient, 1.0)
            room[i] = np.log(followed_rate(lehr, bottom) / rate)
        return rows, room

    def _order_rows(self) -> tuple[FloatArray, FloatArray]:
        """Each ramp at least so long; the first ends below the soak."""
        half = self.size // 2
        rows = np.zeros((half, self.size))
        falls = np.asarray(self.cooling.tops) - np.asarray(self.cooling.bottoms)
        for i in range(half):
            rows[i, i] = 1.0
            if i:
                rows[i, i - 1] = -1.0
        return rows, falls - SHORTEST

    def _bounds(
        self, corner: float, rate: float, fixed: FloatArray | None
    ) -> list[tuple[float | None, float | None]]:
        bounds: list[tuple[float | None, float | None]] = []
        setting = self.setting
        lowest = min(setting.end, self.cooling.bottoms[-1])
        last = len(self.cooling.bottoms) - 1
        for i, bottom in enumerate(self.cooling.bottoms):
            high = setting.highest_off - bottom if i == last else corner
            bounds.append((max(-corner, lowest - bottom), max(min(corner, high), -corner)))
        controller = self.setting.lehr.controller
        least = rate_from(controller.smallest_rate or 0.0, controller.unit)
        slowest = float(np.log(max(SLOWEST, least)))
        fastest = float(np.log(min(FASTEST, greatest_rate(controller))))
        for i, now in enumerate(np.log(np.asarray(self.cooling.rates)).tolist()):
            if fixed is not None:
                bounds.append((float(fixed[i]) - now, float(fixed[i]) - now))
            else:
                high = max(min(rate, fastest - now), -rate)
                bounds.append((min(max(-rate, slowest - now), high), high))
        return bounds
