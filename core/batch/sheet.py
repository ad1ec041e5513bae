"""The weigh-out sheet: what is printed and ticked off, for this melt and for other sizes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from core.batch.batch import Batch, Part
from core.errors import BatchError


@dataclass(frozen=True)
class SheetLine:
    """One box to tick.

    Attributes
    ----------
    material : str
    part : Part
    mass : float
        [kg]
    division : float
        [kg] What the scale reads to.
    running_total : float
        [kg] With this and everything above it, as it stands in the mixing tub.
    """

    material: str
    part: Part
    mass: float
    division: float
    running_total: float

    def shown(self, mass: float | None = None) -> str:
        """Give the mass, or another on the same scale, as it is read: ``27.80 kg``, ``183.2 g``."""
        return as_read(self.mass if mass is None else mass, self.division)


@dataclass(frozen=True)
class MeltSizeRow:
    """The same batch for another size of melt: glass [kg] and the mass of each line [kg]."""

    glass: float
    masses: tuple[float, ...]


@dataclass(frozen=True)
class WeighOutSheet:
    """Everything on the sheet.

    Attributes
    ----------
    title : str
    lines : tuple of SheetLine
        In order of weighing.
    total : float
        [kg] weighed out.
    glass : float
        [kg] in the pot.
    sizes : tuple of MeltSizeRow
        Other melts, rounded each by itself to the same divisions; additions too.
    safety, warnings, notes : tuple of str
    """

    title: str
    lines: tuple[SheetLine, ...]
    total: float
    glass: float
    sizes: tuple[MeltSizeRow, ...]
    safety: tuple[str, ...]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]


def decimals_of(division: float) -> int:
    """Decimals that a scale of this division shows, in the division's unit."""
    exponent = Decimal(f"{division:.6g}").normalize().as_tuple().exponent
    return max(-int(exponent), 0)


def as_read(mass: float, division: float) -> str:
    """A mass [kg] as a scale of this division [kg] shows it: finer than a gram in grams."""
    if division < 0.001:
        return f"{1000.0 * mass:.{decimals_of(1000.0 * division)}f} g"
    return f"{mass:.{decimals_of(division)}f} kg"


def sheet_of(batch: Batch, sizes: Sequence[float] = ()) -> WeighOutSheet:
    """Lay out the sheet of a batch.

    Parameters
    ----------
    batch : Batch
    sizes : sequence of float
        Glass [kg] of other melts for the table.

    Raises
    ------
    BatchError
        If a size is not more than 0 and at most 10 000 kg.
    """
    lines = []
    total = Decimal(0)
    for weighing in batch.weighings:
        total += Decimal(str(weighing.mass))
        lines.append(
            SheetLine(
                weighing.material,
                weighing.part,
                weighing.mass,
                weighing.division,
                float(total),
            )
        )
    return WeighOutSheet(
        title=batch.request.name,
        lines=tuple(lines),
        total=float(total),
        glass=batch.balance.glass,
        sizes=tuple(_scaled(batch, size) for size in sizes),
        safety=batch.safety,
        warnings=batch.warnings,
        notes=batch.notes,
    )


def _scaled(batch: Batch, size: float) -> MeltSizeRow:
    if not (math.isfinite(size) and 0 < size <= 10_000):
        raise BatchError(
            f"A melt of {size:g} kg is not possible.",
            field="sizes",
            remedy="Use more than 0 and at most 10 000 kg.",
        )
    factor = size / batch.exact_glass
    masses = []
    for weighing in batch.weighings:
        division = Decimal(str(weighing.division))
        masses.append(float(round(weighing.exact * factor / weighing.division) * division))
    return MeltSizeRow(size, tuple(masses))
