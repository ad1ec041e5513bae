"""The fastest cooling that lasted: slopes by least squares, which single readings cannot fool.

A straight line is fitted to the readings of every window of 15 minutes. Where the noise leaves
slopes of so short a window uncertain, the window is doubled, twice at most. Of all windows the one
whose slope is highest *at least* is taken: the lower end of an interval that holds for all
windows together, or the steepest of many noisy slopes would always be too steep. Slopes of white
noise over windows w have a correlation 1 - 3|s|/w at a small shift s, so that the highest of them
over a time T exceeds u standard errors with a probability of about 3 T/w u^2 Q(u), Q the normal
tail (Pickands J. 1969, Trans. Am. Math. Soc. 145, 51).
What a parabola leaves of a quarter of an hour is noise; where it is like its neighbours (a
controller hunting about its set point) readings count for fewer, as (1 - r)/(1 + r), r their
correlation from one to the next (Bartlett M.S. 1946).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from core.run.gaps import joined_steps
from core.stress.log_reduction import noise_of

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

FASTEST_WINDOW = 900.0
"""A rate counts as sustained when it lasts this long [s]; common practice, no source."""
_DOUBLINGS = 2
_SURE_SHARE = 0.05
"""Half width of a slope, over the mean slope, with which a window is long enough."""
_SURE = 1.0 / 3600.0
"""[K/s] Nor need it be narrower than this."""
_DOUBT = 0.05
"""How often the true rate of the window may lie below the interval's lower end."""
_PLACES = 4000
"""Windows looked at, at most."""
_ENOUGH = 6
"""Readings in a window from which its noise can be told."""
_FULL = 0.8
"""Share of a window that its readings must span, more where they are close together."""


@dataclass(frozen=True)
class SustainedRate:
    """A cooling rate that lasted.

    Attributes
    ----------
    rate : float
        [K/s], positive when cooling.
    low, high : float
        The true rate of this window lies between, nineteen times in twenty each way.
    start, end : float
        UTC epoch seconds of the window.
    """

    rate: float
    low: float
    high: float
    start: float
    end: float


@dataclass(frozen=True)
class _Slopes:
    """Straight lines through windows: slope [K/s], its standard error, first and last reading."""

    slope: FloatArray
    error: FloatArray
    first: IntArray
    last: IntArray


def fastest_cooling(
    time: FloatArray,
    temperature: FloatArray,
    gap_after: float | None = None,
    *,
    window: float = FASTEST_WINDOW,
    noise: float | None = None,
) -> SustainedRate | None:
    """The fastest cooling that lasted 15 minutes or, in noise, up to an hour.

    Parameters
    ----------
    time, temperature : ndarray, shape (n,)
        Readings of the stretch in question: [s], rising; [K].
    gap_after : float, optional
        Spacing of readings that counts as a gap [s]; no window spans one, but the mean cooling
        across one counts.
    window : float
        [s]; doubled as long as the slopes are unsure.
    noise : float, optional
        Of the whole log (:func:`slope_noise`) [K2]; that of the stretch when left out.

    Returns
    -------
    SustainedRate or None
        ``None`` where nothing cools, or no window has readings enough.
    """
    if time.size < 2:
        return None
    origin = float(time[0])
    t, v = time - origin, temperature - float(temperature.mean())
    broken = np.concatenate(([0], np.cumsum(~joined_steps(time, gap_after))))
    window = min(window, float(t[-1]))
    spacing = float(np.median(np.diff(t)))
    window = min(max(window, 2.0 * spacing), float(t[-1]))
    noise = slope_noise(time, temperature, gap_after) if noise is None else noise
    chosen = _slopes(t, v, broken, window, noise)
    for _ in range(_DOUBLINGS):
        if chosen is None:
            return _fastest_of(_across_gaps(time, temperature, broken, math.sqrt(2.0 * noise)))
        half = float(np.median(chosen.error)) * _quantile(t, window)
        if half <= max(_SURE, _SURE_SHARE * float(np.abs(np.mean(chosen.slope)))):
            break
        window = min(2.0 * window, float(t[-1]))
        chosen = _slopes(t, v, broken, window, noise) or chosen
    assert chosen is not None  # noqa: S101 -- returned above
    reach = _quantile(t, window) * chosen.error
    at = int(np.argmin(chosen.slope + reach))
    rate = -float(chosen.slope[at])
    begin, end = float(time[chosen.first[at]]), float(time[chosen.last[at]])
    found = SustainedRate(rate, rate - float(reach[at]), rate + float(reach[at]), begin, end)
    across = _across_gaps(time, temperature, broken, math.sqrt(2.0 * noise))
    return _fastest_of([found, *across])


