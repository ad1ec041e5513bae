"""A piece at its place in the lehr, as the stress engine takes it."""

from __future__ import annotations

from dataclasses import replace

from core.glass.glass import Estimate, GlassProperties
from core.load.placing import BRICK_HEAT_CONTENT, Placing
from core.stress.section import FirstState, Shelf


def shifted(glass: GlassProperties, by: float) -> GlassProperties:
    """The same glass with strain, annealing and softening point moved [K]."""
    if by == 0.0:
        return glass

    def moved(point: Estimate) -> Estimate:
        return replace(point, value=point.value + by)

    softening = glass.softening_point
    return replace(
        glass,
        strain_point=moved(glass.strain_point),
        annealing_point=moved(glass.annealing_point),
        softening_point=None if softening is None else moved(softening),
    )


def shelf_under(placing: Placing) -> Shelf | None:
    """What a piece stands on, as the stress engine takes it."""
    if placing.shelf is None:
        return None
    return Shelf(heat_content=BRICK_HEAT_CONTENT * placing.shelf)


def first_state_of(placing: Placing) -> FirstState | None:
    """How hot a piece is as it goes in; ``None``: as the lehr, and even."""
    core, skin = placing.core, placing.skin
    if core is None and skin is None:
        return None
    inside = core if core is not None else skin
    outside = skin if skin is not None else core
    assert inside is not None  # noqa: S101 -- one of them is given
    assert outside is not None  # noqa: S101
    return FirstState(inside, outside)
