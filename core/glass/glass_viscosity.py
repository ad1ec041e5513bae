"""The viscosity a glass is reckoned with: fitted from its analysis, updated by what was measured.

Measurements enter with their standard errors. A curve that leaves the interval of the analysis
alone, or points that no one curve suits, are said in plain words. Without an analysis only what was
measured, and what lies between, is known.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from core.composition.composition import Composition
from core.errors import GlassError
from core.glass.analysis_error import error_rows, viscosity_with_error
from core.glass.fitted_curve import FittedCurve, point_log_viscosity
from core.glass.fixed_points import FIXED_POINT, FIXED_POINTS
from core.glass.glass import Estimate, Glass, MeasuredViscosity
from core.glass.measured_points import (
    HALF_WIDTH,
    curve_from_measured,
    derivable,
    measured_estimate,
    measured_points,
    standard_error,
)
from core.glass.property_fit.fitted_points import weight_rows
from core.glass.property_fit.fitted_viscosity import (
    MODEL_NAME,
    FittedViscosity,
    conditioned,
    temperature_at,
)
from core.glass.viscosity_curve import ViscosityCurve
from core.glass.viscosity_model import is_physical
from core.units import ZERO_CELSIUS

_SURPRISE = 2.0
"""A measured point this many half widths from where the analysis puts it is questioned: one honest
value in a thousand."""
_IMPOSSIBLE = 6.0
"""This many half widths away it cannot belong to the analysis at all (our choice: a slipped digit
in an annealing point of 550 °C is 100 °C, three and a half half widths, and is only questioned)."""
_CONTRADICTION = 3.0
"""A measured point this many of its standard errors from the curve that suits them all best."""


_Measured = tuple[float | str, float, float]
"""log10(viscosity / Pa s) or key of a point, temperature [K], standard error [K]."""


@dataclass(frozen=True, eq=False)
class GlassViscosity:
    """What is known of a glass's viscosity.

    Attributes
    ----------
    curve : FittedCurve, another ViscosityCurve or None
        Fitted when there is an analysis; through the measured points without one.
    points : mapping of str to Estimate
        By key of the fixed points, and ``glass_transition`` and ``temperature_log2``; only those
        that are known.
    warnings : tuple of str
    """

    curve: ViscosityCurve | None
    points: Mapping[str, Estimate]
    warnings: tuple[str, ...] = ()


def viscosity_of(glass: Glass) -> GlassViscosity:
    """Viscosity of a glass whose measured values have been checked.

    Raises
    ------
    GlassError
        If the model gives no physical curve and strain and annealing point were not measured, or
        the measured points cannot belong to one glass; ``field`` names the value.
    """
    if glass.composition is None:
        warnings: tuple[str, ...] = ()
        if glass.measured.viscosities:
            warnings = ("Trials are taken in only together with an analysis; none is given.",)
        return GlassViscosity(curve_from_measured(glass), _measured_only(glass), warnings)
    prior = _prior(glass.composition)
    if prior is None or not _is_physical(FittedCurve(prior)):
        return _without_the_model(glass)
    return _updated(glass, prior)


def _prior(composition: Composition) -> FittedViscosity | None:
    rows = weight_rows([composition])
    if not rows.any():
        return None
    return viscosity_with_error(rows, error_rows([composition]))


def _is_physical(curve: FittedCurve) -> bool:
    return is_physical(*_ends(curve))


def _ends(curve: FittedCurve) -> tuple[float, float]:
    """Strain point and melting temperature [K]."""
    log = np.array([point_log_viscosity(key) for key in ("strain_point", "melting_point")])
    cold, hot = curve.temperature(log)
    return float(cold), float(hot)


def _without_the_model(glass: Glass) -> GlassViscosity:
    problem = (
        "The fitted model gives no physical viscosity curve for this analysis; it lies too far "
        "from the glasses the model was made for."
    )
    if glass.measured.strain_point is None or glass.measured.annealing_point is None:
        raise GlassError(
            f"“{glass.name}”: {problem}",
            field="composition",
            remedy="Check the analysis, or enter the measured annealing and strain points.",
        )
    return GlassViscosity(curve_from_measured(glass), _measured_only(glass), (problem,))


def _measured_only(glass: Glass) -> dict[str, Estimate]:
    curve = curve_from_measured(glass)
    points = {}
    for point in FIXED_POINTS:
        if getattr(glass.measured, point.key) is not None:
            points[point.key] = measured_estimate(point.key, glass)
        elif curve is not None and derivable(point, glass.measured):
            value = curve.temperature(point.log_viscosity)
            points[point.key] = Estimate(value, "curve through the measured points")
    return points


def _updated(glass: Glass, prior: FittedViscosity) -> GlassViscosity:
    fixed = measured_points(glass.measured)
    alone = FittedCurve(prior)
    trials = [_in_kelvin(trial, prior) for trial in glass.measured.viscosities]
    taken = [(p.key, t, standard_error(glass.measured, p.key)) for p, t in fixed]
    questioned = _surprises(glass, alone, trials)
    posterior = _taken_in(prior, [*taken, *trials])
    through = [(point_log_viscosity(point.key), temperature) for point, temperature in fixed]
    try:
        curve = FittedCurve(posterior, through)
        physical = _is_physical(curve)
    except GlassError as error:
        raise GlassError(
            f"“{glass.name}”: {error.message}", field=fixed[-1][0].key, remedy=error.remedy
        ) from error
    if not physical:
        strain, melting = (end - ZERO_CELSIUS for end in _ends(curve))
        raise GlassError(
            f"“{glass.name}”: with what was measured the strain point comes to {strain:.0f} °C and "
            f"the melting temperature to {melting:.0f} °C, which no glass has.",
            field=fixed[0][0].key if fixed else "viscosities",
            remedy="Check the measured points, their unit and the analysis.",
        )
    points = {}
    source = f"{MODEL_NAME}, moved by what was measured" if taken or trials else MODEL_NAME
    for key, (value, low, high) in curve.points().items():
        points[key] = Estimate(value, source, low, high)
        if key in FIXED_POINT and getattr(glass.measured, key) is not None:
            points[key] = measured_estimate(key, glass, points[key].plus_minus)
    warnings = _contradictions(glass, posterior, [*taken, *trials])
    return GlassViscosity(curve, points, warnings or questioned)


def _taken_in(prior: FittedViscosity, measured: Sequence[_Measured]) -> FittedViscosity:
    """Take measurements in; how far they narrow depends on their errors, not on their values.

    The covariance is that of measurements which meet the curve of the analysis: slopes taken
    elsewhere could make one more measurement widen an interval.
    """
    met = [
        (at, float(temperature_at(_log_viscosity(at), prior.p[0])), error)
        for at, _, error in measured
    ]
    return dataclasses.replace(
        conditioned(prior, measured), covariance=conditioned(prior, met).covariance
    )


def _log_viscosity(at: float | str) -> float:
    return point_log_viscosity(at) if isinstance(at, str) else at


def _in_kelvin(trial: MeasuredViscosity, prior: FittedViscosity) -> tuple[float, float, float]:
    """A trial with its errors as one of temperature, by the steepness of the analysis's curve."""
    around = trial.log_viscosity + np.array([-0.05, 0.05])
    hot, cold = temperature_at(around, prior.p)
    return trial.log_viscosity, trial.temperature, trial.standard_error(10.0 * (hot - cold))


