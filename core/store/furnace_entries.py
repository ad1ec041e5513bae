"""What the book hands out of the furnace: frozen copies, with the number each is found by."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.batch.batch import Batch
from core.furnace.charged_glass import ChargedGlass
from core.furnace.planned_charge import PlannedCharge
from core.furnace.pot_entry import PotEntry


@dataclass(frozen=True)
class PotEntryRecord:
    """An entry of a pot's ledger besides its charges."""

    id: int
    entry: PotEntry


@dataclass(frozen=True)
class ChargedGlassRecord:
    """Which glass a material makes."""

    id: int
    answer: ChargedGlass


@dataclass(frozen=True)
class BatchSheetRecord:
    """A batch as it was reckoned.

    Attributes
    ----------
    id : int
    name : str
    made_at : datetime
        UTC.
    glass : float
        Size of the melt [kg of glass].
    batch : Batch
        Without the properties of its glasses, which are ``None``: they follow from the analyses.
    """

    id: int
    name: str
    made_at: datetime
    glass: float
    batch: Batch


@dataclass(frozen=True)
class PlannedChargeRecord:
    """A line of a charge list.

    Attributes
    ----------
    id : int
    planned : PlannedCharge
    charge_id : int or None
        The charge it was ticked off with; ``None`` while it is to be made, and again if that
        charge is removed from the ledger.
    ticked_at : datetime or None
        UTC.
    """

    id: int
    planned: PlannedCharge
    charge_id: int | None
    ticked_at: datetime | None

    @property
    def done(self) -> bool:
        """True once it was charged."""
        return self.charge_id is not None


@dataclass(frozen=True)
class ChargeListRecord:
    """A list of charges to be made, in the order of the list; ``made_at`` in UTC."""

    id: int
    name: str
    made_at: datetime
    items: tuple[PlannedChargeRecord, ...]

    @property
    def done(self) -> bool:
        """True when everything was charged."""
        return all(item.done for item in self.items)
