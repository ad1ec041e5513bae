"""Working properties in the trade's sense, each with the viscosity or formula that defines it.

===========  ==========  ========================================================================
name         log10 Pa s  definition and source
===========  ==========  ========================================================================
gathering    2.0         thin enough to wind on to the iron; blown ware is worked from 10^3 poise
                         on (general statement of glass engineering; common practice, no source)
working      3.0         working point, 10^4 poise (ASTM C965; :mod:`core.glass.fixed_points`)
blowing      4.0         middle of the 10^3 to 10^7 poise in which blown ware is shaped, taken in
                         log viscosity to 10^6 Pa s (common practice, no source)
setting      6.6         keeps its shape against its own weight: the softening point (ASTM C338)
===========  ==========  ========================================================================

*Working range*: working point less softening point [K] (the definition of general handbooks, as
Shelby J.E. 2005, Introduction to Glass Science and Technology, from memory; EAG Laboratories,
Physical properties of glass, read).

*Long* or *short*: handbooks call a glass long when its working range is wide. Kelvin alone mislead,
for a soft glass is worked at lower temperatures, where it loses heat more slowly: lead crystal,
a long glass by any glassmaker's account, has a working range hardly wider than soda-lime, and hard
borosilicate a much wider one. What the maker feels is time. So the time one and the same wall takes
from working to softening point is compared with that of DGG standard glass I, a soda-lime glass
whose viscosity is certified (working range 302 K): a tenth more is long, a tenth less short, twice
what two laboratories differ by on one glass. The comparison and its limit are ours; the emissivity
and the wall nearly cancel in it. Both figures are given.

Of a glass with no analysis, what the measured points leave open is taken from glasses of all kinds
with such points, with wide intervals (:mod:`core.working.unanalysed`).

*Setting time*: that time itself, for a stated wall (:mod:`core.working.wall_cooling`).
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from core.errors import GlassError
from core.glass.fitted_curve import FittedCurve
from core.glass.fixed_points import SOFTENING, WORKING, FixedPoint
from core.glass.glass import Estimate, Glass, GlassProperties
from core.glass.library import find_glass
from core.glass.measured_points import derivable
from core.glass.properties import properties_of, viscosity_curve_of
from core.glass.viscosity_curve import ViscosityCurve
from core.working.joint_error import difference_error, error_correlation
from core.working.unanalysed import SOURCE, WHY, usual_curve, usual_points
from core.working.wall_cooling import EMISSIVITY_RANGE, Wall, biot_number, cooling_time

GATHERING = FixedPoint(
    "gathering_temperature",
    "gathering temperature",
    2.0,
    "common practice, no source",
    "Thin enough to gather on the iron.",
)
BLOWING = FixedPoint(
    "blowing_temperature",
    "blowing temperature",
    4.0,
    "common practice, no source",
    "A bubble grows under the breath and still holds its form.",
)
SETTING = FixedPoint(
    "setting_temperature",
    "setting temperature",
    SOFTENING.log_viscosity,
    "softening point, ASTM C338; ISO 7884-6",
    "The piece keeps its shape; to work on, it must be reheated.",
)
WORKING_TEMPERATURES: tuple[FixedPoint, ...] = (GATHERING, BLOWING, SETTING)
"""From hot to cold."""

REFERENCE_GLASS = "DGG standard glass I"
"""Glass of the shipped library that long and short are measured against."""

LONG = 1.1
"""Times the reference's time through the working range from which a glass is long; its inverse is
the limit of a short one (module docstring)."""

_HEAT_ERROR = 0.05
"""Relative error of heat capacity times density: the factors meet calorimetry within 3 % (Richet
P. 1987, Chem. Geol. 62, 111), and hot glass is a few per cent less dense than at 20 °C."""

_BIOT_LIMIT = 1.0


_UNKNOWN = (
    "Too little is known of this glass's viscosity to say how it works: enter the analysis, or a "
    "measured softening and working point."
)


class Length(StrEnum):
    """How long a glass stays workable."""

    LONG = "long"
    MIDDLING = "middling"
    SHORT = "short"


@dataclass(frozen=True)
class WorkingProperties:
    """How a glass works; ``None`` where too little of its viscosity is known.

    Attributes
    ----------
    gathering_temperature, blowing_temperature, setting_temperature : Estimate or None
        [K]; see the module docstring.
    working_range : Estimate or None
        Working point less softening point [K].
    setting_time : Estimate or None
        Time from working to softening point [s] for ``wall``; its interval covers the
        temperatures, the emissivity and the heat held.
    relative_time : Estimate or None
        That time over the reference glass's in the same wall [-].
    length : Length or None
        By ``relative_time``.
    other_lengths : tuple of Length
        What else it may turn out within the interval of ``relative_time``; empty also when there
        is no interval.
    wall : Wall
        What ``setting_time`` is for.
    biot_number : float or None
        Of that wall at the working point [-].
    warnings : tuple of str
        Plain sentences a user must see.
    """

    gathering_temperature: Estimate | None
    blowing_temperature: Estimate | None
    setting_temperature: Estimate | None
    working_range: Estimate | None
    setting_time: Estimate | None
    relative_time: Estimate | None
    length: Length | None
    other_lengths: tuple[Length, ...]
    wall: Wall
    biot_number: float | None
    warnings: tuple[str, ...] = ()


def working_properties_of(
    glass: Glass, properties: GlassProperties | None = None, wall: Wall | None = None
) -> WorkingProperties:
    """Working properties of a glass.

    Parameters
    ----------
    glass : Glass
    properties : GlassProperties, optional
        Those of the same glass, if they are at hand.
    wall : Wall, optional
        The wall whose setting time is wanted; 3 mm, open on both faces, if not given.

    Raises
    ------
    GlassError
        As :func:`core.glass.properties.properties_of`.
    """
    properties = properties_of(glass) if properties is None else properties
    wall = Wall() if wall is None else wall
    curve = viscosity_curve_of(glass)
    temperatures = {
        GATHERING.key: properties.temperature_log2 or _between(GATHERING, glass, curve),
        BLOWING.key: _between(BLOWING, glass, curve),
        SETTING.key: properties.softening_point,
    }
    hot, cold = properties.working_point, properties.softening_point
    why: tuple[str, ...] = ()
    usual = None
    if None in {*temperatures.values(), hot, cold} and glass.composition is None:
        usual = usual_curve(glass)
    if usual is not None:
        curve, why, points = usual, (WHY,), usual_points(usual)
        temperatures[GATHERING.key] = temperatures[GATHERING.key] or points["temperature_log2"]
        temperatures[BLOWING.key] = temperatures[BLOWING.key] or _on(BLOWING, usual, SOURCE)
        temperatures[SETTING.key] = temperatures[SETTING.key] or points[SOFTENING.key]
        hot, cold = hot or points[WORKING.key], cold or points[SOFTENING.key]
    if hot is None or cold is None:
        return WorkingProperties(
            **temperatures,
            working_range=None,
            setting_time=None,
            relative_time=None,
            length=None,
            other_lengths=(),
            wall=wall,
            biot_number=None,
            warnings=(_UNKNOWN,),
        )
    correlation = error_correlation(curve, WORKING.key, SOFTENING.key)
    relative = _relative_time(properties, hot, cold, correlation, wall)
    length = _length(relative.value)
    biot = biot_number(properties, wall, hot.value)
    return WorkingProperties(
        **temperatures,
        working_range=_difference(hot, cold, correlation),
        setting_time=_setting_time(properties, hot, cold, correlation, wall),
        relative_time=relative,
        length=length,
        other_lengths=_other_lengths(relative, length),
        wall=wall,
        biot_number=biot,
        warnings=why + _warnings(wall, biot),
    )


def _between(point: FixedPoint, glass: Glass, curve: ViscosityCurve | None) -> Estimate | None:
    """Temperature [K] at a viscosity between the fixed points; ``None`` where it is not known."""
    if curve is None or (glass.composition is None and not derivable(point, glass.measured)):
        return None
    try:
        value = curve.temperature(point.log_viscosity)
    except GlassError:  # never that thin
        return None
    source = f"viscosity curve at 10^{point.log_viscosity:g} Pa s"
    if not isinstance(curve, FittedCurve):
        return Estimate(value=value, source=source)
    return _on(point, curve, source)


def _on(point: FixedPoint, curve: FittedCurve, source: str) -> Estimate:
    """Temperature [K] of a fitted curve at a point's viscosity, with its interval."""
    low, high = (float(end[0]) for end in curve.interval(np.array([point.log_viscosity])))
    return Estimate(curve.temperature(point.log_viscosity), source, low, high)


