"""The published viscosity models beside ours: what they say, and whether they agree."""

from __future__ import annotations

from collections.abc import Mapping

from core.composition.composition import Composition
from core.glass.fixed_points import FIXED_POINTS, FixedPoint
from core.glass.fluegel_2007 import FLUEGEL_2007
from core.glass.glass import Estimate, ModelPrediction
from core.glass.model_experience import fluegel_experience
from core.glass.published_models import ModelAnswer, answers
from core.glass.viscosity_model import extrapolated_points

_WORTH_SAYING = 0.5
"""[K] Less would be shown as nothing."""


def second_opinions(
    composition: Composition, points: Mapping[FixedPoint, Estimate]
) -> tuple[ModelPrediction, ...]:
    """What each published model says of a glass, and how it compares with our intervals.

    Parameters
    ----------
    composition : Composition
    points : mapping of FixedPoint to Estimate
        Ours; those without an interval are not compared.
    """
    return tuple(
        _opinion(answer, composition, points)
        for answer in answers(composition)
        if answer.evaluation is not None
    )


def _opinion(
    answer: ModelAnswer, composition: Composition, points: Mapping[FixedPoint, Estimate]
) -> ModelPrediction:
    model, evaluation = answer.model, answer.evaluation
    assert evaluation is not None  # noqa: S101 - the caller left the others out
    temperatures = {p: evaluation.curve.temperature(p.log_viscosity) for p in FIXED_POINTS}
    beyond = extrapolated_points(model)
    compared = [p for p in FIXED_POINTS if p not in beyond and _has_interval(points.get(p))]
    apart = {p: _apart(temperatures[p], points[p], model.stated_error) for p in compared}
    outside = {p: distance for p, distance in apart.items() if distance != 0.0}
    verdict = _verdict(model.name, compared, outside, in_range=answer.in_range)
    if model is FLUEGEL_2007:
        experience = fluegel_experience(composition)
        if experience is not None:
            verdict = f"{verdict} {experience.sentence}".strip()
    return ModelPrediction(
        model=model.name,
        in_range=answer.in_range,
        outside=evaluation.outside,
        extrapolated=tuple(point.name for point in beyond),
        stated_error=model.stated_error,
        disagrees=tuple(point.name for point in outside),
        verdict=verdict,
        ignored=evaluation.ignored,
        **{point.key: temperature for point, temperature in temperatures.items()},
    )


def _has_interval(estimate: Estimate | None) -> bool:
    return estimate is not None and estimate.low is not None


def _apart(temperature: float, estimate: Estimate, stated_error: float) -> float:
    """How far [K] above (or below, negative) our interval; 0 inside.

    What was measured is known far better than any model: there the model's own error counts too.
    """
    if estimate.low is None or estimate.high is None:
        return 0.0
    room = stated_error if estimate.measured else 0.0
    above, below = temperature - estimate.high - room, temperature - estimate.low + room
    apart = max(above, 0.0) + min(below, 0.0)
    return apart if abs(apart) >= _WORTH_SAYING else 0.0


def _verdict(
    name: str,
    compared: list[FixedPoint],
    outside: Mapping[FixedPoint, float],
    *,
    in_range: bool,
) -> str:
    if not compared:
        return ""
    if not outside:
        text = f"{name} agrees: {_listed([p.name for p in compared])} inside our interval."
    else:
        parts = [
            f"{point.name} {abs(distance):.0f} °C {'above' if distance > 0 else 'below'} it"
            for point, distance in outside.items()
        ]
        text = f"{name} lies outside our interval: {_listed(parts)}."
    return text if in_range else f"{text} The glass is outside the range it was made for."


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
