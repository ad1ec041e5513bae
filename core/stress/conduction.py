"""Temperature through the thickness in time: implicit finite volumes, all sections at once.

Each section is a row of nodes, with one node more for a shelf. The equations of all rows are laid
end to end as one tridiagonal system, solved by one LAPACK call a stage.

Time stepping: the two-stage, stiffly accurate, L-stable method of second order (Alexander R.
1977, SIAM J. Numer. Anal. 14, 1006), with heat capacity, conductivity and film coefficient at the
temperatures expected at mid-step, which keeps second order with linear equations. Steps end at
every corner of the chamber's history.

Error control: the first-order method embedded in it bounds the curvature of every node's path in
time; steps are chosen so that the two differ by no more than ``temperature_tolerance`` and
repeated when by more than three times that. Within the range where the glass freezes no node may
change by more than ``largest_change`` in a step, which bounds the change of the relaxation rate.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dgttrf, dgttrs

from core.errors import StoppedError, StressError
from core.piece.surface import STEFAN_BOLTZMANN
from core.stress.batch import Batch
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
_RISE = 0.00146
"""[1/K] of the heat capacity's denominator, see :mod:`core.glass.heat`."""
_MOST_STEPS = 400_000
_SHORTEST = 1e-6
"""Step [s] below which the error control gives in."""


@dataclass(frozen=True)
class Accuracy:
    """How finely the engine reckons.

    Attributes
    ----------
    nodes : int
        Through each section, odd.
    temperature_tolerance : float
        Bound on what a step's curvature may amount to in any node [K].
    largest_change : float
        Of any node in a step within the freezing range [K].
    """

    nodes: int = 13
    temperature_tolerance: float = 0.5
    largest_change: float = 5.0

    def refined(self) -> Accuracy:
        """Twice the nodes, half the steps."""
        return Accuracy(
            2 * self.nodes - 1, self.temperature_tolerance / 4.0, self.largest_change / 2.0
        )


@dataclass(frozen=True, eq=False)
class Entry:
    """Sections that are put in at a time, with their temperatures."""

    time: float
    mask: BoolArray
    temperature: FloatArray
    """Shape (sections, nodes); only the masked rows count."""


class _Film:
    """Coefficients at given temperatures, as vectors over the rows laid end to end."""

    def __init__(self, batch: Batch) -> None:
        s, n = batch.place.shape
        self.rows, self.width = s, n + 1
        self.content = np.zeros((s, n + 1))
        self.content[:, 1:] = batch.volume * batch.density[:, None]
        self.shelf = batch.shelf_content
        self.has_shelf = batch.shelf_coupling > 0
        a, c0 = (term[:, None] for term in batch.heat_terms)
        self.heat = (c0, 2.0 * a, _RISE * a)
        # Between nodes j and j + 1 of a row; the last of each row leads nowhere.
        spread = np.zeros((s, n + 1))
        spread[:, 1:-1] = batch.spread
        k0, slope = (term[:, None] for term in batch.conductivity_terms)
        self.constant = (spread * k0).ravel()
        self.slope = (spread * slope * 0.5).ravel()
        self.coupling = np.zeros((s, n + 1))
        self.coupling[:, 0] = batch.shelf_coupling
        self.constant += self.coupling.ravel()
        self.constant = self.constant[:-1]
        self.slope = self.slope[:-1]
        self.radiation = batch.emissivity * STEFAN_BOLTZMANN
        self.convection = batch.convection
        self.fixed = batch.fixed

    def capacity(self, t: FloatArray) -> FloatArray:
        """Heat content per kelvin of every node [J/(m2 K)]."""
        celsius = t.reshape(self.rows, self.width) - ZERO_CELSIUS
        c0, twice, risen = self.heat
        below = 1.0 + _RISE * celsius
        heat = (c0 + celsius * (twice + risen * celsius)) / (below * below)
        content = heat * self.content
        content[:, 0] = self.shelf
        return content.ravel()

    def conductance(self, t: FloatArray) -> FloatArray:
        """Between neighbours [W/(m2 K)]."""
        sums = t[1:] + t[:-1]
        return self.constant + self.slope * (sums - 2.0 * ZERO_CELSIUS)

    def exchange(self, surface: FloatArray, chamber: FloatArray) -> FloatArray:
        """Film coefficient q/(T_chamber - T_surface) [W/(m2 K)]."""
        difference = chamber - surface
        rays = (chamber * chamber + surface * surface) * (chamber + surface)
        air = (difference * difference + 1e-4) ** 0.125
        return self.radiation * rays + self.convection * air + self.fixed


@dataclass(frozen=True, eq=False)
class Temperatures:
    """Temperatures of every node at every step.

    Attributes
    ----------
    time : ndarray, shape (m,)
        [s]
    temperature : ndarray, shape (m, sections, nodes)
        [K]
    entries : dict of int to ndarray
        Masks of sections put in, by the step they begin at.
    """

    time: FloatArray
    temperature: FloatArray
    entries: dict[int, BoolArray]