def _difference(hot: Estimate, cold: Estimate, correlation: float) -> Estimate:
    value, source = hot.value - cold.value, "working point less softening point"
    if hot.low is None or hot.high is None or cold.low is None or cold.high is None:
        return Estimate(value=value, source=source)
    down = difference_error(hot.value - hot.low, cold.value - cold.low, correlation)
    up = difference_error(hot.high - hot.value, cold.high - cold.value, correlation)
    return Estimate(value=value, source=source, low=max(value - down, 0.0), high=value + up)


def _is_known(hot: Estimate, cold: Estimate) -> bool:
    """Tell whether anything can be said of the error of both ends."""
    return all(end.measured or end.low is not None for end in (hot, cold))


def _setting_time(
    properties: GlassProperties, hot: Estimate, cold: Estimate, correlation: float, wall: Wall
) -> Estimate:
    value = cooling_time(properties, wall, hot.value, cold.value)
    source = "radiation and natural convection from the wall"
    if not _is_known(hot, cold):
        return Estimate(value=value, source=source)
    slow, fast = (
        cooling_time(properties, replace(wall, emissivity=emissivity), hot.value, cold.value)
        for emissivity in (
            min(wall.emissivity, EMISSIVITY_RANGE[0]),
            max(wall.emissivity, EMISSIVITY_RANGE[1]),
        )
    )
    shorter, longer = _end_effects(properties, hot, cold, correlation, wall)
    down = math.hypot(value - fast, _HEAT_ERROR * value, shorter)
    up = math.hypot(slow - value, _HEAT_ERROR * value, longer)
    return Estimate(value=value, source=source, low=max(value - down, 0.0), high=value + up)


