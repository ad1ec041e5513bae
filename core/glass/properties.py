"""From a glass as entered to everything the later steps need to know of it."""

from __future__ import annotations

from core.composition.composition import Composition
from core.glass.fixed_points import FIXED_POINTS
from core.glass.glass import Estimate, Glass, GlassProperties
from core.glass.glass_viscosity import viscosity_of
from core.glass.material import material_of
from core.glass.measured_points import check_measured
from core.glass.property_fit.domain import DomainStatement, domain_statement
from core.glass.property_fit.fitted_viscosity import MODEL_NAME, model_version
from core.glass.published_models import MODELS
from core.glass.second_opinion import second_opinions
from core.glass.viscosity_curve import ViscosityCurve
from core.units import ZERO_CELSIUS

DEVITRIFIES_WITHIN = 20.0
"""[K] A liquidus less than this below the working point, or above it, lets crystals grow in glass
that is being worked (common practice, no source)."""


def properties_of(glass: Glass) -> GlassProperties:
    """Everything the later steps need to know of a glass.

    Reckoned from the analysis by the model fitted to open data, each number with its 90 %
    interval. Measured values win over reckoned ones; measured points and trials move the curve
    and narrow its interval; published models stand beside it as a second opinion. Without an
    analysis only what was measured is known of the viscosity, and density, elasticity and heat
    are those of clear float, with a warning.

    Parameters
    ----------
    glass : Glass
        Analysis, measured points, or both.

    Returns
    -------
    GlassProperties
        SI units; strain < annealing < softening < working < melting point.

    Raises
    ------
    GlassError
        If measured values contradict each other or no glass has them (``field`` names the
        value); if there is no analysis and no measured expansion (``field="expansion"``); if the
        model gives no physical curve and strain and annealing point were not measured.
    """
    check_measured(glass)
    viscosity = viscosity_of(glass)
    points = viscosity.points
    composition = glass.composition
    domain = None if composition is None else domain_statement(composition)
    material, material_warnings = material_of(glass)
    warnings = [*_composition_warnings(composition), *viscosity.warnings]
    notes: list[str] = []
    if domain is not None and domain.sentences:
        (notes if domain.in_range else warnings).append(_domain_words(domain))
    caution = _devitrification(material.liquidus, points.get("working_point"))
    if caution:
        notes.append(caution)
    warnings += material_warnings
    notes += material.notes
    return GlassProperties(
        name=glass.name,
        strain_point=points["strain_point"],
        annealing_point=points["annealing_point"],
        softening_point=points.get("softening_point"),
        working_point=points.get("working_point"),
        melting_point=points.get("melting_point"),
        expansion=material.expansion,
        density=material.density,
        youngs_modulus=material.youngs_modulus,
        poissons_ratio=material.poissons_ratio,
        stress_optical_coefficient=material.stress_optical_coefficient,
        heat_capacity_terms=material.heat_capacity_terms,
        conductivity_terms=material.conductivity_terms,
        models=()
        if composition is None
        else second_opinions(
            composition, {p: points[p.key] for p in FIXED_POINTS if p.key in points}
        ),
        warnings=tuple(dict.fromkeys(warnings)),
        glass_transition=points.get("glass_transition"),
        temperature_log2=points.get("temperature_log2"),
        refractive_index=material.refractive_index,
        liquidus=material.liquidus,
        domain=domain,
        notes=tuple(dict.fromkeys(notes)),
        opinions=material.opinions,
        model_versions=() if composition is None else model_versions(),
    )


def viscosity_curve_of(glass: Glass) -> ViscosityCurve | None:
    """Viscosity curve of a glass for plotting, or ``None`` if too little is known.

    A :class:`core.glass.fitted_curve.FittedCurve` when there is an analysis; otherwise through
    three or more measured points, and then it says nothing beyond them.

    Raises
    ------
    GlassError
        As :func:`properties_of` for contradicting measured points.
    """
    check_measured(glass)
    return viscosity_of(glass).curve


def model_versions() -> tuple[tuple[str, str], ...]:
    """Name and version of each model behind the numbers, ours first."""
    return ((MODEL_NAME, model_version()), *((model.name, model.source) for model in MODELS))


def _composition_warnings(composition: Composition | None) -> list[str]:
    if composition is None:
        return []
    warnings = list(composition.warnings)
    lead = composition.weight("PbO")
    if lead > 0:
        warnings.append(
            f"This glass contains lead (PbO {lead:.3g} wt%): batch dust, furnace fume and "
            "grinding sludge are poisonous. Follow the supplier's safety sheet and local rules."
        )
    return warnings


def _domain_words(domain: DomainStatement) -> str:
    words = " ".join(domain.sentences)
    if domain.in_range:
        return words
    return f"{words} Make a trial before trusting what is reckoned for it."


def _devitrification(liquidus: Estimate | None, working: Estimate | None) -> str:
    """Caution when crystals can grow in glass that is being worked; empty otherwise."""
    if liquidus is None or working is None:
        return ""
    if liquidus.value < working.value - DEVITRIFIES_WITHIN:
        return ""
    side = "above" if liquidus.value > working.value else "close to"
    spread = "" if liquidus.plus_minus is None else f" (± {liquidus.plus_minus:.0f})"
    return (
        f"Its liquidus, about {liquidus.value - ZERO_CELSIUS:.0f}{spread} °C, lies {side} the "
        f"working point of {working.value - ZERO_CELSIUS:.0f} °C: held long below the liquidus the "
        "glass may devitrify."
    )
