"""From a glass as entered to everything the later steps need to know of it."""

from __future__ import annotations

from dataclasses import dataclass

from core.errors import GlassError
from core.glass.fixed_points import (
    ANNEALING,
    FIXED_POINTS,
    MELTING,
    SOFTENING,
    STRAIN,
    WORKING,
    FixedPoint,
)
from core.glass.fluegel_2007 import FLUEGEL_2007
from core.glass.glass import Estimate, Glass, GlassProperties, ModelPrediction
from core.glass.material import material_of
from core.glass.measured_points import (
    check_measured,
    corrected_through_measured,
    curve_from_measured,
    derivable,
    measured_estimate,
    measured_points,
)
from core.glass.model_choice import ModelAnswer, answers, choose
from core.glass.model_experience import Experience, fluegel_experience
from core.glass.viscosity_curve import ViscosityCurve, same_order
from core.glass.viscosity_model import (
    COLDEST_STRAIN_POINT,
    ModelEvaluation,
    ViscosityModel,
    extrapolated_points,
)
from core.units import ZERO_CELSIUS

_SURPRISE = 3.0
"""A measured point this many stated errors from the model deserves a second look."""


@dataclass(frozen=True)
class _Viscosity:
    """The curve a glass is reckoned with and where it comes from."""

    curve: ViscosityCurve | None
    chosen: ModelAnswer | None
    answers: tuple[ModelAnswer, ...]


def properties_of(glass: Glass) -> GlassProperties:
    """Everything the later steps need to know of a glass.

    Measured values win over computed ones. Measured points on top of an analysis move the
    model's curve so that it meets them. Without an analysis only what was measured is known of
    the viscosity, and density, elasticity and heat are those of clear float, with a warning.

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
        value); if there is no analysis and no measured expansion (``field="expansion"``); if no
        model gives a physical curve and strain and annealing point were not measured.
    """
    check_measured(glass)
    viscosity = _viscosity_of(glass)
    points = {point: _point(point, glass, viscosity) for point in FIXED_POINTS}
    strain, annealing = points[STRAIN], points[ANNEALING]
    known = [estimate.value for estimate in points.values() if estimate is not None]
    if strain is None or annealing is None:
        raise _no_curve(glass, viscosity)
    if not same_order(known) or strain.value < COLDEST_STRAIN_POINT:
        # Only measured points that do not belong to the analysis can bring this about.
        raise GlassError(
            f"“{glass.name}”: with these measured points the strain point comes to "
            f"{strain.value - ZERO_CELSIUS:.0f} °C, which no glass has.",
            field=next((p.key for p, _ in measured_points(glass.measured)), "composition"),
            remedy="Check the measured points, their unit and the analysis.",
        )
    warnings = [*_composition_warnings(glass), *_viscosity_warnings(glass, viscosity)]
    material, material_warnings = material_of(glass)
    warnings += material_warnings
    return GlassProperties(
        name=glass.name,
        strain_point=strain,
        annealing_point=annealing,
        softening_point=points[SOFTENING],
        working_point=points[WORKING],
        melting_point=points[MELTING],
        expansion=material.expansion,
        density=material.density,
        youngs_modulus=material.youngs_modulus,
        poissons_ratio=material.poissons_ratio,
        stress_optical_coefficient=material.stress_optical_coefficient,
        heat_capacity_terms=material.heat_capacity_terms,
        conductivity_terms=material.conductivity_terms,
        models=tuple(
            _prediction(answer.model, answer.evaluation)
            for answer in viscosity.answers
            if answer.evaluation is not None
        ),
        warnings=tuple(dict.fromkeys(warnings)),
    )


def viscosity_curve_of(glass: Glass) -> ViscosityCurve | None:
    """Viscosity curve of a glass for plotting, or ``None`` if too little is known.

    From the analysis (moved through measured points) or through three or more measured points;
    in the latter case it says nothing beyond them.

    Raises
    ------
    GlassError
        As :func:`properties_of` for contradicting measured points.
    """
    check_measured(glass)
    return _viscosity_of(glass).curve


def _viscosity_of(glass: Glass) -> _Viscosity:
    given = answers(glass.composition) if glass.composition is not None else ()
    chosen = choose(given)
    if chosen is None or chosen.evaluation is None:
        return _Viscosity(curve_from_measured(glass), None, given)
    curve = corrected_through_measured(chosen.evaluation.curve, glass)
    return _Viscosity(curve, chosen, given)


def _no_curve(glass: Glass, viscosity: _Viscosity) -> GlassError:
    problems = " ".join(answer.problem for answer in viscosity.answers if answer.problem)
    return GlassError(
        f"“{glass.name}”: {problems}",
        field="composition",
        remedy="Check the analysis, or enter the measured annealing and strain points.",
    )