def conduct(
    batch: Batch,
    corners: FloatArray,
    chamber: FloatArray,
    initial: FloatArray,
    entries: tuple[Entry, ...],
    ends: FloatArray,
    accuracy: Accuracy,
    stopped: object = None,
) -> Temperatures:
    """Follow all sections through their chamber histories.

    Parameters
    ----------
    batch : Batch
    corners : ndarray, shape (c,)
        Times at which any history has a corner or anything is put in [s], rising.
    chamber : ndarray, shape (c, sections)
        Chamber temperature of each section there [K].
    initial : ndarray, shape (sections, nodes)
        [K].
    entries : tuple of Entry
        At times among the corners.
    ends : ndarray, shape (sections,)
        When each section's history is over [s]; then it no longer counts for the step.
    accuracy : Accuracy
    stopped : callable, optional
        Asked once a corner; when it answers true, :class:`core.errors.StoppedError` is raised.

    Raises
    ------
    StressError
        If the history needs more steps than can be taken.
    """
    film = _Film(batch)
    rows, width = film.rows, film.width
    state = np.empty((rows, width))
    state[:, 1:] = initial
    state[:, 0] = chamber[0]
    counts = np.ones((rows, 1), dtype=bool)
    late = {float(e.time): e for e in entries}
    for entry in entries:
        if entry.time > corners[0]:
            counts[entry.mask] = False
    low, high = (bound[:, None] for bound in batch.active_range)
    t = state.ravel()
    slope = np.zeros_like(t)
    times, kept = [float(corners[0])], [t.reshape(rows, width)[:, 1:].copy()]
    begins: dict[int, BoolArray] = {}
    tolerance, most = accuracy.temperature_tolerance, accuracy.largest_change
    step = 1.0
    now = float(corners[0])
    slack = 1.0 + 1e-9
    for c in range(corners.size - 1):
        if callable(stopped) and stopped():
            raise StoppedError("Stopped.")
        if now in late:
            entry = late[now]
            begins[len(times) - 1] = entry.mask
            t = t.copy()
            t.reshape(rows, width)[entry.mask, 1:] = entry.temperature[entry.mask]
            kept[-1] = t.reshape(rows, width)[:, 1:].copy()
            slope.reshape(rows, width)[entry.mask] = 0.0
            counts[entry.mask] = True
            step = 1.0
        counts[ends <= now] = False
        end = float(corners[c + 1])
        ramp = (chamber[c + 1] - chamber[c]) / (end - now)
        origin = now
        while now < end:
            left = end - now
            h = left if step * slack >= left else min(step, min(step, 0.5 * left))
            while True:
                new, curved = _advance(film, t, slope, h, chamber[c] + ramp * (now - origin), ramp)
                change = new - t
                grid = change.reshape(rows, width)[:, 1:]
                before = t.reshape(rows, width)[:, 1:]
                after = before + grid
                freezing = (np.minimum(before, after) < high) & (np.maximum(before, after) > low)
                jump = float((np.abs(grid) * (freezing & counts)).max())
                error = float((curved.reshape(rows, width)[:, 1:] * counts).max())
                if (error <= 3.0 * tolerance and jump <= 1.5 * most) or h <= _SHORTEST:
                    break
                h *= max(
                    0.1,
                    min(
                        0.8 * math.sqrt(tolerance / max(error, 1e-30)),
                        0.9 * most / max(jump, 1e-30),
                        0.5,
                    ),
                )
            t = new
            slope = change / h
            now = end if h == left else now + h
            times.append(now)
            kept.append(t.reshape(rows, width)[:, 1:])
            if len(times) > _MOST_STEPS:
                raise StressError(
                    "This history needs too many steps.",
                    field="time",
                    remedy="Shorten it, or reduce the log first.",
                )
            growth = min(4.0, 0.9 * math.sqrt(tolerance / max(error, 1e-12)))
            if jump > 0.1 * most:
                growth = min(growth, 0.95 * most / jump)
            step = max(step, h * growth) if h < step and growth > 1.0 else h * growth
            step = max(step, _SHORTEST)
    return Temperatures(np.array(times), np.stack(kept), begins)


def _advance(
    film: _Film, t: FloatArray, slope: FloatArray, h: float, chamber: FloatArray, ramp: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """One step: new temperatures and how far the embedded method is from them [K]."""
    middle = t + (0.5 * h) * slope
    capacity = film.capacity(middle)
    between = film.conductance(middle)
    width = film.width
    coefficient = film.exchange(middle[width - 1 :: width], chamber + 0.5 * h * ramp)
    under = None
    diagonal = capacity.copy()
    reach = _GAMMA * h
    share = reach * between
    diagonal[:-1] += share
    diagonal[1:] += share
    diagonal[width - 1 :: width] += reach * coefficient
    if film.has_shelf.any():
        under = film.exchange(middle[0::width], chamber + 0.5 * h * ramp) * film.has_shelf
        diagonal[0::width] += reach * under
    off = -share
    lower, middle_band, upper, second, pivots, _ = dgttrf(off, diagonal, off)

    def flow(x: FloatArray, around: FloatArray) -> FloatArray:
        q = between * (x[1:] - x[:-1])
        gain = np.empty_like(x)
        gain[:-1] = q
        gain[-1] = 0.0
        gain[1:] -= q
        gain[width - 1 :: width] += coefficient * (around - x[width - 1 :: width])
        if under is not None:
            gain[0::width] += under * (around - x[0::width])
        return gain

    k1, _ = dgttrs(lower, middle_band, upper, second, pivots, flow(t, chamber + reach * ramp))
    k2, _ = dgttrs(
        lower,
        middle_band,
        upper,
        second,
        pivots,
        flow(t + ((1.0 - _GAMMA) * h) * k1, chamber + h * ramp),
    )
    new = t + h * ((1.0 - _GAMMA) * k1 + _GAMMA * k2)
    curved = np.abs(k2 - k1) * (0.5 * h / (1.0 - _GAMMA))
    return new, curved