def _contradictions(
    glass: Glass,
    posterior: FittedViscosity,
    taken: Sequence[_Measured],
) -> tuple[str, ...]:
    """Say which measurements no curve suits that suits the others."""
    if len(taken) < 2:
        return ()
    names = _names(glass)
    warnings = []
    for name, (at, temperature, error) in zip(names, taken, strict=True):
        apart = temperature - float(temperature_at(_log_viscosity(at), posterior.p[0]))
        if abs(apart) > _CONTRADICTION * error:
            warnings.append(
                f"The {name} ({temperature - ZERO_CELSIUS:.0f} °C) contradicts the others and the "
                f"analysis: the curve that suits them best passes {abs(apart):.0f} °C "
                f"{'below' if apart > 0 else 'above'} it. Check which is right."
            )
    return tuple(warnings)


def _surprises(
    glass: Glass, alone: FittedCurve, trials: list[tuple[float, float, float]]
) -> tuple[str, ...]:
    """Warn of measurements far from where the analysis puts them.

    Raises
    ------
    GlassError
        If one lies too far to belong to it.
    """
    warnings = []
    fixed = measured_points(glass.measured)
    points = alone.points() if fixed else {}
    expected = [(temperature, *points[point.key]) for point, temperature in fixed]
    fields = [point.key for point, _ in fixed] + ["viscosities"] * len(trials)
    for log, temperature, error in trials:
        low, high = alone.interval(np.array([log]))
        half = float(np.hypot(0.5 * (high - low)[0], HALF_WIDTH * error))
        value = alone.temperature(log)
        expected.append((temperature, value, value - half, value + half))
    for field, name, (temperature, value, low_end, high_end) in zip(
        fields, _names(glass), expected, strict=True
    ):
        apart = temperature - value
        half_widths = abs(apart) / (0.5 * (high_end - low_end))
        words = (
            f"The {name} lies {abs(apart):.0f} °C {'above' if apart > 0 else 'below'} what the "
            "analysis leads to expect"
        )
        if half_widths > _IMPOSSIBLE:
            raise GlassError(
                f"“{glass.name}”: {words}; no glass of this analysis has that.",
                field=field,
                remedy="Check the number, its unit and the analysis.",
            )
        if half_widths > _SURPRISE:
            warnings.append(f"{words}: check it, its unit and the analysis.")
    return tuple(warnings)


def _names(glass: Glass) -> list[str]:
    fixed = [f"measured {point.name}" for point, _ in measured_points(glass.measured)]
    return fixed + [trial.source for trial in glass.measured.viscosities]
