"""What can be said of a glass known by measured points alone, with no analysis.

The numbers of its curve are taken to be those of the glasses behind the fitted model, all kinds
together, with the measured points taken in. Strain and annealing point settle where the curve lies,
but hardly how steep it is, so intervals grow towards thin glass: some 40 °C either way at the
setting temperature, 145 at 10^3 Pa s and 180 at 10^2. On 713 values of the open data (SciGlass
database, (c) 2019 EPAM Systems, ODC Open Database License) that have both points beside, they held
90 in a hundred softening points and 92 in a hundred temperatures of thinner glass.
"""

from __future__ import annotations

import math

from core.errors import GlassError
from core.glass.fitted_curve import FittedCurve, point_log_viscosity
from core.glass.fixed_points import STRAIN
from core.glass.glass import Estimate, Glass
from core.glass.measured_points import measured_points, standard_error
from core.glass.property_fit.fitted_viscosity import conditioned, usual_viscosity

SOURCE = "glasses of all kinds with such measured points"
WHY = (
    "No analysis is entered: beyond the measured points this is what glasses of all kinds with "
    "such points do, so the intervals are wide. Enter the analysis, or a measured softening and "
    "working point, to know more."
)

_PROCEDURE = 7.0
"""[K] What strain points by different procedures differ by on top of the error of each (our choice
on the values named above): without an analysis the few kelvin between annealing and strain point
must not settle how steep the curve is."""


def usual_curve(glass: Glass) -> FittedCurve | None:
    """Curve through the measured points of a glass, elsewhere as glasses with such points go.

    ``None`` with fewer than two points, or where no one curve runs through them. Trials are not
    taken in: what they say depends on a curve known from an analysis.
    """
    points = measured_points(glass.measured)
    if len(points) < 2:
        return None
    taken: list[tuple[float | str, float, float]] = []
    for point, kelvin in points:
        error = standard_error(glass.measured, point.key)
        taken.append(
            (point.key, kelvin, math.hypot(error, _PROCEDURE) if point is STRAIN else error)
        )
    through = [(point_log_viscosity(point.key), kelvin) for point, kelvin in points]
    try:
        return FittedCurve(conditioned(usual_viscosity(), taken), through)
    except GlassError:
        return None


def usual_points(curve: FittedCurve) -> dict[str, Estimate]:
    """Points of such a curve by key [K], with their intervals."""
    return {
        key: Estimate(value, SOURCE, low, high)
        for key, (value, low, high) in curve.points().items()
    }
