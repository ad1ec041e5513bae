"""Everything of a glass but its viscosity: measured, reckoned from the analysis, or assumed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.composition.composition import Composition
from core.errors import GlassError
from core.glass import clear_float
from core.glass.analysis_error import error_rows, values_with_error
from core.glass.density import density_of
from core.glass.elastic import elastic_of
from core.glass.expansion import expansion_of
from core.glass.glass import Estimate, Glass, PropertyOpinion
from core.glass.heat import conductivity_terms_of, heat_capacity_terms_of
from core.glass.measured_points import measured_estimate
from core.glass.property_fit.fitted_points import weight_rows
from core.glass.property_fit.fitted_values import Values
from core.glass.property_fit.fitted_viscosity import MODEL_NAME
from core.glass.stress_optical import stress_optical_coefficient_of

PHYSICAL: Mapping[str, tuple[float, float]] = {
    "expansion": (5e-7, 300e-7),
    "density": (1800.0, 9000.0),
    "youngs_modulus": (20e9, 200e9),
    "poissons_ratio": (0.10, 0.40),
    "refractive_index": (1.40, 2.50),
    "liquidus": (700.0, 2200.0),
}
"""What an oxide glass can have, SI; beyond these a formula has been carried too far (our choice:
vitreous silica, 5.5e-7 1/K and 1.46, is at one end, heavy lead and bismuth glasses at the other).
"""

_NAMES = {
    "expansion": "expansion",
    "density": "density",
    "youngs_modulus": "Young's modulus",
    "poissons_ratio": "Poisson's ratio",
}


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
    refractive_index: Estimate | None = None
    liquidus: Estimate | None = None
    opinions: tuple[PropertyOpinion, ...] = ()
    notes: tuple[str, ...] = ()


def material_of(glass: Glass) -> tuple[Material, list[str]]:
    """Material properties of a glass, and warnings; what matters less is in ``Material.notes``.

    Measured values win; the rest comes from the analysis, or without one from clear float.

    Raises
    ------
    GlassError
        If there is neither an analysis nor a measured expansion (``field="expansion"``), if a
        measured density does not go with the analysis, or if nothing can be said of a property.
    """
    warnings: list[str] = []
    if glass.composition is None:
        return _assumed_material(glass, warnings), warnings
    return _computed_material(glass, glass.composition, warnings), warnings


def _computed_material(glass: Glass, composition: Composition, warnings: list[str]) -> Material:
    fitted = _fitted(composition)
    density = fitted.get("density")
    if glass.measured.density is not None:
        density = measured_estimate("density", glass)
    published = _published(composition, density)
    chosen: dict[str, Estimate] = {}
    for key, called in _NAMES.items():
        if key != "poissons_ratio" and getattr(glass.measured, key) is not None:
            known = fitted.get(key)
            chosen[key] = measured_estimate(key, glass, known.plus_minus if known else None)
        elif key in fitted:
            chosen[key] = fitted[key]
        elif key not in published:
            raise GlassError(
                f"“{glass.name}”: neither the fitted model nor published factors say anything "
                f"sensible of its {called}.",
                field="composition",
                remedy="Check the analysis; this is far from any glass they were made for.",
            )
        else:
            chosen[key] = Estimate(published[key].value, published[key].source)
            warnings.append(
                f"The fitted model says nothing sensible of this glass's {called}; published "
                "factors are used and no accuracy can be claimed. Enter a measured one."
            )
    coefficient, optical_notes = stress_optical_coefficient_of(composition)
    heat_capacity_terms, heat_notes = heat_capacity_terms_of(composition)
    warnings.extend(optical_notes)
    return Material(
        **chosen,
        stress_optical_coefficient=coefficient,
        heat_capacity_terms=heat_capacity_terms,
        conductivity_terms=conductivity_terms_of(composition),
        refractive_index=fitted.get("refractive_index"),
        liquidus=fitted.get("liquidus"),
        notes=heat_notes,
        opinions=tuple(_opinion(key, published[key], chosen[key]) for key in published),
    )


def _fitted(composition: Composition) -> dict[str, Estimate]:
    """What the fitted model says, left out where it says nothing physical."""
    rows = weight_rows([composition])
    if not rows.any():
        return {}
    values = values_with_error(rows, error_rows([composition]))
    return {key: _estimate(values[key]) for key in PHYSICAL if is_possible(key, values[key])[0]}


def is_possible(key: str, values: Values) -> NDArray[np.bool_]:
    """Tell for each glass whether an oxide glass can have this, and its interval holds it."""
    low, high = PHYSICAL[key]
    within = (values.value >= low) & (values.value <= high)
    result: NDArray[np.bool_] = (
        within & (values.low <= values.value) & (values.value <= values.high)
    )
    return result


def _estimate(values: Values) -> Estimate:
    value, low, high = (float(end[0]) for end in (values.value, values.low, values.high))
    return Estimate(value, MODEL_NAME, low, high)


def _published(composition: Composition, density: Estimate | None) -> dict[str, Estimate]:
    """Published factors: second opinion, and a stopgap where the model fails."""
    by_volume = density_of(composition)[0]
    published = {"expansion": expansion_of(composition)[0], "density": by_volume}
    try:
        modulus, ratio, _ = elastic_of(composition, (density or by_volume).value)
    except GlassError:
        if density is not None and density.measured:
            raise
        return published  # nobody entered the density they find fault with
    return published | {"youngs_modulus": modulus, "poissons_ratio": ratio}


def _opinion(key: str, published: Estimate, ours: Estimate) -> PropertyOpinion:
    if ours.plus_minus is None or published.plus_minus is None:
        return PropertyOpinion(key, published, agrees=False)
    apart = abs(published.value - ours.value)
    agrees = apart <= math.hypot(ours.plus_minus, published.plus_minus)
    return PropertyOpinion(key, published, agrees=agrees)


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

    def measured_or(key: str, assumed: float) -> Estimate:
        if getattr(glass.measured, key) is not None:
            return measured_estimate(key, glass)
        return Estimate(assumed, clear_float.SOURCE)

    return Material(
        measured_estimate("expansion", glass),
        measured_or("density", clear_float.DENSITY),
        measured_or("youngs_modulus", clear_float.YOUNGS_MODULUS),
        Estimate(clear_float.POISSONS_RATIO, clear_float.SOURCE),
        Estimate(clear_float.STRESS_OPTICAL_COEFFICIENT, clear_float.SOURCE),
        heat_capacity_terms_of(clear_float.COMPOSITION)[0],
        conductivity_terms_of(clear_float.COMPOSITION),
    )
