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
            label = FIXED_POINT[field].name if field in FIXED_POINT else _LABEL[field]
            raise GlassError(
                f"“{glass.name}”: a measured {label} of {(value - shift) / unit:g} {name} is not "
                f"that of a glass ({(low - shift) / unit:g} to {(high - shift) / unit:g} {name}).",
                field=field,
                remedy="Check the number and its unit.",
            )
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
                f"“{glass.name}”: a {cold[0].name} of {cold[1] - ZERO_CELSIUS:g} °C and a "
                f"{hot[0].name} of {hot[1] - ZERO_CELSIUS:g} °C cannot belong to one glass.",
                field=hot[0].key,
                remedy="Check both against the sheet.",
            )


_FLATTEST, _STEEPEST = 5.0, 500.0
"""Kelvin between two measured points for each decade of viscosity between them; wide limits that
only a mistyped point crosses (our choice): soda-lime glass has 25 near strain and 200 when
molten, silica some 65 and 300."""

_LABEL = {"expansion": "expansion", "density": "density", "youngs_modulus": "Young's modulus"}


def measured_points(measured: MeasuredPoints) -> list[tuple[FixedPoint, float]]:
    """List the measured fixed points with their temperatures [K], from strain to melting."""
    given = ((point, getattr(measured, point.key)) for point in FIXED_POINTS)
    return [(point, float(temperature)) for point, temperature in given if temperature is not None]


def measured_estimate(value: float, glass: Glass) -> Estimate:
    """Make the estimate of a measured value; none of its error is stated."""
    return Estimate(float(value), glass.measured.source or "measured", measured=True)


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
