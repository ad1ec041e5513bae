"""Checks on measured points, and a curve from them alone."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping

from core.errors import GlassError
from core.glass.fixed_points import ANNEALING, FIXED_POINT, FIXED_POINTS, MELTING, FixedPoint
from core.glass.glass import Estimate, Glass, MeasuredPoints
from core.glass.viscosity_curve import CorrectedCurve, VftCurve, ViscosityCurve, vft_through
from core.units import ZERO_CELSIUS

_LIMITS: Mapping[str, tuple[float, float, float, str]] = {
    # field: lowest, highest, trade unit in SI, trade unit
    **{p.key: (150.0 + ZERO_CELSIUS, 2000.0 + ZERO_CELSIUS, 1.0, "°C") for p in FIXED_POINTS},
    "expansion": (1e-7, 250e-7, 1e-7, "e-7 per K"),
    "density": (1500.0, 9000.0, 1.0, "kg/m3"),
    "youngs_modulus": (20e9, 200e9, 1e9, "GPa"),
}
"""Wide limits that only a wrong unit or a slipped digit crosses (our choice)."""

STANDARD_ERROR: Mapping[str, float] = {
    "strain_point": 4.0,
    "annealing_point": 3.0,
    "softening_point": 3.0,
    "working_point": 6.0,
    "melting_point": 10.0,
    "expansion": 1e-7,
    "density": 10.0,
    "youngs_modulus": 1.5e9,
}
"""Standard errors in SI taken where none is given. A laboratory repeats annealing and softening
points to 1-2 K once calibrated (ASTM C336, C338, C598; from memory, unverified) and is less sure of
a strain point, which is extrapolated, and of rotating cylinders (ASTM C965). A sheet speaks of the
glass of an average day, not of this pot: twice that (common practice, no source)."""

HALF_WIDTH = 1.645
"""Half width of the 90 % interval of a normal distribution in standard errors."""

_EXTENSION = 2.0
"""Decades a curve through measured points may be carried on towards the melting temperature."""


def check_measured(glass: Glass) -> None:
    """Refuse measured values that no glass has or that contradict each other.

    Raises
    ------
    GlassError
        If a value is not a number or beyond all glasses, or if the points do not rise from
        strain to melting; ``field`` names the value.
    """
    for field, (low, high, unit, name) in _LIMITS.items():
        value = getattr(glass.measured, field)
        if value is None:
            continue
        shift = ZERO_CELSIUS if name == "°C" else 0.0
        if not (math.isfinite(value) and low <= value <= high and value > 0):
            raise GlassError(
                f"“{glass.name}”: a measured {_label(field)} of {(value - shift) / unit:g} {name} "
                f"is not that of a glass ({(low - shift) / unit:g} to {(high - shift) / unit:g} "
                f"{name}).",
                field=field,
                remedy="Check the number and its unit.",
            )
    _check_errors(glass)
    _check_viscosities(glass)
    for cold, hot in itertools.pairwise(measured_points(glass.measured)):
        if cold[1] >= hot[1]:
            raise GlassError(
                f"“{glass.name}”: the measured {cold[0].name} "
                f"({cold[1] - ZERO_CELSIUS:.0f} °C) must lie below the {hot[0].name} "
                f"({hot[1] - ZERO_CELSIUS:.0f} °C).",
                field=cold[0].key,
                remedy="Check both against the sheet.",
            )
        decades = cold[0].log_viscosity - hot[0].log_viscosity
        if not _FLATTEST <= (hot[1] - cold[1]) / decades <= _STEEPEST:
            raise GlassError(
                f"“{glass.name}”: the {cold[0].name} ({_celsius(cold[1])} °C) and the "
                f"{hot[0].name} ({_celsius(hot[1])} °C) cannot belong to one glass.",
                field=hot[0].key,
                remedy="Check both against the sheet.",
            )


def _celsius(kelvin: float) -> str:
    """To a tenth of a degree, without a bare zero behind the point."""
    return f"{round(kelvin - ZERO_CELSIUS, 1):g}"


def _check_errors(glass: Glass) -> None:
    for key in STANDARD_ERROR:
        error = getattr(glass.measured, f"{key}_error")
        if error is not None and not (math.isfinite(error) and error > 0):
            raise GlassError(
                f"“{glass.name}”: the error of the measured {_label(key)} must be more than "
                f"nothing, not {error:g}.",
                field=f"{key}_error",
                remedy="Give its standard error, or leave it out.",
            )


def _check_viscosities(glass: Glass) -> None:
    for point in glass.measured.viscosities:
        if not (
            _LEAST_LOG <= point.log_viscosity <= _MOST_LOG
            and _LIMITS["annealing_point"][0] <= point.temperature <= _LIMITS["annealing_point"][1]
            and 0 <= point.log_error < math.inf
            and 0 < point.temperature_error < math.inf
        ):
            raise GlassError(
                f"“{glass.name}”: {point.source} gives 10^{point.log_viscosity:.3g} Pa s at "
                f"{point.temperature - ZERO_CELSIUS:.0f} °C, which is not that of a glass.",
                field="viscosities",
                remedy="Check the numbers of the trial and their units.",
            )


_LEAST_LOG, _MOST_LOG = 0.5, 15.0
"""log10(viscosity / Pa s) that a measurement may have."""


def _label(key: str) -> str:
    return FIXED_POINT[key].name if key in FIXED_POINT else _LABEL[key]


_FLATTEST, _STEEPEST = 5.0, 500.0
"""Kelvin between two measured points for each decade of viscosity between them; wide limits that
only a mistyped point crosses (our choice): soda-lime glass has 25 near strain and 200 when
molten, silica some 65 and 300."""

_LABEL = {"expansion": "expansion", "density": "density", "youngs_modulus": "Young's modulus"}


def measured_points(measured: MeasuredPoints) -> list[tuple[FixedPoint, float]]:
    """List the measured fixed points with their temperatures [K], from strain to melting."""
    given = ((point, getattr(measured, point.key)) for point in FIXED_POINTS)
    return [(point, float(temperature)) for point, temperature in given if temperature is not None]


def standard_error(measured: MeasuredPoints, key: str) -> float:
    """Standard error [SI] of a measured value: the one given, else the usual one."""
    given: float | None = getattr(measured, f"{key}_error")
    return STANDARD_ERROR[key] if given is None else given


def measured_estimate(key: str, glass: Glass, widest: float | None = None) -> Estimate:
    """Make the estimate of a value that was measured, with the interval of its own error.

    ``widest`` is the half width known without it: a poor measurement never widens an interval.
    """
    value = float(getattr(glass.measured, key))
    half = HALF_WIDTH * standard_error(glass.measured, key)
    half = half if widest is None else min(half, widest)
    source = glass.measured.source or "measured"
    return Estimate(value, source, value - half, value + half, measured=True)


def corrected_through_measured(base: VftCurve, glass: Glass) -> ViscosityCurve:
    """Give the curve itself, or moved through the measured points if there are any.

    Raises
    ------
    GlassError
        If the measured points cannot belong to one glass; ``field`` is the hottest of them.
    """
    points = measured_points(glass.measured)
    if not points:
        return base
    try:
        return CorrectedCurve(base, [(p.log_viscosity, t) for p, t in points])
    except GlassError as error:
        raise GlassError(
            f"“{glass.name}”: {error.message}", field=points[-1][0].key, remedy=error.remedy
        ) from error


def curve_from_measured(glass: Glass) -> ViscosityCurve | None:
    """Draw a curve through three or more measured points; ``None`` with fewer.

    A VFT curve through the hottest, the coldest and one between (the annealing point rather than
    the strain point, which ISO 7884-7 keeps out of VFT fits), moved through any others.

    Raises
    ------
    GlassError
        If no falling curve runs through the points, or it never gets thin enough to melt.
    """
    points = measured_points(glass.measured)
    if len(points) < 3:
        return None
    hottest = points[-1]
    coldest = points[0]
    if len(points) > 3 and points[1][0] is ANNEALING:
        coldest = points[1]
    between = [p for p in points if coldest[1] < p[1] < hottest[1]]
    middle = between[len(between) // 2]
    chosen = [(p.log_viscosity, t) for p, t in (coldest, middle, hottest)]
    try:
        base = vft_through(chosen)
        base.temperature(MELTING.log_viscosity)
    except GlassError as error:
        raise GlassError(
            f"“{glass.name}”: {error.message}",
            field=middle[0].key,
            remedy="Check the measured points against the sheet.",
        ) from error
    return corrected_through_measured(base, glass)


def derivable(point: FixedPoint, measured: MeasuredPoints) -> bool:
    """Tell whether a curve through the measured points alone says anything of another point.

    Between measured points it does. Beyond the hottest it is carried on by two decades at most,
    and only from the working point: strain, annealing and softening points alone are so close
    in temperature, and the first two so dependent on procedure, that the curve misses the
    working point by over 100 °C.
    """
    logs = [p.log_viscosity for p, _ in measured_points(measured)]
    if len(logs) < 3:
        return False
    lowest = min(logs)
    if lowest <= point.log_viscosity <= max(logs):
        return True
    return lowest <= 3.0 and lowest - _EXTENSION <= point.log_viscosity < lowest
