"""The fastest cooling that lasted: slopes by least squares, which single readings cannot fool.

A straight line is fitted to the readings of every window of 15 minutes. Where the noise leaves
slopes of so short a window uncertain, the window is doubled, twice at most. Of all windows the one
whose slope is highest *at least* is taken: the lower end of an interval that holds for all
windows together, or the steepest of many noisy slopes would always be too steep. Slopes of white
noise over windows w have a correlation 1 - 3|s|/w at a small shift s, so that the highest of them
over a time T exceeds u standard errors with a probability of about 3 T/w u^2 Q(u), Q the normal
tail (Pickands J. 1969, Trans. Am. Math. Soc. 145, 51).
What a parabola leaves of a window is noise; where it is like its neighbours (a controller hunting
about its set point) readings count for fewer, as (1 - r)/(1 + r), r their correlation from one to
the next (Bartlett M.S. 1946).
"""

from __future__ import annotations

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
"""Share of a window that its readings must span."""


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
) -> SustainedRate | None:
    """The fastest cooling that lasted 15 minutes or, in noise, up to an hour.

    Parameters
    ----------
    time, temperature : ndarray, shape (n,)
        Readings of the stretch in question: [s], rising; [K].
    gap_after : float, optional
        Spacing of readings that counts as a gap [s]; no window spans one.
    window : float
        [s]; doubled as long as the slopes are unsure.

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
    chosen = _slopes(t, v, broken, window)
    for _ in range(_DOUBLINGS):
        if chosen is None:
            return None
        half = float(np.median(chosen.error)) * _quantile(t, window)
        if half <= max(_SURE, _SURE_SHARE * float(np.abs(np.mean(chosen.slope)))):
            break
        window = min(2.0 * window, float(t[-1]))
        chosen = _slopes(t, v, broken, window) or chosen
    assert chosen is not None  # noqa: S101 -- returned above
    reach = _quantile(t, window) * chosen.error
    at = int(np.argmin(chosen.slope + reach))
    rate = -float(chosen.slope[at])
    if rate <= 0.0:
        return None
    begin, end = float(time[chosen.first[at]]), float(time[chosen.last[at]])
    return SustainedRate(rate, rate - float(reach[at]), rate + float(reach[at]), begin, end)


def _quantile(time: FloatArray, window: float) -> float:
    """How many standard errors the highest slope of mere noise stays below, as a rule."""
    looks = max(1.0, 3.0 * float(time[-1]) / max(window, 1e-9))
    reach = 3.0
    for _ in range(8):
        reach = float(-ndtri(_DOUBT / (looks * max(1.0, reach) ** 2)))
    return reach


def _slopes(t: FloatArray, v: FloatArray, broken: IntArray, window: float) -> _Slopes | None:
    """Least-squares lines through windows that begin at readings, by running sums."""
    begins = np.arange(0, t.size, max(1, t.size // _PLACES), dtype=np.intp)
    begins = begins[t[begins] <= t[-1] - _FULL * window]
    last = np.searchsorted(t, t[begins] + window * (1.0 + 1e-9), "right") - 1
    whole = (broken[last] == broken[begins]) & (t[last] - t[begins] >= _FULL * window)
    whole &= last > begins
    if not whole.any():
        return None
    first, last = begins[whole], last[whole]
    sums = [np.concatenate(([0.0], np.cumsum(x))) for x in (t, v, t * t, t * v)]
    n = (last - first + 1).astype(np.float64)
    st, sv, stt, stv = (s[last + 1] - s[first] for s in sums)
    tt, tv = stt - st * st / n, stv - st * sv / n
    slope = tv / tt
    return _Slopes(slope, np.sqrt(_noise(t, v, first, last) / tt), first, last)


def _noise(t: FloatArray, v: FloatArray, first: IntArray, last: IntArray) -> float:
    """Variance of the readings about a smooth curve, made larger as they are alike."""
    variances, above, below = [], 0.0, 0.0
    until = -1
    for i, j in zip(first.tolist(), (last + 1).tolist(), strict=True):
        if i <= until or j - i < _ENOUGH:
            continue
        until = j - 1
        x = (t[i:j] - t[i]) / (t[j - 1] - t[i])
        design = np.stack((np.ones_like(x), x, x * x), axis=1)
        rest = v[i:j] - design @ np.linalg.lstsq(design, v[i:j])[0]
        power = float(rest @ rest)
        variances.append(power / (j - i - 3))
        above += float(rest[1:] @ rest[:-1])
        below += power
    if not variances or below <= 0.0:
        return float(noise_of(v)[0]) ** 2
    r = min(0.98, max(0.0, above / below))
    return float(np.median(variances)) * (1.0 + r) / (1.0 - r)
