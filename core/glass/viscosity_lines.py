"""Viscosity curves of a glass as arrays, for drawing them beside each other."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.glass.fitted_curve import FittedCurve
from core.glass.glass import Glass
from core.glass.measured_points import measured_points
from core.glass.properties import viscosity_curve_of
from core.glass.property_fit.domain import domain_statement
from core.glass.property_fit.fitted_viscosity import MODEL_NAME
from core.glass.published_models import answers
from core.glass.viscosity_curve import ViscosityCurve

FloatArray = NDArray[np.float64]

DRAWN = (1.0, 14.0)
"""log10(viscosity / Pa s) between which curves are drawn: melting to just beyond the strain point.
"""
FITTED = (1.0, 13.5)
"""log10(viscosity / Pa s) of the measurements behind the fitted model."""
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
    low, high : ndarray or None, shape (n,)
        90 % interval of the temperature [K]; ``None`` where there is none.
    """

    name: str
    temperature: FloatArray
    log_viscosity: FloatArray
    known: NDArray[np.bool_]
    used: bool
    low: FloatArray | None = None
    high: FloatArray | None = None

    def __post_init__(self) -> None:
        for array in (self.temperature, self.log_viscosity, self.known, self.low, self.high):
            if array is not None:
                array.setflags(write=False)


def viscosity_lines(glass: Glass) -> tuple[ViscosityLine, ...]:
    """Every curve there is for a glass: the one used, then the published models.

    The one used carries its interval, and measured points move it; without an analysis it runs
    through three or more measured points, and ends with them.

    Raises
    ------
    GlassError
        As :func:`core.glass.properties.viscosity_curve_of`.
    """
    lines = []
    curve = viscosity_curve_of(glass)
    measured = [point.log_viscosity for point, _ in measured_points(glass.measured)]
    if isinstance(curve, FittedCurve) and glass.composition is not None:
        moved = bool(measured or glass.measured.viscosities)
        name = f"{MODEL_NAME}, moved by what was measured" if moved else MODEL_NAME
        inside = domain_statement(glass.composition).in_range
        line = _line(name.capitalize(), curve, DRAWN, FITTED if inside else None, used=True)
        low, high = curve.interval(line.log_viscosity)
        lines.append(dataclasses.replace(line, low=low, high=high))
    elif curve is not None:
        span = (min(measured), max(measured))
        lines.append(_line("Through the measured points", curve, span, span, used=True))
    given = answers(glass.composition) if glass.composition is not None else ()
    lines += [
        _line(
            answer.model.name,
            answer.evaluation.curve,
            DRAWN,
            answer.model.fitted_log_viscosity if answer.in_range else None,
            used=False,
        )
        for answer in given
        if answer.evaluation is not None
    ]
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
