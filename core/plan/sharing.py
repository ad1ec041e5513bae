"""Which glasses may share a night: one soak relaxes the stiffest and must not slump the softest."""

from __future__ import annotations

from collections.abc import Mapping

from core.glass.glass import GlassProperties
from core.load.load import Load
from core.plan.slumping import slump
from core.plan.soak import STRESS_RELEASE, viscosity_decade_at

SOFT_DECADE = 11.0
"""Below 10^11 Pa s a glass begins to bend under its own weight within the hour, and to take the
shelf's texture. Common practice, no source (the dilatometric softening point is 10^10 to
10^11 Pa s)."""


def too_soft(
    load: Load, name: str, glass: GlassProperties, soak: float, duration: float = STRESS_RELEASE
) -> bool:
    """Whether a glass of the load suffers at a soak [K] of a time [s]."""
    strain = glass.strain_point.value
    if viscosity_decade_at(glass.annealing_point.value, strain, soak) < SOFT_DECADE:
        return True
    return any(
        slump(piece, glass, soak, duration).visible for piece in load.pieces if piece.glass == name
    )


def nights_apart(
    load: Load, properties: Mapping[str, GlassProperties]
) -> tuple[tuple[str, ...], ...]:
    """Glasses of a load in as few groups as can each share a soak, the softest first.

    Each group is soaked for its own stiffest glass; one group when all may share the night.
    """
    order = sorted(properties, key=lambda name: properties[name].annealing_point.value)
    groups: list[list[str]] = []
    for name in order:
        soak = properties[name].annealing_point.value + load.soak_above_annealing
        if groups and not any(too_soft(load, n, properties[n], soak) for n in groups[-1]):
            groups[-1].append(name)
        else:
            groups.append([name])
    return tuple(tuple(group) for group in groups)
