"""The cooling of a night as one falling curve, of which every temperature has one time.

Noise and a controller's hunting make a log pass a temperature many times; the first passage is
early, the last is late, and a rate taken from one to the other is too fast. Isotonic regression,
the falling curve nearest to all readings by least squares, has neither fault, and leaves a log
that falls by itself as it is (Barlow R.E. et al. 1972, Statistical Inference under Order
Restrictions; reckoned by :func:`scipy.optimize.isotonic_regression`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import isotonic_regression

from core.run.gaps import Gap, gaps_of
from core.run.smoothing import smoothed

FloatArray = NDArray[np.float64]

_ABOUT = 1.0
"""[K] What averaging leaves of the noise, and more."""
_LOOK_BACK = 3600.0
"""[s] of readings above the top that the curve begins with."""


@dataclass(frozen=True, eq=False)
class FallingCurve:
    """A strictly falling curve; straight lines between its points.

    Attributes
    ----------
    time, temperature : ndarray, shape (n,)
        [s], rising; [K], falling. A point stands for all readings that are alike in it.
    gaps : tuple of Gap
        Stretches without readings.
    """

    time: FloatArray
    temperature: FloatArray
    gaps: tuple[Gap, ...]

    def passes(self, level: float) -> float | None:
        """When a temperature [K] is passed [s]; ``None`` outside the curve or within a gap."""
        if self.time.size < 2 or not self.temperature[-1] <= level <= self.temperature[0]:
            return None
        time = float(np.interp(-level, -self.temperature, self.time))
        if any(gap.start < time < gap.end for gap in self.gaps):
            return None
        return time

    def mean_rate(self, top: float, bottom: float) -> float | None:
        """Mean cooling rate between two temperatures [K/s]; ``None`` where either is not told."""
        begin, end = self.passes(top), self.passes(bottom)
        if begin is None or end is None or end <= begin:
            return None
        return (top - bottom) / (end - begin)

    def gaps_between(self, top: float, bottom: float) -> tuple[Gap, ...]:
        """Gaps in which the curve is anywhere between two temperatures [K]."""
        found = []
        for gap in self.gaps:
            first, last = np.interp((gap.start, gap.end), self.time, self.temperature)
            if first > bottom and last < top:
                found.append(gap)
        return tuple(found)


def falling_from(
    time: FloatArray,
    temperature: FloatArray,
    top: float,
    gap_after: float | None = None,
    quiet: FloatArray | None = None,
) -> FallingCurve | None:
    """The cooling after a log was last above a temperature.

    Parameters
    ----------
    time, temperature : ndarray, shape (n,)
        [s], rising; [K].
    top : float
        [K].
    gap_after : float, optional
        Spacing of readings that counts as a gap [s].
    quiet : ndarray, shape (n,), optional
        The log smoothed already (:func:`core.run.smoothing.smoothed`).

    Returns
    -------
    FallingCurve or None
        ``None`` where the log was never above ``top``, or never came down from it.
    """
    if time.size < 2:
        return None
    quiet = smoothed(time, temperature) if quiet is None else quiet
    above = quiet >= top
    if not above.any() or above[-1]:
        return None
    leave = int(above.size - 1 - np.argmax(above[::-1]))
    # All of the stay about the top or above it that ends here, as far as an hour back.
    stay = quiet[: leave + 1][::-1] >= top - _ABOUT
    length = leave + 1 if stay.all() else int(np.argmin(stay))
    earliest = min(leave, int(np.searchsorted(time, time[leave] - _LOOK_BACK)))
    begin = max(leave - length + 1, earliest)
    return falling_curve(time[begin:], temperature[begin:], gap_after)


def falling_curve(
    time: FloatArray, temperature: FloatArray, gap_after: float | None = None
) -> FallingCurve:
    """The falling curve nearest to readings of a cooling.

    Parameters
    ----------
    time, temperature : ndarray, shape (n,)
        [s], rising; [K].
    gap_after : float, optional
        [s].
    """
    found = isotonic_regression(temperature, increasing=False)
    starts = np.asarray(found.blocks)[:-1].astype(np.intp)
    counts = np.diff(np.append(starts, time.size))
    origin = float(time[0])
    centre = np.add.reduceat(time - origin, starts) / counts + origin
    return FallingCurve(centre, np.asarray(found.x)[starts], gaps_of(time, gap_after))
