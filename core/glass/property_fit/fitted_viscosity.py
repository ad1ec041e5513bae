"""Viscosity of glasses from their analysis, with intervals: the model fitted to open data.

Each glass is described by four numbers p (see :mod:`core.glass.property_fit.viscosity_form`) and
their covariance: how well the data settle the coefficients here, what glasses of one nominal
composition differ by, what laboratories differ by. Intervals are of 90 % for a value that another
laboratory would measure; their width was calibrated on author groups left out of the fit.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import block_diag

from core.errors import GlassError
from core.glass.property_fit.coefficients import MODEL_NAME, Property, Values, lower_end, model
from core.glass.property_fit.viscosity_form import KINDS, curve, inverse
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
    "usual_viscosity",
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
"""[K] No curve of four numbers follows a real one closer than this (our choice)."""
_CROWDED = 1.5
_NORMAL = 1.645
"""Half width of 90 % of a normal distribution in standard deviations."""
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
    p : ndarray, shape (n, 4)
        Numbers of the viscosity form.
    covariance : ndarray, shape (n, 4, 4)
        Of p of this very glass.
    slopes_at : ndarray, shape (n, 4)
        The p at which intervals take their slopes; stays when measurements move p, so that a
        measurement can only narrow an interval.
    analysis : tuple of ndarray, shapes (n, 4, 4), optional
        The covariance before anything was measured on this glass in two parts: from the errors of
        the analysis, which are normal, and the rest, whose width was set on left-out authors.
    taken : tuple of ndarray, shapes (k, 4) and (k, k), optional
        Slopes of the k measurements taken in, and the covariance of their errors.
    """

    p: FloatArray
    covariance: FloatArray
    slopes_at: FloatArray
    analysis: tuple[FloatArray, FloatArray] | None = None
    taken: tuple[FloatArray, FloatArray] | None = None


def model_version() -> str:
    """Short version of the coefficients, shown to users."""
    return model().version


def fitted_viscosity(weight_percent: FloatArray) -> FittedViscosity:
    """Viscosity of glasses from amounts by weight (n, 29), on any scale, in ``OXIDES`` order."""
    p, covariance = _viscosity().estimate(model().known(weight_percent))
    return FittedViscosity(p, covariance, p)


def usual_viscosity() -> FittedViscosity:
    """Of a glass of which nothing is known but that it is one: the glasses behind the model.

    They are not spread normally and crowd about a few kinds; so that nine in ten measured softening
    points and temperatures at 10^3 and 10^2 Pa s lie inside once annealing and strain point are
    taken in, their spread is counted 1.5 times (measured on 713 values of the open data).
    """
    mean, covariance = model().usual
    return FittedViscosity(mean[None], _CROWDED**2 * covariance[None], mean[None])


def temperature_at(log_viscosity: FloatArray | float, p: FloatArray) -> FloatArray:
    """Temperature [K] at log10(viscosity / Pa s) from 0.5 to 16; falls with it for any p.

    ``log_viscosity`` (...) is broadcast against p (..., 4).
    """
    return curve(np.asarray(log_viscosity, dtype=np.float64), p, _kappa())[0] + ZERO_CELSIUS


def log_viscosity_at(temperature: FloatArray | float, p: FloatArray) -> FloatArray:
    """log10(viscosity / Pa s) at a temperature [K]: the inverse of :func:`temperature_at`."""
    celsius = np.asarray(temperature, dtype=np.float64) - ZERO_CELSIUS
    return inverse(celsius, p, _kappa())


def point_temperature(point: str, p: FloatArray) -> FloatArray:
    """Temperature [K] of a point of :data:`POINTS` from p (..., 4)."""
    return temperature_at(_level(point), p)


def point_interval(point: str, fitted: FittedViscosity) -> tuple[FloatArray, FloatArray]:
    """90 % interval [K], (n,) each, for the point as another laboratory would measure it."""
    own, kind = _viscosity(), _kind(point)
    middle = point_temperature(point, fitted.p)
    half = _half_width(own.level[kind], fitted, own.width[kind], own.scatter[kind])
    return _ends(middle, half)


def point_values(fitted: FittedViscosity) -> dict[str, Values]:
    """All points of :data:`POINTS` at once: temperatures and 90 % intervals [K]."""
    own, kinds = _viscosity(), _KINDS_OF_POINTS
    level = own.level[kinds]
    middle = temperature_at(level, fitted.p[:, None])
    half = _half_width(level, _along(fitted), own.width[kinds], own.scatter[kinds])
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
    return _ends(temperature_at(log, many.p), _half_width(log, many, width, scatter))


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
        temperature, slope = curve(log, p, _kappa())
        spread = slope @ covariance @ slope.T + noise
        surprise = value - ZERO_CELSIUS - temperature - slope @ (prior - p)
        new = prior + covariance @ slope.T @ np.linalg.solve(spread, surprise)
        step, p = new - p, p + 0.7 * (new - p)
        if np.all(np.abs(step) < (1e-6, 1e-6, 1e-9, 1e-9)):
            break
    # Slopes where they always were, so that one more measurement can never widen an interval.
    slope = curve(log, fitted.slopes_at[0], _kappa())[1]
    gain = covariance @ slope.T
    left = covariance - gain @ np.linalg.solve(slope @ gain + noise, gain.T)
    left = 0.5 * (left + left.T)
    taken = (slope, noise)
    if fitted.taken is not None:
        taken = (np.vstack([fitted.taken[0], slope]), block_diag(fitted.taken[1], noise))
    return replace(fitted, p=p[None], covariance=left[None], taken=taken)


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
def _kappa() -> float:
    return float(_viscosity().level[len(KINDS)])


def _kind(point: str) -> int:
    return KINDS.index(POINTS[point])


def _level(point: str) -> float:
    return float(_viscosity().level[_kind(point)])


def _along(fitted: FittedViscosity) -> FittedViscosity:
    """Let several viscosities be broadcast against each glass."""
    parts = fitted.analysis
    return FittedViscosity(
        *(fitted.p[:, None], fitted.covariance[:, None], fitted.slopes_at[:, None]),
        None if parts is None else (parts[0][:, None], parts[1][:, None]),
        fitted.taken,
    )


def _half_width(
    log: FloatArray | float,
    fitted: FittedViscosity,
    width: FloatArray | float,
    scatter: FloatArray | float,
) -> FloatArray:
    """Half of the interval [K], from its width in standard deviations and the scatter of a kind."""
    _, slope = curve(np.asarray(log, dtype=np.float64), fitted.slopes_at, _kappa())
    square = np.square(width)
    covariance = fitted.covariance
    if fitted.analysis is not None:
        normal, rest = fitted.analysis
        covariance = rest + (_NORMAL**2 / square)[..., None, None] * normal
        if fitted.taken is not None:
            slopes, noise = fitted.taken
            gain = covariance @ slopes.T
            inner = np.linalg.solve(slopes @ gain + noise, np.swapaxes(gain, -1, -2))
            covariance = covariance - gain @ inner
    variance = (slope[..., None, :] @ covariance @ slope[..., None])[..., 0, 0]
    result: FloatArray = np.sqrt(square * (np.maximum(variance, 0.0) + scatter))
    return result
