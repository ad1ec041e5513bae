"""Viscosity against temperature from the model fitted to open data, with its interval.

Measured points move the three numbers behind the curve by their errors, and what is then still
missing is added to the temperature, so that the curve runs through every measured fixed point:
linear in log viscosity between them, and fading within three decades beyond the first and last.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from typing import overload

import numpy as np
from numpy.typing import NDArray

from core.errors import GlassError
from core.glass.property_fit.coefficients import model
from core.glass.property_fit.fitted_viscosity import (
    LEAST_LOG,
    MOST_LOG,
    POINTS,
    FittedViscosity,
    curve_interval,
    log_viscosity_at,
    point_values,
    temperature_at,
)
from core.glass.property_fit.viscosity_form import KINDS
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

_FADE = 3.0
"""Decades beyond the outermost measured points over which their pull on the curve fades."""
_HALVINGS = 60


@functools.cache
def point_log_viscosity(point: str) -> float:
    """log10(viscosity / Pa s) at which the open data have a point, such as ``softening_point``.

    Raises
    ------
    KeyError
        If the model has no such point.
    """
    return float(model().properties["viscosity"].level[KINDS.index(POINTS[point])])


class FittedCurve:
    """Curve of one glass.

    Parameters
    ----------
    fitted : FittedViscosity
        Of one glass, with its measurements taken in.
    points : sequence of (float, float)
        (log10(viscosity / Pa s), temperature [K]) the curve must run through, any order.

    Raises
    ------
    GlassError
        If the curve would not fall everywhere: the points cannot belong to one glass.
    """

    def __init__(self, fitted: FittedViscosity, points: Sequence[tuple[float, float]] = ()) -> None:
        self.fitted = fitted
        self._p = fitted.p[0]
        self._log: FloatArray | None = None
        if points:
            self._move_to(sorted(points))

    def _move_to(self, points: list[tuple[float, float]]) -> None:
        log, kelvin = np.array(points, dtype=np.float64).T
        missing = kelvin - temperature_at(log, self._p)
        self._log = np.concatenate(([log[0] - _FADE], log, [log[-1] + _FADE]))
        self._shift = np.concatenate(([0.0], missing, [0.0]))
        along = np.linspace(LEAST_LOG, MOST_LOG, 160)
        along = np.union1d(along, log)
        falls = np.diff(self._temperature(along)) < 0.0
        if not falls.all():
            at = along[int(np.argmin(falls))]
            raise GlassError(
                "The measured points cannot belong to one glass: viscosity would not fall all "
                f"the way near 10^{at:.1f} Pa s "
                f"({float(temperature_at(at, self._p)) - ZERO_CELSIUS:.0f} °C).",
                remedy="Check them against the sheet.",
            )

    def _temperature(self, log: FloatArray) -> FloatArray:
        return temperature_at(log, self._p) + self._shift_at(log)

    def _shift_at(self, log: FloatArray) -> FloatArray:
        if self._log is None:
            return np.zeros_like(log)
        result: FloatArray = np.interp(log, self._log, self._shift)
        return result

    @overload
    def temperature(self, log_viscosity: float) -> float: ...
    @overload
    def temperature(self, log_viscosity: FloatArray) -> FloatArray: ...
    def temperature(self, log_viscosity: float | FloatArray) -> float | FloatArray:
        """Temperature [K] at which the viscosity is reached, any shape.

        Raises
        ------
        GlassError
            If a viscosity is below 10^0.5 Pa s.
        """
        log = np.asarray(log_viscosity, dtype=np.float64)
        _require_in_reach(log)
        result = self._temperature(log)
        return result if isinstance(log_viscosity, np.ndarray) else float(result)

    @overload
    def log_viscosity(self, temperature: float) -> float: ...
    @overload
    def log_viscosity(self, temperature: FloatArray) -> FloatArray: ...
    def log_viscosity(self, temperature: float | FloatArray) -> float | FloatArray:
        """log10(viscosity / Pa s) at a temperature [K], any shape."""
        kelvin = np.asarray(temperature, dtype=np.float64)
        result = np.asarray(log_viscosity_at(kelvin, self._p))
        if self._log is not None:
            thin = np.full(kelvin.shape, max(self._log[0], LEAST_LOG))
            thick = np.full(kelvin.shape, min(self._log[-1], MOST_LOG))
            moved = (kelvin < self._temperature(thin)) & (kelvin > self._temperature(thick))
            for _ in range(_HALVINGS):
                middle = 0.5 * (thin + thick)
                hotter = self._temperature(middle) > kelvin
                thin, thick = np.where(hotter, middle, thin), np.where(hotter, thick, middle)
            result = np.where(moved, 0.5 * (thin + thick), result)
        return result if isinstance(temperature, np.ndarray) else float(result)

    def interval(self, log_viscosity: FloatArray) -> tuple[FloatArray, FloatArray]:
        """90 % interval [K] of the temperature at viscosities (k,), each of shape (k,).

        Raises
        ------
        GlassError
            As :meth:`temperature`.
        """
        _require_in_reach(log_viscosity)
        low, high = curve_interval(log_viscosity, self.fitted)
        moved = self._shift_at(log_viscosity)
        return low[0] + moved, high[0] + moved

    def points(self) -> dict[str, tuple[float, float, float]]:
        """Temperature [K] of each point of the model and its 90 % interval: value, low, high."""
        moved = self._shift_at(np.array([point_log_viscosity(name) for name in POINTS]))
        return {
            name: tuple(float(end[0]) + by for end in (known.value, known.low, known.high))
            for (name, known), by in zip(
                point_values(self.fitted).items(), moved.tolist(), strict=True
            )
        }


def _require_in_reach(log_viscosity: FloatArray) -> None:
    if not bool(np.all(log_viscosity >= LEAST_LOG)):
        raise GlassError(
            f"The curve says nothing of a glass thinner than 10^{LEAST_LOG:g} Pa s.",
            field="log_viscosity",
            remedy="Ask for a higher viscosity.",
        )