def _end_effects(
    properties: GlassProperties, hot: Estimate, cold: Estimate, correlation: float, wall: Wall
) -> tuple[float, float]:
    """Shortening and lengthening [s] of the time by the errors of both ends."""
    value = cooling_time(properties, wall, hot.value, cold.value)

    def change(hotter: float, colder: float) -> float:
        return abs(cooling_time(properties, wall, hotter, colder) - value)

    narrow = 0.05 * (hot.value - cold.value)  # wide intervals must not make the ends meet
    lowest_hot, highest_cold = cold.value + narrow, hot.value - narrow
    coldest = 0.5 * (wall.room + cold.value)  # nor reach the room, which no wall cools to
    # Both ends higher, or both lower, is what correlated errors do; it cancels in part.
    down = difference_error(
        change(max(_or(hot.low, hot.value), lowest_hot), cold.value),
        change(hot.value, max(_or(cold.low, cold.value), coldest)),
        correlation,
    )
    up = difference_error(
        change(_or(hot.high, hot.value), cold.value),
        change(hot.value, min(_or(cold.high, cold.value), highest_cold)),
        correlation,
    )
    return down, up


def _or(bound: float | None, value: float) -> float:
    return value if bound is None else bound


@functools.cache
def _reference() -> tuple[GlassProperties, float, float]:
    """Properties of the reference glass, its working and softening points [K]."""
    properties = properties_of(find_glass(REFERENCE_GLASS))
    hot, cold = properties.working_point, properties.softening_point
    if hot is None or cold is None:  # the shipped glass has both measured
        raise GlassError(f"“{REFERENCE_GLASS}” has lost its measured points.")
    return properties, hot.value, cold.value


def _relative_time(
    properties: GlassProperties, hot: Estimate, cold: Estimate, correlation: float, wall: Wall
) -> Estimate:
    reference, reference_hot, reference_cold = _reference()
    theirs = cooling_time(reference, wall, reference_hot, reference_cold)
    value = cooling_time(properties, wall, hot.value, cold.value) / theirs
    source = f"against {REFERENCE_GLASS} in the same wall"
    if not _is_known(hot, cold):
        return Estimate(value=value, source=source)
    shorter, longer = _end_effects(properties, hot, cold, correlation, wall)
    down = math.hypot(shorter / theirs, _HEAT_ERROR * value)
    up = math.hypot(longer / theirs, _HEAT_ERROR * value)
    return Estimate(value=value, source=source, low=max(value - down, 0.0), high=value + up)


def _length(relative: float) -> Length:
    if relative >= LONG:
        return Length.LONG
    return Length.SHORT if relative <= 1.0 / LONG else Length.MIDDLING


def _other_lengths(relative: Estimate, length: Length) -> tuple[Length, ...]:
    if relative.low is None or relative.high is None:
        return ()
    order = list(Length)
    longest, shortest = order.index(_length(relative.high)), order.index(_length(relative.low))
    return tuple(other for other in order[longest : shortest + 1] if other is not length)


def _warnings(wall: Wall, biot: float) -> tuple[str, ...]:
    if biot <= _BIOT_LIMIT:
        return ()
    text = (
        f"A wall of {wall.thickness * 1000:g} mm cools unevenly (Biot number {biot:.1f}): its "
        "skin sets well before its middle, and the setting time is a guide only."
    )
    return (text,)
