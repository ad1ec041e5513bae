"""What target and batch are as glasses, side by side: points, working range, expansion."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from core.batch.batch import Batch
from core.composition.composition import Composition
from core.errors import GlassError
from core.glass.glass import Estimate, Glass, GlassProperties
from core.working.working_properties import working_properties_of


class Compared(StrEnum):
    """What is compared."""

    ANNEALING_POINT = "annealing point"
    SOFTENING_POINT = "softening point"
    WORKING_POINT = "working point"
    WORKING_RANGE = "working range"
    EXPANSION = "expansion"


@dataclass(frozen=True)
class ComparedProperty:
    """A property of the three glasses; ``None`` where no model has an answer.

    Attributes
    ----------
    what : Compared
    target, reached : Estimate or None
        Of the analysis asked for and of the glass before additions on top [K, 1/K].
    with_additions : Estimate or None
        Of the glass in the pot.
    """

    what: Compared
    target: Estimate | None
    reached: Estimate | None
    with_additions: Estimate | None


def compared_properties(batch: Batch) -> tuple[ComparedProperty, ...]:
    """Properties of a batch's target, its base glass and its finished glass with their intervals.

    The working range is the working point less the softening point
    (:mod:`core.working.working_properties`).
    """
    glasses = (
        (batch.request.target, batch.target_properties),
        (batch.base, batch.base_properties),
        (batch.glass, batch.glass_properties),
    )
    ranges = [_working_range(*glass) for glass in glasses]
    rows = [
        ComparedProperty(what, *(of(properties) for _, properties in glasses))
        for what, of in _POINTS
    ]
    rows.insert(3, ComparedProperty(Compared.WORKING_RANGE, *ranges))
    return tuple(rows)


def _of(name: str) -> Callable[[GlassProperties | None], Estimate | None]:
    return lambda properties: getattr(properties, name, None)


_POINTS = (
    (Compared.ANNEALING_POINT, _of("annealing_point")),
    (Compared.SOFTENING_POINT, _of("softening_point")),
    (Compared.WORKING_POINT, _of("working_point")),
    (Compared.EXPANSION, _of("expansion")),
)


def _working_range(composition: Composition, properties: GlassProperties | None) -> Estimate | None:
    if properties is None:
        return None
    try:
        return working_properties_of(Glass("batch", composition), properties).working_range
    except GlassError:
        return None
