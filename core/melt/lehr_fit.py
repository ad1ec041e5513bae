"""A lehr's cooling and heating fitted to a logged run.

Newton's law with a heater: dT/dt = u r - (T - Ta)/tau, u the share of full power, r the rate at
which full power alone would heat [K/s], tau the time constant. With power constant from reading
to reading the solution is exact, so that the whole log follows from its first temperature.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from core.equipment.lehr import LEHR_LIMITS, Lehr
from core.errors import FurnaceError
from core.melt.fit_interval import fitted, spread_of
from core.melt.fitted import Fitted
from core.melt.thermal_log import ThermalLog

FloatArray = NDArray[np.float64]

_TIME_BOUNDS = LEHR_LIMITS["cooling_time_constant"]
_RATE_BOUNDS = LEHR_LIMITS["max_heating_rate"]
LEAST_SPAN = 20.0
"""[K] A log that moves less tells neither cooling nor heating."""


@dataclass(frozen=True)
class LehrFit:
    """A lehr fitted to a log.

    Attributes
    ----------
    lehr : Lehr
        With the fitted time constant, and the rate it still reaches at its highest logged
        temperature; what was not determined is left as it was.
    time_constant : Fitted
        [s].
    full_power_rate : Fitted or None
        Rate at full power without loss [K/s]; ``None`` of a log with the power always off.
    time, logged, simulated : ndarray, shape (n,)
        [s from the log's start] and [K].
    scatter : float
        Root mean square of their difference [K].
    remarks : tuple of str
    """

    lehr: Lehr
    time_constant: Fitted
    full_power_rate: Fitted | None
    time: FloatArray
    logged: FloatArray
    simulated: FloatArray
    scatter: float
    remarks: tuple[str, ...]


def followed(
    log: ThermalLog, start: float, ambient: float, time_constant: float, rate: float
) -> FloatArray:
    """Temperatures [K] of a log's times by Newton's law, shape (n,).

    Parameters
    ----------
    start, ambient : float
        [K].
    time_constant : float
        [s].
    rate : float
        At full power without loss [K/s].
    """
    keep = np.exp(-np.diff(log.time) / time_constant)
    rest = ambient + log.power[:-1] * rate * time_constant
    result = np.empty(len(log.time))
    result[0] = start
    now = start
    for i, (k, towards) in enumerate(zip(keep.tolist(), rest.tolist(), strict=True), start=1):
        now = towards + (now - towards) * k
        result[i] = now
    return result


def fit_lehr(lehr: Lehr, log: ThermalLog) -> LehrFit:
    """Fit a lehr's time constant and heating rate to a log of it.

    Parameters
    ----------
    lehr : Lehr
        As described; its room temperature is taken as it is.
    log : ThermalLog
        Temperatures less the thermocouple's offset, power as a share of full.

    Raises
    ------
    FurnaceError
        If the temperatures hardly change or never rise above the room.
    """
    if log.temperature_span < LEAST_SPAN:
        raise FurnaceError(
            f"The log moves by only {log.temperature_span:.0f} °C: it tells neither how the lehr "
            "cools nor how it heats.",
            field="temperature",
            remedy=f"Log a heating or a cooling of at least {LEAST_SPAN:.0f} °C.",
        )
    heats = bool(log.power[:-1].max() > 0.0)
    guess = [math.log(lehr.cooling_time_constant), math.log(lehr.max_heating_rate)]
    low = [math.log(_TIME_BOUNDS[0]), math.log(_RATE_BOUNDS[0] / 100.0)]
    high = [math.log(_TIME_BOUNDS[1]), math.log(_RATE_BOUNDS[1] * 10.0)]
    free = 2 if heats else 1
    reach = max(50.0, log.temperature_span)
    first = float(log.temperature[0])

    def curve(x: FloatArray) -> FloatArray:
        rate = math.exp(float(x[2])) if heats else 0.0
        return followed(log, first + float(x[0]), lehr.ambient, math.exp(float(x[1])), rate)

    def residuals(x: FloatArray) -> FloatArray:
        return np.asarray(curve(x) - log.temperature)

    found = least_squares(
        residuals,
        np.array([0.0, *guess[:free]]),
        bounds=([-reach, *low[:free]], [reach, *high[:free]]),
        x_scale=np.array([10.0, *[1.0] * free]),
    )
    x = np.asarray(found.x)
    spread = spread_of(np.asarray(found.jac), np.asarray(found.fun), log.time)
    constant = fitted(
        "cooling time constant", math.exp(float(x[1])), float(spread.half_widths[1]), _TIME_BOUNDS
    )
    rate = None
    if heats:
        bounds = (math.exp(low[1]), math.exp(high[1]))
        rate = fitted(
            "rate at full power", math.exp(float(x[2])), float(spread.half_widths[2]), bounds
        )
    return LehrFit(
        lehr=_taught(lehr, log, constant, rate),
        time_constant=constant,
        full_power_rate=rate,
        time=log.time - log.time[0],
        logged=log.temperature,
        simulated=curve(x),
        scatter=float(np.sqrt(np.mean(np.square(found.fun)))),
        remarks=_remarks(constant, rate),
    )


def _taught(lehr: Lehr, log: ThermalLog, constant: Fitted, rate: Fitted | None) -> Lehr:
    if constant.determined:
        lehr = replace(lehr, cooling_time_constant=constant.value)
    if rate is None or not rate.determined or not constant.determined:
        return lehr
    # What is left of full power at the top, the slow end of both intervals: a plan must not ask
    # for more than the lehr gives.
    top = float(log.temperature.max())
    left = rate.low - (top - lehr.ambient) / constant.low
    if left < _RATE_BOUNDS[0]:
        return lehr
    return replace(lehr, max_heating_rate=min(left, _RATE_BOUNDS[1]))


def _remarks(constant: Fitted, rate: Fitted | None) -> tuple[str, ...]:
    remarks = []
    if not constant.determined:
        remarks.append(
            f"The log leaves the cooling time constant open ({constant.low / 3600:.1f} to "
            f"{constant.high / 3600:.1f} h): log some hours with the power off and the door shut."
        )
    if rate is None:
        remarks.append("The power was off all the while: how fast the lehr heats is not told.")
    elif not rate.determined:
        remarks.append(
            f"The log leaves the rate at full power open ({rate.low * 3600:.0f} to "
            f"{rate.high * 3600:.0f} °C/h): log a heating at full power."
        )
    return tuple(remarks)
