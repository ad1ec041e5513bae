"""What was measured on the glass a pot is mostly made of, carried over to the pot.

A model reckons the difference of two nearly equal glasses far better than either of them: its
error is that of their kind and cancels. So a point measured on the glass charged, moved by the
model's difference, is the pot's, as sure as the measurement and a part of that move.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from core.composition.composition import Composition
from core.furnace.pot_events import plain_name
from core.glass.glass import Glass, MeasuredPoints
from core.glass.many_glasses import ManyGlasses, properties_of_many
from core.glass.measured_points import HALF_WIDTH, STANDARD_ERROR
from core.melt.pot_ledger import PotLedger

MOVE_ERROR = 0.3
"""Share of a move by the model's difference that counts as its standard error (ours; the model's
own error on unlike glasses is of the size of such differences)."""
_NEAR = 6.0
"""[wt%] Half the sum of all differences up to which two glasses are of a kind."""
_CARRIED = (
    "strain_point",
    "annealing_point",
    "softening_point",
    "working_point",
    "melting_point",
    "expansion",
    "density",
)


def reference_glass(ledger: PotLedger, composition: Composition) -> Glass | None:
    """The glass with measurements that most of the pot was charged with; ``None``: none is near.

    Parameters
    ----------
    composition : Composition
        Of the pot now.
    """
    mass: dict[str, float] = {}
    for material in ledger.materials():
        if material.makes:
            key = plain_name(material.makes)
            mass[key] = mass.get(key, 0.0) + material.mass
    glasses = {plain_name(name): glass for name, glass in ledger.glasses.items()}
    for name in sorted(mass, key=lambda name: -mass[name]):
        glass = glasses.get(name)
        if glass is None or glass.composition is None or glass.measured.is_empty:
            continue
        if _apart(glass.composition, composition) <= _NEAR:
            return glass
    return None


def _apart(one: Composition, other: Composition) -> float:
    oxides = {*one.weight_percent, *other.weight_percent}
    return 0.5 * math.fsum(abs(one.weight(oxide) - other.weight(oxide)) for oxide in oxides)


def carried_over(reference: Glass, composition: Composition) -> MeasuredPoints:
    """Measured points of a reference glass, moved to another composition.

    Parameters
    ----------
    reference : Glass
        With an analysis and measured points.
    composition : Composition
        Near the reference's; its standard errors widen those of the points.
    """
    if reference.composition is None:
        return MeasuredPoints()
    bare = Composition(dict(composition.weight_percent))
    model = properties_of_many([Composition(dict(reference.composition.weight_percent)), bare])
    widened = properties_of_many([composition])
    found: dict[str, Any] = {}
    for key in _CARRIED:
        value = getattr(reference.measured, key)
        if value is None:
            continue
        before, after = (float(model.values[key].value[i]) for i in (0, 1))
        given = getattr(reference.measured, f"{key}_error")
        error = STANDARD_ERROR[key] if given is None else given
        of_mix = _spread(widened, key, 0) ** 2 - _spread(model, key, 1) ** 2
        found[key] = value + after - before
        found[f"{key}_error"] = math.sqrt(
            error**2 + (MOVE_ERROR * (after - before)) ** 2 + max(0.0, of_mix)
        )
    source = f"measured on “{reference.name}”, moved by what the pot differs"
    return replace(MeasuredPoints(source=source), **found)


def _spread(many: ManyGlasses, key: str, index: int) -> float:
    """Standard error that an interval stands for."""
    values = many.values[key]
    return float(values.high[index] - values.low[index]) / (2.0 * HALF_WIDTH)
