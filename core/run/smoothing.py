"""A log without its noise: lone readings named, the rest averaged as far as the noise asks for."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter1d, median_filter, uniform_filter1d

from core.run.gaps import joined_steps
from core.stress.log_reduction import noise_of

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

LEAST_SPIKE = 5.0
"""A reading nearer than this to its neighbours is no spike [K]; common practice, no source."""
_NOISES = 8.0
"""Nor is one within so many times the noise."""
_NEIGHBOURHOOD = 7
"""Readings among which a reading is looked at."""
_LEFT = 0.25
"""[K] Noise that averaging may leave."""
_LONGEST_MEAN = 121
"""Readings in one average at most."""


def spikes_of(time: FloatArray, temperature: FloatArray, least: float = LEAST_SPIKE) -> BoolArray:
    """Readings that stand alone, or by twos, far from those before and after, shape (n,).

    The medians of the three before and the three after are the yardsticks; a lehr that falls and
    stays down, or comes back slowly, is near one of them. (Medians for a yardstick: Hampel F.R.
    1974, J. Am. Stat. Assoc. 69, 383.)

    Parameters
    ----------
    time, temperature : ndarray, shape (n,)
        [s], rising; [K].
    least : float
        Distance from both medians [K] below which nothing is called a spike.
    """
    if time.size < _NEIGHBOURHOOD:
        return np.zeros(time.size, dtype=bool)
    of_three = median_filter(temperature, 3, mode="nearest")
    after = np.abs(temperature - np.concatenate((of_three[2:], of_three[-3:-1])))
    before = np.abs(temperature - np.concatenate((of_three[1:3], of_three[:-2])))
    # The first and last two have neighbours on one side only.
    before[:2], after[-2:] = after[:2], before[-2:]
    far = np.minimum(before, after)
    median = median_filter(temperature, _NEIGHBOURHOOD, mode="nearest")
    beyond = max(least, _NOISES * noise_of(temperature)[0])
    # Where readings are far apart, or the lehr moves fast, neighbours differ by themselves.
    moves = maximum_filter1d(np.abs(np.gradient(median)), _NEIGHBOURHOOD, mode="nearest")
    return np.asarray(far > beyond + 3.0 * moves)


def smoothed(time: FloatArray, temperature: FloatArray) -> FloatArray:
    """Running mean over as many readings as the noise asks for, never across a gap, shape (n,).

    A log with hardly any noise comes back as it is.
    """
    count = _readings_to_average(temperature)
    if count == 1:
        return temperature
    ends = np.flatnonzero(~joined_steps(time)) + 1
    parts = np.split(temperature, ends)
    return np.concatenate([_mean(part, count) for part in parts])


def _readings_to_average(temperature: FloatArray) -> int:
    noise, _ = noise_of(temperature)
    count = math.ceil((noise / _LEFT) ** 2)
    return min(_LONGEST_MEAN, count + 1 - count % 2) if count > 1 else 1


def _mean(part: FloatArray, count: int) -> FloatArray:
    """Centred running mean; at either end the straight line through the last full window."""
    count = min(count, part.size - 1 + part.size % 2)
    if count < 3:
        return part
    half = count // 2
    result = np.asarray(uniform_filter1d(part, count, mode="nearest"))
    place = np.arange(count) - half
    for window, kept in ((part[:count], slice(0, half)), (part[-count:], slice(-half, None))):
        slope = float(place @ window) / float(place @ place)
        result[kept] = float(window.mean()) + slope * place[kept]
    return result
