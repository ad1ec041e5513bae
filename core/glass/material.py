"""Everything of a glass but its viscosity: measured, reckoned from the analysis, or assumed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from core.composition.composition import Composition
from core.errors import GlassError
from core.glass import clear_float
from core.glass.density import density_of
from core.glass.elastic import elastic_of
from core.glass.expansion import expansion_of
from core.glass.glass import Estimate, Glass
from core.glass.heat import conductivity_terms_of, heat_capacity_terms_of
from core.glass.measured_points import measured_estimate
from core.glass.stress_optical import stress_optical_coefficient_of


@dataclass(frozen=True)
class Material:
    """Everything but viscosity; units as in :class:`core.glass.glass.GlassProperties`."""

    expansion: Estimate
    density: Estimate
    youngs_modulus: Estimate
    poissons_ratio: Estimate
    stress_optical_coefficient: Estimate
    heat_capacity_terms: tuple[float, float]
    conductivity_terms: tuple[float, float]


def material_of(glass: Glass) -> tuple[Material, list[str]]:
    """Material properties of a glass, and warnings.

    Measured values win; the rest comes from the analysis, or without one from clear float.

    Raises
    ------
    GlassError
        If there is neither an analysis nor a measured expansion (``field="expansion"``), or if
        a measured density does not go with the analysis.
    """
    warnings: list[str] = []
    if glass.composition is None:
        return _assumed_material(glass, warnings), warnings
    return _computed_material(glass, glass.composition, warnings), warnings


def _computed_material(glass: Glass, composition: Composition, warnings: list[str]) -> Material:
    def measured_or(
        value: float | None, compute: Callable[[Composition], tuple[Estimate, tuple[str, ...]]]
    ) -> Estimate:
        if value is not None:
            return measured_estimate(value, glass)
        estimate, notes = compute(composition)
        warnings.extend(notes)
        return estimate

    expansion = measured_or(glass.measured.expansion, expansion_of)
    density = measured_or(glass.measured.density, density_of)
    youngs_modulus, poissons_ratio, elastic_notes = elastic_of(composition, density.value)
    if glass.measured.youngs_modulus is not None:
        youngs_modulus = measured_estimate(glass.measured.youngs_modulus, glass)
    coefficient, optical_notes = stress_optical_coefficient_of(composition)
    heat_capacity_terms, heat_notes = heat_capacity_terms_of(composition)
    warnings.extend((*elastic_notes, *optical_notes, *heat_notes))
    return Material(
        expansion,
        density,
        youngs_modulus,
        poissons_ratio,
        coefficient,
        heat_capacity_terms,
        conductivity_terms_of(composition),
    )


def _assumed_material(glass: Glass, warnings: list[str]) -> Material:
    if glass.measured.expansion is None:
        raise GlassError(
            f"“{glass.name}” has no analysis and no measured expansion, and without one no "
            "stress can be reckoned.",
            field="expansion",
            remedy="Enter the expansion (20-300 °C) from the supplier's sheet, or the analysis.",
        )
    warnings.append(
        "No analysis is given: density, elasticity, heat capacity and conductivity not measured "
        "are those of clear float, a soda-lime glass. For lead or borosilicate enter the analysis."
    )

    def measured_or(value: float | None, assumed: float) -> Estimate:
        if value is not None:
            return measured_estimate(value, glass)
        return Estimate(assumed, clear_float.SOURCE)

    return Material(
        measured_estimate(glass.measured.expansion, glass),
        measured_or(glass.measured.density, clear_float.DENSITY),
        measured_or(glass.measured.youngs_modulus, clear_float.YOUNGS_MODULUS),
        Estimate(clear_float.POISSONS_RATIO, clear_float.SOURCE),
        Estimate(clear_float.STRESS_OPTICAL_COEFFICIENT, clear_float.SOURCE),
        heat_capacity_terms_of(clear_float.COMPOSITION)[0],
        conductivity_terms_of(clear_float.COMPOSITION),
    )
