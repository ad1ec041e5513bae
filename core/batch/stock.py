"""What a batch takes from the studio's shelf."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable

from core.batch.batch import Batch, Part
from core.batch.material import Material
from core.errors import BatchError

_SLACK = 1e-9
"""[kg] Binary fractions of what the scale reads."""


def taken_from_stock(batch: Batch) -> dict[str, float]:
    """Mass [kg] of each material a batch takes; cullet is not on the shelf."""
    taken: dict[str, list[float]] = {}
    for line in batch.weighings:
        if line.part is not Part.CULLET:
            taken.setdefault(line.material, []).append(line.mass)
    return {name: math.fsum(masses) for name, masses in taken.items()}


def stock_after(materials: Iterable[Material], batch: Batch) -> tuple[Material, ...]:
    """The materials whose stock changes when a batch has been weighed out, with what is left.

    Materials without a stock, and those no longer in the list, are passed over.

    Parameters
    ----------
    materials : iterable of Material
        The list as it is now.
    batch : Batch

    Raises
    ------
    BatchError
        If there is less of a material than was weighed; no stock is changed then.
    """
    taken = {name.strip().casefold(): mass for name, mass in taken_from_stock(batch).items()}
    changed = []
    for material in materials:
        mass = taken.get(material.name.strip().casefold(), 0.0)
        if material.stock is None or mass == 0.0:
            continue
        left = material.stock - mass
        if left < -_SLACK:
            raise BatchError(
                f"{material.name}: {mass:g} kg is weighed out, but the list has only "
                f"{material.stock:g} kg.",
                field="stock",
                remedy="Correct the stock in the list first.",
            )
        # No scale tells less than a tenth of a milligram.
        changed.append(dataclasses.replace(material, stock=max(round(left, 7), 0.0)))
    return tuple(changed)