def _point(point: FixedPoint, glass: Glass, viscosity: _Viscosity) -> Estimate | None:
    measured = getattr(glass.measured, point.key)
    if measured is not None:
        return measured_estimate(measured, glass)
    if viscosity.curve is None:
        return None
    if viscosity.chosen is None:
        if not derivable(point, glass.measured):
            return None
        value = viscosity.curve.temperature(point.log_viscosity)
        return Estimate(value, "curve through the measured points")
    model = viscosity.chosen.model
    source = model.name
    if measured_points(glass.measured):
        source += ", moved to meet the measured points"
    claims = viscosity.chosen.in_range and point not in extrapolated_points(model)
    plus_minus = model.stated_error if claims else None
    experience = _experience(glass, viscosity.chosen)
    if claims and experience is not None:
        plus_minus = experience.plus_minus
        source += ", error from measured glasses of this kind"
    value = viscosity.curve.temperature(point.log_viscosity)
    return (
        Estimate(value, source)
        if plus_minus is None
        else Estimate.around(value, plus_minus, source)
    )


def _experience(glass: Glass, chosen: ModelAnswer) -> Experience | None:
    if glass.composition is None or not chosen.in_range or chosen.model is not FLUEGEL_2007:
        return None
    return fluegel_experience(glass.composition)


def _prediction(model: ViscosityModel, evaluation: ModelEvaluation) -> ModelPrediction:
    temperatures = {
        point.key: evaluation.curve.temperature(point.log_viscosity) for point in FIXED_POINTS
    }
    return ModelPrediction(
        model=model.name,
        in_range=not evaluation.outside,
        outside=evaluation.outside,
        extrapolated=tuple(point.name for point in extrapolated_points(model)),
        stated_error=model.stated_error,
        **temperatures,
    )


def _composition_warnings(glass: Glass) -> list[str]:
    if glass.composition is None:
        return []
    warnings = list(glass.composition.warnings)
    lead = glass.composition.weight("PbO")
    if lead > 0:
        warnings.append(
            f"This glass contains lead (PbO {lead:.3g} wt%): batch dust, furnace fume and "
            "grinding sludge are poisonous. Follow the supplier's safety sheet and local rules."
        )
    return warnings


def _viscosity_warnings(glass: Glass, viscosity: _Viscosity) -> list[str]:
    warnings = [answer.problem for answer in viscosity.answers if answer.problem]
    chosen = viscosity.chosen
    if chosen is None or chosen.evaluation is None:
        return warnings
    name = chosen.model.name
    if not chosen.in_range:
        warnings.append(
            f"No published model covers this glass. {name} is used all the same and no accuracy "
            "can be claimed for it: make a trial before trusting these temperatures."
        )
    # Models preferred to the chosen one were passed over for what they say here; those after it
    # are not asked.
    for answer in viscosity.answers[: viscosity.answers.index(chosen) + 1]:
        if answer.evaluation is not None:
            warnings += [f"{answer.model.name}: {text}" for text in answer.evaluation.outside]
    if chosen.evaluation.ignored:
        ignored = ", ".join(chosen.evaluation.ignored)
        warnings.append(f"{name} has no term for {ignored}; the viscosity takes no account of it.")
    experience = _experience(glass, chosen)
    if experience is not None and glass.measured.annealing_point is None:
        warnings.append(experience.sentence)
    warnings += _disagreement(chosen, viscosity.answers)
    warnings += _surprises(glass, chosen)
    measured = {point for point, _ in measured_points(glass.measured)}
    beyond = [p.name for p in extrapolated_points(chosen.model) if p not in measured]
    if beyond:
        low, high = chosen.model.fitted_log_viscosity
        warnings.append(
            f"{name} was fitted between 10^{low:g} and 10^{high:g} Pa s; "
            f"beyond that lie and are extrapolated: {', '.join(beyond)}."
        )
    return warnings


def _disagreement(chosen: ModelAnswer, given: tuple[ModelAnswer, ...]) -> list[str]:
    """Warn when two models that both cover the glass are further apart than their errors."""
    if not chosen.in_range or chosen.evaluation is None:
        return []
    ours = chosen.evaluation.curve.temperature(ANNEALING.log_viscosity)
    warnings = []
    for other in given:
        if other is chosen or not other.in_range or other.evaluation is None:
            continue
        theirs = other.evaluation.curve.temperature(ANNEALING.log_viscosity)
        if abs(ours - theirs) > chosen.model.stated_error + other.model.stated_error:
            warnings.append(
                f"The models disagree on the annealing point by more than their stated errors: "
                f"{chosen.model.name} {ours - ZERO_CELSIUS:.0f} °C, "
                f"{other.model.name} {theirs - ZERO_CELSIUS:.0f} °C."
            )
    return warnings


def _surprises(glass: Glass, chosen: ModelAnswer) -> list[str]:
    """Warn of measured points far from what the model reckons for the analysis."""
    if chosen.evaluation is None or not chosen.in_range:
        return []
    warnings = []
    for point, measured in measured_points(glass.measured):
        apart = measured - chosen.evaluation.curve.temperature(point.log_viscosity)
        if abs(apart) > _SURPRISE * chosen.model.stated_error:
            side = "above" if apart > 0 else "below"
            warnings.append(
                f"The measured {point.name} lies {abs(apart):.0f} °C {side} what "
                f"{chosen.model.name} reckons for this analysis: check the sheet, its unit and "
                "the analysis."
            )
    return warnings
