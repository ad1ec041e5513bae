"""Viscosity curves of a glass as arrays, for drawing them beside each other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.glass.glass import Glass
from core.glass.measured_points import measured_points
from core.glass.model_choice import answers, choose
from core.glass.properties import viscosity_curve_of
from core.glass.viscosity_curve import ViscosityCurve

FloatArray = NDArray[np.float64]

DRAWN = (1.0, 14.0)
"""log10(viscosity / Pa s) between which curves are drawn: melting to just beyond the strain point.
"""
_POINTS = 200


@dataclass(frozen=True, eq=False)
class ViscosityLine:
    """One curve; arrays are read-only, from hot to cold.

    Attributes
    ----------
    name : str
        Model, or what the curve runs through.
    temperature : ndarray, shape (n,)
        [K].
    log_viscosity : ndarray, shape (n,)
        log10(viscosity / Pa s).
    known : ndarray of bool, shape (n,)
        False where the curve goes beyond what it was fitted to, or everywhere when the glass is
        outside the model's range.
    used : bool
        True for the curve the glass is reckoned with.
    """

    name: str
    temperature: FloatArray
    log_viscosity: FloatArray
    known: NDArray[np.bool_]
    used: bool

    def __post_init__(self) -> None:
        for array in (self.temperature, self.log_viscosity, self.known):
            array.setflags(write=False)


def viscosity_lines(glass: Glass) -> tuple[ViscosityLine, ...]:
    """Every curve there is for a glass: the published models, then the one used if it differs.

    Measured points move the used curve away from its model's; without an analysis it runs through
    three or more measured points, and ends with them.

    Raises
    ------
    GlassError
        As :func:`core.glass.properties.viscosity_curve_of`.
    """
    given = answers(glass.composition) if glass.composition is not None else ()
    chosen = choose(given)
    measured = [point.log_viscosity for point, _ in measured_points(glass.measured)]
    lines = [
        _line(
            answer.model.name,
            answer.evaluation.curve,
            DRAWN,
            answer.model.fitted_log_viscosity if answer.in_range else None,
            used=answer is chosen and not measured,
        )
        for answer in given
        if answer.evaluation is not None
    ]
    curve = viscosity_curve_of(glass)
    if measured and curve is not None:
        if chosen is None:
            span = (min(measured), max(measured))
            lines.append(_line("Through the measured points", curve, span, span, used=True))
        else:
            low, high = chosen.model.fitted_log_viscosity if chosen.in_range else (99.0, -99.0)
            span = (min(low, *measured), max(high, *measured))
            name = f"{chosen.model.name}, moved to the measured points"
            lines.append(_line(name, curve, DRAWN, span, used=True))
    return tuple(lines)


def _line(
    name: str,
    curve: ViscosityCurve,
    drawn: tuple[float, float],
    known: tuple[float, float] | None,
    *,
    used: bool,
) -> ViscosityLine:
    ends = [v for v in known or () if drawn[0] < v < drawn[1]]
    log_viscosity = np.unique(np.concatenate([np.linspace(*drawn, _POINTS), ends]))
    inside = (
        np.zeros(log_viscosity.shape, dtype=bool)
        if known is None
        else (log_viscosity >= known[0]) & (log_viscosity <= known[1])
    )
    temperature = curve.temperature(log_viscosity)
    return ViscosityLine(name, temperature, log_viscosity, inside, used)