def _fastest_of(rates: list[SustainedRate]) -> SustainedRate | None:
    best = max(rates, key=lambda rate: rate.low, default=None)
    return best if best is not None and best.rate > 0.0 else None


def _across_gaps(
    time: FloatArray, temperature: FloatArray, broken: IntArray, doubt: float
) -> list[SustainedRate]:
    """Mean cooling across each gap: in it the lehr has cooled as fast as that, or faster."""
    rates = []
    for i in np.flatnonzero(np.diff(broken)).tolist():
        begin, end = float(time[i]), float(time[i + 1])
        rate = float(temperature[i] - temperature[i + 1]) / (end - begin)
        half = 2.0 * doubt / (end - begin)
        rates.append(SustainedRate(rate, rate - half, rate + half, begin, end))
    return rates


def _quantile(time: FloatArray, window: float) -> float:
    """How many standard errors the highest slope of mere noise stays below, as a rule."""
    looks = max(1.0, 3.0 * float(time[-1]) / max(window, 1e-9))
    reach = 3.0
    for _ in range(8):
        reach = float(-ndtri(_DOUBT / (looks * max(1.0, reach) ** 2)))
    return reach


def _slopes(
    t: FloatArray, v: FloatArray, broken: IntArray, window: float, noise: float
) -> _Slopes | None:
    """Least-squares lines through windows that begin at readings, by running sums."""
    begins = np.arange(0, t.size, max(1, t.size // _PLACES), dtype=np.intp)
    usual = float(np.median(np.diff(t)))
    full = max(_FULL * window, window - 2.0 * usual)
    begins = begins[t[begins] <= t[-1] - full]
    last = np.searchsorted(t, t[begins] + window * (1.0 + 1e-9), "right") - 1
    whole = (broken[last] == broken[begins]) & (t[last] - t[begins] >= full)
    whole &= last > begins
    if not whole.any():
        return None
    first, last = begins[whole], last[whole]
    sums = [np.concatenate(([0.0], np.cumsum(x))) for x in (t, v, t * t, t * v)]
    n = (last - first + 1).astype(np.float64)
    st, sv, stt, stv = (s[last + 1] - s[first] for s in sums)
    tt, tv = stt - st * st / n, stv - st * sv / n
    slope = tv / tt
    return _Slopes(slope, np.sqrt(noise / tt), first, last)


def slope_noise(time: FloatArray, temperature: FloatArray, gap_after: float | None = None) -> float:
    """Variance of a log's readings about a smooth curve [K2], made larger as they are alike.

    That of the middle one of all blocks of 15 minutes, so that a quick event in one of them is
    no noise.

    Parameters
    ----------
    time, temperature : ndarray, shape (n,)
        [s], rising; [K].
    gap_after : float, optional
        Spacing of readings that counts as a gap [s].
    """
    if time.size < _ENOUGH:
        return float(noise_of(temperature)[0]) ** 2
    t, v = time - time[0], temperature - float(temperature.mean())
    block = np.floor(t / FASTEST_WINDOW) + 1e6 * np.concatenate(
        ([0.0], np.cumsum(~joined_steps(time, gap_after)))
    )
    starts = np.concatenate(([0], np.flatnonzero(np.diff(block)) + 1))
    ends = np.append(starts[1:], t.size)
    enough = ends - starts >= _ENOUGH
    found = [
        _about_a_parabola(t[i:j], v[i:j])
        for i, j in zip(starts[enough].tolist(), ends[enough].tolist(), strict=True)
    ]
    if not found:
        return float(noise_of(temperature)[0]) ** 2
    variances, products, powers = np.asarray(found).T
    middle = float(np.median(variances))
    usual = variances <= middle
    power = float(powers[usual].sum())
    r = min(0.98, max(0.0, float(products[usual].sum()) / power)) if power > 0.0 else 0.0
    return middle * (1.0 + r) / (1.0 - r)


def _about_a_parabola(t: FloatArray, v: FloatArray) -> tuple[float, float, float]:
    """Variance of what a parabola leaves, sum of its neighbours' products, and of its squares."""
    x = (t - t[0]) / (t[-1] - t[0])
    design = np.stack((np.ones_like(x), x, x * x), axis=1)
    # Normal equations of three columns on 0 to 1 are sound, and quicker than a decomposition.
    rest = v - design @ np.linalg.solve(design.T @ design, design.T @ v)
    power = float(rest @ rest)
    return power / (t.size - 3), float(rest[1:] @ rest[:-1]), power
