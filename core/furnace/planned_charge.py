"""A charge still to be made: one line of the list that is ticked off at the furnace."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.furnace.ledger import Charge


@dataclass(frozen=True)
class PlannedCharge:
    """What is to be charged, when and where; limits as of a charge.

    Attributes
    ----------
    time : datetime
        Aware.
    pot, material : str
    mass : float
        [kg]
    note : str

    Raises
    ------
    FurnaceError
        As :class:`core.furnace.ledger.Charge`.
    """

    time: datetime
    pot: str
    material: str
    mass: float
    note: str = ""

    def __post_init__(self) -> None:
        self.charged(self.time)

    def charged(self, time: datetime, mass: float | None = None, note: str | None = None) -> Charge:
        """Make it the charge that was made at a time, of another mass [kg] if that was weighed."""
        return Charge(
            time,
            self.pot,
            self.material,
            self.mass if mass is None else mass,
            self.note if note is None else note,
        )
