"""What one piece of a given glass stands, at any temperature: lags and stresses per unit rate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.glass.glass import GlassProperties
from core.glass.heat import heat_capacity, thermal_diffusivity
from core.piece import cooling_stress, lag
from core.piece.piece import Geometry, Piece, Section, Shape
from core.piece.surface import surface_coefficient
from core.units import LengthUnit, metre_to

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class StressCause:
    """A stress that limits the rate: its size per unit rate, and what it is in plain words."""

    per_rate: FloatArray
    words: str


@dataclass(frozen=True)
class PieceResponse:
    """A piece with its glass's properties.

    Every method takes temperatures [K] as an array and returns arrays of the same shape.
    ``length_unit`` is only for the words.
    """

    piece: Piece
    properties: GlassProperties
    length_unit: LengthUnit = LengthUnit.MILLIMETRE

    @property
    def stress_modulus(self) -> float:
        """E alpha/(1 - nu) [Pa/K]."""
        glass = self.properties
        return cooling_stress.thermal_stress_modulus(
            glass.youngs_modulus.value, glass.poissons_ratio.value, glass.expansion.value
        )

    def film_lag_time(self, section: Section, temperature: FloatArray) -> FloatArray:
        """Surface behind chamber per unit rate [s]."""
        return lag.film_lag_time(
            section,
            self.properties.density.value,
            heat_capacity(self.properties, temperature),
            surface_coefficient(temperature),
        )

    def core_lag_time(self, temperature: FloatArray) -> FloatArray:
        """Slowest section's centre behind the chamber per unit rate [s]."""
        diffusivity = thermal_diffusivity(self.properties, temperature)
        lags = [
            lag.centre_lag_time(section, diffusivity) + self.film_lag_time(section, temperature)
            for section in self.piece.sections()
        ]
        return np.asarray(np.max(np.stack(lags), axis=0))

    def time_constant(self, temperature: FloatArray) -> FloatArray:
        """Slowest section's time constant towards the chamber temperature [s]."""
        diffusivity = thermal_diffusivity(self.properties, temperature)
        constants = [
            lag.time_constant(section, diffusivity, self.film_lag_time(section, temperature))
            for section in self.piece.sections()
        ]
        return np.asarray(np.max(np.stack(constants), axis=0))

    def thickest(self) -> Section:
        """The section that trails most near the annealing point."""
        temperature = np.asarray(self.properties.annealing_point.value)
        diffusivity = thermal_diffusivity(self.properties, temperature)
        return max(
            self.piece.sections(),
            key=lambda s: float(
                lag.time_constant(s, diffusivity, self.film_lag_time(s, temperature))
            ),
        )

    def permanent(self, temperature: FloatArray) -> tuple[StressCause, ...]:
        """Core tension of each section left for good, per unit cooling rate."""
        diffusivity = thermal_diffusivity(self.properties, temperature)
        return tuple(
            StressCause(
                cooling_stress.core_stress_per_rate(section, diffusivity, self.stress_modulus),
                f"core tension left in its {self._words(section)}",
            )
            for section in self.piece.sections()
        )

    def temporary(self, temperature: FloatArray) -> tuple[StressCause, ...]:
        """Skin tension of each section while cooling below the strain point, per unit rate."""
        diffusivity = thermal_diffusivity(self.properties, temperature)
        return tuple(
            StressCause(
                cooling_stress.skin_stress_per_rate(section, diffusivity, self.stress_modulus),
                f"skin tension in its {self._words(section)} while it cools",
            )
            for section in self.piece.sections()
        )

    def heating(self, temperature: FloatArray) -> tuple[StressCause, ...]:
        """Core tension of each section while a cold piece is heated, per unit rate."""
        return tuple(
            StressCause(cause.per_rate, cause.words.replace(" left in ", " while heating in "))
            for cause in self.permanent(temperature)
        )

    def joint(self, temperature: FloatArray) -> StressCause | None:
        """Stress between wall and base per unit rate, or ``None`` for a piece of one section."""
        if self.piece.shape is not Shape.VESSEL:
            return None
        wall, base = self.piece.sections()
        diffusivity = thermal_diffusivity(self.properties, temperature)
        difference = (
            lag.mean_lag_time(base, diffusivity)
            + self.film_lag_time(base, temperature)
            - lag.mean_lag_time(wall, diffusivity)
            - self.film_lag_time(wall, temperature)
        )
        unit = self.length_unit
        words = (
            f"stress between {describe_length(base.thickness, unit)} base and "
            f"{describe_length(wall.thickness, unit)} wall"
        )
        return StressCause(
            cooling_stress.joint_stress_per_rate(wall, base, difference, self.stress_modulus), words
        )

    def _words(self, section: Section) -> str:
        return describe_section(section, self.length_unit)


def describe_length(length: float, unit: LengthUnit = LengthUnit.MILLIMETRE) -> str:
    """A length [m] in words, e.g. ``"22 mm"``."""
    return f"{metre_to(length, unit):.3g} {unit.value}"


def describe_section(section: Section, unit: LengthUnit = LengthUnit.MILLIMETRE) -> str:
    """A section in the trade's words, e.g. ``"22 mm base, cooled from one side"``."""
    size = describe_length(section.thickness, unit)
    if section.geometry is not Geometry.SLAB:
        return f"{size} diameter"
    part = "thickness" if section.part == "body" else section.part
    one_sided = section.conduction_length == section.thickness
    return f"{size} {part}, cooled from {'one side' if one_sided else 'both sides'}"
