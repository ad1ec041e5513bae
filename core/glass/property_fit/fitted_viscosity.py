"""Viscosity of glasses from their analysis, with intervals: the model fitted to open data.

Each glass is described by three numbers p (see :mod:`core.glass.property_fit.viscosity_form`) and
their covariance: how well the data settle the coefficients here, what glasses of one nominal
composition differ by, what laboratories differ by. Intervals are of 90 % for a value that another
laboratory would measure; their width was calibrated on author groups left out of the fit.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from core.errors import GlassError
from core.glass.property_fit.coefficients import MODEL_NAME, Property, Values, lower_end, model
from core.glass.property_fit.viscosity_form import KINDS, Bends, curve, inverse
from core.units import ZERO_CELSIUS

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

FloatArray = NDArray[np.float64]

__all__ = [
    "MODEL_NAME",
    "POINTS",
    "FittedViscosity",
    "conditioned",
    "curve_interval",
    "fitted_viscosity",
    "log_viscosity_at",
    "model_version",
    "point_interval",
    "point_temperature",
    "point_values",
    "temperature_at",
]

POINTS: dict[str, str] = {
    "strain_point": "strain_C",
    "annealing_point": "anneal_C",
    "glass_transition": "Tg_C",
    "softening_point": "littleton_C",
    "working_point": "T_log3_C",
    "temperature_log2": "T_log2_C",
    "melting_point": "T_log1_C",
}
"""Point -> the kind of measurement in the open data that it is."""

LEAST_LOG, MOST_LOG = 0.5, 16.0
_KINDS_OF_POINTS = np.array([KINDS.index(kind) for kind in POINTS.values()])
_FORM_ERROR = 2.0
"""[K] No curve of three numbers follows a real one closer than this (our choice)."""
_ALONG = (
    *(f"T_log{n}_C" for n in range(1, 6)),
    "littleton_C",
    *(f"T_log{n}_C" for n in range(8, 12)),
    *("anneal_C", "strain_C"),
)
_KINDS_ALONG = np.array([KINDS.index(kind) for kind in _ALONG])
"""Kinds that the interval along the curve goes by, from thin to thick."""


@dataclass(frozen=True, eq=False)
class FittedViscosity:
    """Viscosity of n glasses.

    Attributes
    ----------
    p : ndarray, shape (n, 3)
        Numbers of the viscosity form.
    covariance : ndarray, shape (n, 3, 3)
        Of p of this very glass.
    slopes_at : ndarray, shape (n, 3)
        The p at which intervals take their slopes; stays when measurements move p, so that a
        measurement can only narrow an interval.
    """

    p: FloatArray
    covariance: FloatArray
    slopes_at: FloatArray


def model_version() -> str:
    """Short version of the coefficients, shown to users."""
    return model().version


def fitted_viscosity(weight_percent: FloatArray) -> FittedViscosity:
    """Viscosity of glasses from amounts by weight (n, 29), on any scale, in ``OXIDES`` order."""
    p, covariance = _viscosity().estimate(model().known(weight_percent))
    return FittedViscosity(p, covariance, p)


def temperature_at(log_viscosity: FloatArray | float, p: FloatArray) -> FloatArray:
    """Temperature [K] at log10(viscosity / Pa s) from 0.5 to 16; falls with it for any p.

    ``log_viscosity`` (...) is broadcast against p (..., 3).
    """
    return curve(np.asarray(log_viscosity, dtype=np.float64), p, _bends())[0] + ZERO_CELSIUS


def log_viscosity_at(temperature: FloatArray | float, p: FloatArray) -> FloatArray:
    """log10(viscosity / Pa s) at a temperature [K]: the inverse of :func:`temperature_at`."""
    celsius = np.asarray(temperature, dtype=np.float64) - ZERO_CELSIUS
    return inverse(celsius, p, _bends())


def point_temperature(point: str, p: FloatArray) -> FloatArray:
    """Temperature [K] of a point of :data:`POINTS` from p (..., 3)."""
    return temperature_at(_level(point), p)


def point_interval(point: str, fitted: FittedViscosity) -> tuple[FloatArray, FloatArray]:
    """90 % interval [K], (n,) each, for the point as another laboratory would measure it."""
    own, kind = _viscosity(), _kind(point)
    middle = point_temperature(point, fitted.p)
    half = own.width[kind] * _deviation(own.level[kind], fitted, own.scatter[kind])
    return _ends(middle, half)


def point_values(fitted: FittedViscosity) -> dict[str, Values]:
    """All points of :data:`POINTS` at once: temperatures and 90 % intervals [K]."""
    own, kinds = _viscosity(), _KINDS_OF_POINTS
    level = own.level[kinds]
    middle = temperature_at(level, fitted.p[:, None])
    half = own.width[kinds] * _deviation(level, _along(fitted), own.scatter[kinds])
    low, high = _ends(middle, half)
    return {
        point: Values(middle[:, at], low[:, at], high[:, at]) for at, point in enumerate(POINTS)
    }


def curve_interval(
    log_viscosity: FloatArray | float, fitted: FittedViscosity
) -> tuple[FloatArray, FloatArray]:
    """90 % interval [K] along the curve, shape (n,) or (n, k) for k viscosities.

    For a value that another laboratory would measure at that viscosity. At the levels of the
    named points it is the interval of :func:`point_interval`, but for the glass transition, which
    by other methods lies at nearly the viscosity of the annealing point. Near the softening point
    it is that of the fibre test, which laboratories agree on better than on viscosities measured
    there (10^6 and 10^7 Pa s): of those it holds some 85 to 90 in a hundred.
    """
    log = np.asarray(log_viscosity, dtype=np.float64)
    many = _along(fitted) if log.ndim == 1 else fitted
    spread = _spread_along()
    width, scatter = np.moveaxis(spread(np.clip(log, spread.x[0], spread.x[-1])), -1, 0)
    return _ends(temperature_at(log, many.p), width * _deviation(log, many, scatter))


def conditioned(
    fitted: FittedViscosity, measured: Sequence[tuple[float | str, float, float]]
) -> FittedViscosity:
    """One glass with measurements of its own taken in.

    Parameters
    ----------
    fitted : FittedViscosity
        Of one glass.
    measured : sequence of (log10(viscosity / Pa s) or point, temperature [K], standard error [K])

    Returns
    -------
    FittedViscosity
        The most probable p with these measurements (Gaussian, iterated to the curve's bend) and
        its covariance, which no measurement widens.

    Raises
    ------
    GlassError
        If a number is not finite, an error is not above 0, or a viscosity lies off the curve.
    """
    if not measured:
        return fitted
    log = np.array([_level(at) if isinstance(at, str) else float(at) for at, _, _ in measured])
    value = np.array([temperature for _, temperature, _ in measured], dtype=np.float64)
    error = np.array([deviation for _, _, deviation in measured], dtype=np.float64)
    if not (np.isfinite(value).all() and np.isfinite(error).all() and (error > 0.0).all()):
        raise GlassError(
            "A measured point needs a temperature and an error above 0.", field="measured"
        )
    if not ((log >= LEAST_LOG) & (log <= MOST_LOG)).all():
        raise GlassError(
            f"Viscosities from 10^{LEAST_LOG:g} to 10^{MOST_LOG:g} Pa s can be taken in.",
            field="measured",
        )
    prior, covariance = fitted.p[0], fitted.covariance[0]
    noise = np.diag(error**2 + _FORM_ERROR**2)
    p = prior
    for _ in range(20):
        temperature, slope = curve(log, p, _bends())
        spread = slope @ covariance @ slope.T + noise
        surprise = value - ZERO_CELSIUS - temperature - slope @ (prior - p)
        new = prior + covariance @ slope.T @ np.linalg.solve(spread, surprise)
        step, p = new - p, p + 0.7 * (new - p)
        if np.all(np.abs(step) < (1e-6, 1e-6, 1e-9)):
            break
    # Slopes where they always were, so that one more measurement can never widen an interval.
    slope = curve(log, fitted.slopes_at[0], _bends())[1]
    gain = covariance @ slope.T
    left = covariance - gain @ np.linalg.solve(slope @ gain + noise, gain.T)
    left = 0.5 * (left + left.T)
    return FittedViscosity(p[None], left[None], fitted.slopes_at)


@functools.cache
def _viscosity() -> Property:
    return model().properties["viscosity"]


@functools.cache
def _spread_along() -> PchipInterpolator:
    """Width and scatter along log viscosity, without overshoot between its kinds."""
    from scipy.interpolate import PchipInterpolator  # noqa: PLC0415 -- slow, and for plots only

    own = _viscosity()
    level = own.level[_KINDS_ALONG]
    return PchipInterpolator(level, np.stack([own.width, own.scatter], axis=1)[_KINDS_ALONG])


def _ends(middle: FloatArray, half: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Ends of intervals, none of them below absolute zero unless the estimate is."""
    return lower_end(middle, half, 0.0), middle + half


@functools.cache
def _bends() -> Bends:
    return Bends(*(float(bend) for bend in _viscosity().level[len(KINDS) :]))


def _kind(point: str) -> int:
    return KINDS.index(POINTS[point])


def _level(point: str) -> float:
    return float(_viscosity().level[_kind(point)])


def _along(fitted: FittedViscosity) -> FittedViscosity:
    """Let several viscosities be broadcast against each glass."""
    return FittedViscosity(fitted.p[:, None], fitted.covariance[:, None], fitted.slopes_at[:, None])


def _deviation(
    log: FloatArray | float, fitted: FittedViscosity, scatter: FloatArray | float
) -> FloatArray:
    _, slope = curve(np.asarray(log, dtype=np.float64), fitted.slopes_at, _bends())
    second, third, c = slope[..., 1], slope[..., 2], fitted.covariance
    variance = c[..., 0, 0] + second * (2.0 * c[..., 0, 1] + second * c[..., 1, 1])
    variance += third * (2.0 * (c[..., 0, 2] + second * c[..., 1, 2]) + third * c[..., 2, 2])
    result: FloatArray = np.sqrt(np.maximum(variance, 0.0) + scatter)
    return result
