"""Trials of the studio's own: what a fibre test, a sag test or an observed annealing point says.

A fibre under a weight stretches, a strip on two supports sags, and how fast they do so is the
viscosity. Both rest on one fact: a viscous body strains at stress / (3 x viscosity) when pulled
(Trouton F.T. (1906), Proc. R. Soc. A 77, 426), as an elastic one strains by stress / modulus, so
that every elastic formula holds with 3 x viscosity for Young's modulus and rates for strains.

Errors of what is measured are standard errors and add up as independent ones do: each counts with
the power its quantity has in the formula. The defaults are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from core.errors import GlassError
from core.glass.fixed_points import ANNEALING
from core.glass.glass import MeasuredViscosity
from core.units import ZERO_CELSIUS

STANDARD_GRAVITY = 9.80665
"""[m/s2] ISO 80000-3."""
SURFACE_TENSION = 0.31
"""[N/m] Median of some 400 soda-lime, potash and mixed glasses of the SciGlass open data (SciGlass
database, (c) 2019 EPAM Systems, ODC Open Database License); lead lowers it to 0.23."""

MOST_STRETCH = 0.05
"""A fibre that stretched by more than this has grown thin; the formula holds for the start."""
MOST_SAG = 0.10
"""Sag over span up to which a strip counts as straight: beyond, supports and slope matter."""
LEAST_SLENDERNESS = 10.0
"""Span over thickness from which bending alone counts: shear adds 2.9 (thickness / span)^2 to the
sag of a strip, which is 3 % here (Timoshenko beam, shear factor 5/6)."""


class Section(StrEnum):
    """Section of what sags."""

    STRIP = "strip"
    ROD = "rod"


@dataclass(frozen=True)
class FibreTest:
    """A fibre hung in a furnace of even temperature stretches under a weight.

    Viscosity = (load g / section - surface tension / radius) / (3 x elongation / (length x
    duration)); the surface pulls the fibre together while the load pulls it apart. With 0.65 mm,
    1 kg and 0.14 mm/min this is the test of ASTM C336 and ISO 7884-3.

    Attributes
    ----------
    temperature : float
        Of the fibre [K].
    diameter : float
        [m].
    length : float
        Of the part that is hot [m].
    load : float
        Mass of the weight [kg].
    elongation, duration : float
        Stretch [m] and the time it took [s].
    temperature_error, diameter_error, length_error, load_error, elongation_error, duration_error
        Standard errors of the above.
    """

    temperature: float
    diameter: float
    length: float
    load: float
    elongation: float
    duration: float
    temperature_error: float = 4.0
    diameter_error: float = 0.01e-3
    length_error: float = 5e-3
    load_error: float = 0.5e-3
    elongation_error: float = 0.1e-3
    duration_error: float = 2.0

    def viscosity(self) -> MeasuredViscosity:
        """What the test says.

        Raises
        ------
        GlassError
            If a quantity is not positive, the fibre stretched by more than 5 %, or its surface
            pulls harder than the weight. ``field`` names the quantity.
        """
        _require_positive(
            self, "temperature diameter length load elongation duration", "fibre test"
        )
        stretch = self.elongation / self.length
        if stretch > MOST_STRETCH:
            raise GlassError(
                f"The fibre stretched by {100 * stretch:.3g} % and grew thin; the formula holds "
                f"up to {100 * MOST_STRETCH:g} %.",
                field="elongation",
                remedy="Take the stretch of the first minutes, or a smaller weight.",
            )
        pull = self.load * STANDARD_GRAVITY / (math.pi * self.diameter**2 / 4.0)
        surface = SURFACE_TENSION / (self.diameter / 2.0)
        if surface > 0.5 * pull:
            raise GlassError(
                f"The weight pulls with {pull:.3g} Pa, the fibre's own surface holds with "
                f"{surface:.3g} Pa: the stretch says little of the viscosity.",
                field="load",
                remedy="Hang a heavier weight.",
            )
        value = (pull - surface) * self.duration / (3.0 * stretch)
        net = pull / (pull - surface)
        error = math.hypot(
            net * self.load_error / self.load,
            (2.0 * net - surface / (pull - surface)) * self.diameter_error / self.diameter,
            self.length_error / self.length,
            self.elongation_error / self.elongation,
            self.duration_error / self.duration,
        )
        return _measured(value, error, self.temperature, self.temperature_error, "fibre test")


@dataclass(frozen=True)
class SagTest:
    """A strip or rod lying freely on two supports sags under its own weight.

    Viscosity = 5 density g span^4 duration / (96 thickness^2 sag) for a strip and 5 density g
    span^4 duration / (72 diameter^2 sag) for a rod: the elastic beam under a uniform load, sag =
    5 w span^4 / (384 E I), with 3 x viscosity for E and the rate for the sag. It is the case
    without a weight of ASTM C598 and ISO 7884-4. The width of the strip drops out.

    Attributes
    ----------
    temperature : float
        Of the glass during the test [K].
    span : float
        Between the supports [m].
    thickness : float
        Of the strip, or diameter of the rod [m].
    sag, duration : float
        At mid-span [m], and the time at temperature [s].
    section : Section
    density : float
        [kg/m3].
    temperature_error, span_error, thickness_error, sag_error, duration_error, density_error
        Standard errors of the above.
    """

    temperature: float
    span: float
    thickness: float
    sag: float
    duration: float
    section: Section = Section.STRIP
    density: float = 2500.0
    temperature_error: float = 5.0
    span_error: float = 1e-3
    thickness_error: float = 0.05e-3
    sag_error: float = 0.2e-3
    duration_error: float = 60.0
    density_error: float = 25.0

    def viscosity(self) -> MeasuredViscosity:
        """What the test says.

        Raises
        ------
        GlassError
            If a quantity is not positive, the sag is more than a tenth of the span, or the piece
            is too stout for bending alone to count. ``field`` names the quantity.
        """
        _require_positive(self, "temperature span thickness sag duration density", "sag test")
        if self.sag > MOST_SAG * self.span:
            raise GlassError(
                f"A sag of {1000 * self.sag:.3g} mm over {1000 * self.span:.3g} mm is too deep; "
                "the formula holds to a tenth of the span.",
                field="sag",
                remedy="Repeat it colder or for a shorter time.",
            )
        if self.span < LEAST_SLENDERNESS * self.thickness:
            raise GlassError(
                f"A span of {1000 * self.span:.3g} mm is too short for a thickness of "
                f"{1000 * self.thickness:.3g} mm.",
                field="span",
                remedy=f"Take a span of {LEAST_SLENDERNESS:g} times the thickness or more.",
            )
        # section / second moment of area = 12 / thickness^2 or 16 / diameter^2
        shape = 12.0 if self.section is Section.STRIP else 16.0
        weight = self.density * STANDARD_GRAVITY * shape / self.thickness**2
        value = 5.0 * weight * self.span**4 * self.duration / (384.0 * 3.0 * self.sag)
        error = math.hypot(
            4.0 * self.span_error / self.span,
            2.0 * self.thickness_error / self.thickness,
            self.sag_error / self.sag,
            self.duration_error / self.duration,
            self.density_error / self.density,
        )
        return _measured(value, error, self.temperature, self.temperature_error, "sag test")


@dataclass(frozen=True)
class ObservedAnnealing:
    """The temperature at which strain seen in the polariscope is gone in about a quarter hour.

    That is how the annealing point is described (10^12 Pa s, ASTM C336); judged by eye it is
    found to some 8 K (common practice, no source).

    Attributes
    ----------
    temperature : float
        [K].
    temperature_error : float
        Standard error [K].
    """

    temperature: float
    temperature_error: float = 8.0

    def viscosity(self) -> MeasuredViscosity:
        """What the observation says.

        Raises
        ------
        GlassError
            If the temperature is not positive.
        """
        _require_positive(self, "temperature", "observed annealing point")
        return MeasuredViscosity(
            ANNEALING.log_viscosity,
            self.temperature,
            temperature_error=self.temperature_error,
            log_error=0.0,
            source="observed annealing point",
        )


Trial = FibreTest | SagTest | ObservedAnnealing


def _measured(
    viscosity: float, relative_error: float, temperature: float, error: float, name: str
) -> MeasuredViscosity:
    log = math.log10(viscosity)
    return MeasuredViscosity(
        log,
        temperature,
        temperature_error=error,
        log_error=relative_error / math.log(10.0),
        source=f"{name}, 10^{log:.2f} Pa s at {temperature - ZERO_CELSIUS:.0f} °C",
    )


def _require_positive(trial: Trial, fields: str, name: str) -> None:
    for field in fields.split():
        value = getattr(trial, field)
        if not (math.isfinite(value) and value > 0):
            raise GlassError(
                f"The {field} of the {name} must be more than 0.",
                field=field,
                remedy="Check the number and its unit.",
            )
    for field, error in vars(trial).items():
        if field.endswith("_error") and not (math.isfinite(error) and error >= 0):
            raise GlassError(
                f"The {field.replace('_', ' ')} of the {name} cannot be less than 0.",
                field=field,
                remedy="Give the standard error in the unit of the quantity, or leave it out.",
            )
