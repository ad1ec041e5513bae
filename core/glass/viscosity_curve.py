"""Viscosity against temperature: the Vogel-Fulcher-Tammann curve, plain and corrected.

log10(viscosity / Pa s) = a + b / (T - t0), with T and t0 in kelvin (Vogel 1921, Fulcher 1925,
Tammann and Hesse 1926). Viscosities are in Pa s throughout: log10(Pa s) = log10(poise) - 1.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol, overload

import numpy as np
from numpy.typing import NDArray

from core.errors import GlassError
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]


class ViscosityCurve(Protocol):
    """Anything that turns temperature into viscosity and back."""

    @overload
    def log_viscosity(self, temperature: float) -> float: ...
    @overload
    def log_viscosity(self, temperature: FloatArray) -> FloatArray: ...
    def log_viscosity(self, temperature: float | FloatArray) -> float | FloatArray:
        """log10(viscosity / Pa s) at a temperature [K]; infinite where the glass is rigid."""

    @overload
    def temperature(self, log_viscosity: float) -> float: ...
    @overload
    def temperature(self, log_viscosity: FloatArray) -> FloatArray: ...
    def temperature(self, log_viscosity: float | FloatArray) -> float | FloatArray:
        """Temperature [K] at which log10(viscosity / Pa s) has this value."""


def _like(given: float | FloatArray, result: FloatArray) -> float | FloatArray:
    return result if isinstance(given, np.ndarray) else float(result)


def _too_fluid(lowest: float) -> GlassError:
    return GlassError(
        f"This glass never gets as thin as log10(viscosity / Pa s) = {lowest:.2f}.",
        field="log_viscosity",
        remedy="Ask for a higher viscosity.",
    )


@dataclass(frozen=True)
class VftCurve:
    """log10(viscosity / Pa s) = a + b / (T - t0).

    Attributes
    ----------
    a : float
        Log viscosity at infinite temperature [-].
    b : float
        [K], positive.
    t0 : float
        [K]; above it the glass flows, at and below it the curve is infinite.

    Raises
    ------
    GlassError
        If a number is not finite or b is not positive.
    """

    a: float
    b: float
    t0: float

    def __post_init__(self) -> None:
        if not all(math.isfinite(v) for v in (self.a, self.b, self.t0)) or self.b <= 0:
            raise GlassError(
                f"a = {self.a:.3f}, b = {self.b:.1f} K, t0 = {self.t0:.1f} K is not a viscosity "
                "curve that falls with temperature."
            )

    @overload
    def log_viscosity(self, temperature: float) -> float: ...
    @overload
    def log_viscosity(self, temperature: FloatArray) -> FloatArray: ...
    def log_viscosity(self, temperature: float | FloatArray) -> float | FloatArray:
        """log10(viscosity / Pa s) at a temperature [K], any shape; infinite at or below t0."""
        above = np.asarray(temperature, dtype=np.float64) - self.t0
        with np.errstate(divide="ignore", over="ignore"):
            result = np.where(above > 0, self.a + self.b / np.maximum(above, 0.0), np.inf)
        return _like(temperature, result)

    @overload
    def temperature(self, log_viscosity: float) -> float: ...
    @overload
    def temperature(self, log_viscosity: FloatArray) -> FloatArray: ...
    def temperature(self, log_viscosity: float | FloatArray) -> float | FloatArray:
        """Temperature [K] at which the viscosity is reached, any shape.

        Raises
        ------
        GlassError
            If a viscosity is at or below 10^a Pa s, which the curve never reaches.
        """
        log_eta = np.asarray(log_viscosity, dtype=np.float64)
        if not bool(np.all(log_eta > self.a)):
            raise _too_fluid(self.a)
        return _like(log_viscosity, np.asarray(self.t0 + self.b / (log_eta - self.a)))


def vft_through(points: Sequence[tuple[float, float]]) -> VftCurve:
    """VFT curve exactly through three (log10(viscosity / Pa s), temperature [K]) points.

    Closed form: the two chord slopes have the ratio r = (T3 - t0)/(T1 - t0), which gives t0,
    then b and a. Any order of points.

    Raises
    ------
    GlassError
        If there are not three points; if viscosity does not fall from each point to the next
        hotter one; or if log viscosity does not flatten with temperature (then no t0 below the
        lowest temperature and no positive b exist).
    """
    if len(points) != 3:
        raise GlassError(f"A VFT curve needs three points, not {len(points)}.")
    (l1, t1), (l2, t2), (l3, t3) = sorted(points, key=lambda point: point[1])
    shown = ", ".join(f"10^{log:g} Pa s at {t - ZERO_CELSIUS:.0f} °C" for log, t in sorted(points))
    if not all(math.isfinite(v) for v in (l1, l2, l3, t1, t2, t3)):
        raise GlassError(f"The points are not all numbers: {shown}.")
    if not (t1 < t2 < t3 and l1 > l2 > l3):
        raise GlassError(f"Viscosity must fall as the temperature rises, but: {shown}.")
    cold_slope = (l1 - l2) / (t2 - t1)
    hot_slope = (l2 - l3) / (t3 - t2)
    ratio = cold_slope / hot_slope
    if ratio <= 1.0 + 1e-9:
        raise GlassError(
            f"No VFT curve runs through these points, viscosity would have to fall faster "
            f"when hot than when cold: {shown}."
        )
    t0 = t1 - (t3 - t1) / (ratio - 1.0)
    b = cold_slope * (t1 - t0) * (t2 - t0)
    return VftCurve(a=l1 - b / (t1 - t0), b=b, t0=t0)


class CorrectedCurve:
    """A VFT curve moved so that it meets measured points exactly.

    The shift in temperature is linear in log viscosity between the measured points and constant
    beyond the first and last.

    Parameters
    ----------
    base : VftCurve
        The model's curve.
    points : iterable of (float, float)
        Measured (log10(viscosity / Pa s), temperature [K]), at least one, any order.

    Raises
    ------
    GlassError
        If no point is given, two have the same viscosity, or the corrected curve would not fall
        everywhere (measured points that cannot belong to one glass).
    """

    def __init__(self, base: VftCurve, points: Iterable[tuple[float, float]]) -> None:
        ordered = sorted(points)
        if not ordered:
            raise GlassError("No measured point to correct the curve with.")
        self.base = base
        self.points: tuple[tuple[float, float], ...] = tuple(ordered)
        self._log = np.array([log for log, _ in ordered], dtype=np.float64)
        self._knot = np.array([temperature for _, temperature in ordered], dtype=np.float64)
        if not (np.isfinite(self._log).all() and np.isfinite(self._knot).all()):
            raise GlassError("A measured point is not a number.")
        if bool(np.any(np.diff(self._log) <= 0)):
            raise GlassError("Two measured points have the same viscosity.")
        self._shift = self._knot - base.temperature(self._log)
        # Piece 0 lies on the hot side of the first knot, piece n on the cold side of the last.
        slopes = np.diff(self._shift) / np.diff(self._log)
        self._slope = np.concatenate(([0.0], slopes, [0.0]))
        starts = np.concatenate((self._shift[:1], self._shift))
        anchors = np.concatenate((self._log[:1], self._log))
        self._intercept = starts - self._slope * anchors
        for (cold_log, cold), (hot_log, hot), slope in zip(
            ordered[1:], ordered[:-1], slopes, strict=True
        ):
            # The base curve is flattest at the cold end of a piece.
            if slope >= base.b / (cold_log - base.a) ** 2:
                raise GlassError(
                    f"Measured points of {cold - ZERO_CELSIUS:.0f} °C at 10^{cold_log:g} Pa s "
                    f"and {hot - ZERO_CELSIUS:.0f} °C at 10^{hot_log:g} Pa s cannot belong to "
                    "one glass: viscosity would not fall all the way between them.",
                    remedy="Check both against the sheet.",
                )

    @overload
    def temperature(self, log_viscosity: float) -> float: ...
    @overload
    def temperature(self, log_viscosity: FloatArray) -> FloatArray: ...
    def temperature(self, log_viscosity: float | FloatArray) -> float | FloatArray:
        """Temperature [K] at which the viscosity is reached, any shape; see :class:`VftCurve`."""
        log_eta = np.asarray(log_viscosity, dtype=np.float64)
        moved = self.base.temperature(log_eta) + np.interp(log_eta, self._log, self._shift)
        return _like(log_viscosity, np.asarray(moved))

    @overload
    def log_viscosity(self, temperature: float) -> float: ...
    @overload
    def log_viscosity(self, temperature: FloatArray) -> FloatArray: ...
    def log_viscosity(self, temperature: float | FloatArray) -> float | FloatArray:
        """log10(viscosity / Pa s) at a temperature [K], any shape; infinite where rigid."""
        kelvin = np.asarray(temperature, dtype=np.float64)
        # Knot temperatures fall with log viscosity, so the search runs on their negatives.
        piece = np.searchsorted(-self._knot, -kelvin)
        slope = self._slope[piece]
        # Within a piece T = t0 + b/x + c + m (x + a), x = log viscosity - a > 0: a quadratic
        # m x^2 - y x + b = 0 with y = T - t0 - c - m a, whose wanted root is written without
        # cancellation. For m = 0 it is b/y.
        a, b = self.base.a, self.base.b
        y = kelvin - self.base.t0 - self._intercept[piece] - slope * a
        root = np.sqrt(np.maximum(y * y - 4.0 * slope * b, 0.0))
        below = y + root
        with np.errstate(divide="ignore", over="ignore"):
            result = np.where(below > 0, a + 2.0 * b / np.where(below > 0, below, 1.0), np.inf)
        return _like(temperature, np.asarray(result))
