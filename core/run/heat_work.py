"""Heat-work: time and temperature of the annealing range in one number.

Stress goes, and structure settles, by reduced time, dt/tau with the relaxation time tau = viscosity
over modulus (Narayanaswamy O.S. 1971, J. Am. Ceram. Soc. 54, 491). The heat-work of a curve is the
time at the annealing point that would do as much,

    W = integral of  eta(T_annealing) / eta(T(t))  dt,

counted at and above the strain point, below which no time that a night has does anything. By
definition of the two points (10^12 and 10^13.5 Pa s; ASTM C336, C598) a quarter of an hour at the
annealing point is some eight hours at the strain point. Between and near them ln eta is taken as
linear in 1/T.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.glass.fixed_points import ANNEALING, STRAIN
from core.plan.plan import Zone
from core.run.gaps import joined_steps

FloatArray = NDArray[np.float64]

_STEP = 2.0
"""[K] Longer steps are cut, so that ln eta is straight in each."""
_LN_10 = math.log(10.0)


@dataclass(frozen=True)
class HeatWork:
    """Heat-work of one glass.

    Attributes
    ----------
    glass : str
    actual, planned : float
        Seconds at the annealing point.
    complete : bool
        False where a gap lies in the range it is counted in: what was done in it is not in it.
    """

    glass: str
    actual: float
    planned: float
    complete: bool


def equivalent_time(
    time: FloatArray, temperature: FloatArray, zone: Zone, gap_after: float | None = None
) -> float:
    """Heat-work of a curve: seconds at the annealing point that would do as much.

    Parameters
    ----------
    time, temperature : ndarray, shape (n,)
        [s], rising; controller readings [K], straight lines between them.
    zone : Zone
        Annealing and strain point as controller readings.
    gap_after : float, optional
        Steps longer than this count for nothing [s]; by default none does.
    """
    if time.size < 2:
        return 0.0
    first, last, step = temperature[:-1], temperature[1:], np.diff(time)
    use = np.maximum(first, last) > zone.strain_point
    if gap_after is not None:
        use &= step <= gap_after
    first, last, step = first[use], last[use], step[use]
    if not step.size:
        return 0.0
    # What lies below the strain point of a step is cut off.
    fall = np.abs(last - first)
    low = np.minimum(first, last)
    below = np.clip(zone.strain_point - low, 0.0, None)
    share = np.where(fall > 0.0, 1.0 - below / np.where(fall > 0.0, fall, 1.0), 1.0)
    step = step * share
    high = np.maximum(first, last)
    low = np.maximum(low, zone.strain_point)
    cuts = np.maximum(1, np.ceil((high - low) / _STEP)).astype(np.intp)
    which = np.repeat(np.arange(cuts.size), cuts)
    number = np.arange(which.size) - np.repeat(np.cumsum(cuts) - cuts, cuts)
    width = (high - low) / cuts
    begin = low[which] + number * width[which]
    y0 = _log_fluidity(begin, zone)
    y1 = _log_fluidity(begin + width[which], zone)
    return float((np.exp(y0) * _growth(y1 - y0) * (step / cuts)[which]).sum())


def _log_fluidity(temperature: FloatArray, zone: Zone) -> FloatArray:
    """Ln of eta(annealing point)/eta."""
    span = 1.0 / zone.strain_point - 1.0 / zone.annealing_point
    decades = STRAIN.log_viscosity - ANNEALING.log_viscosity
    return _LN_10 * decades * (1.0 / zone.annealing_point - 1.0 / temperature) / span


def _growth(rise: FloatArray) -> FloatArray:
    """(e^x - 1)/x, mean of an exponential that grows by e^x."""
    small = np.abs(rise) < 1e-9
    return np.where(small, 1.0, np.expm1(rise) / np.where(small, 1.0, rise))


def heat_work_of(
    time: FloatArray,
    temperature: FloatArray,
    planned: tuple[FloatArray, FloatArray],
    zones: tuple[Zone, ...],
    gap_after: float,
) -> tuple[HeatWork, ...]:
    """Heat-work of a log and of its plan for every glass; gaps of the log count for nothing.

    Parameters
    ----------
    time, temperature : ndarray, shape (n,)
        Readings [s], [K], without their noise: fluidity grows faster than temperature, so noise
        would pass for heat-work.
    planned : tuple of ndarray
        Times [s] and controller readings [K] of the plan's curve.
    zones : tuple of Zone
    gap_after : float
        [s].
    """
    lost = ~joined_steps(time, gap_after)
    hotter = np.maximum(temperature[:-1], temperature[1:])
    return tuple(
        HeatWork(
            glass=zone.glass,
            actual=equivalent_time(time, temperature, zone, gap_after),
            planned=equivalent_time(*planned, zone),
            complete=not bool((lost & (hotter > zone.strain_point)).any()),
        )
        for zone in zones
    )
