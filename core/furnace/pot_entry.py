"""An entry of a pot's ledger other than a charge, as it is written down and corrected."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.errors import FurnaceError
from core.furnace.pot_events import LevelSeen, NewPot, Taken


@dataclass(frozen=True)
class PotEntry:
    """Glass taken, skimmed or drained, a level seen, or a new pot set in.

    Attributes
    ----------
    pot : str
        Its name in the studio.
    event : Taken, LevelSeen or NewPot
    note : str
    """

    pot: str
    event: Taken | LevelSeen | NewPot
    note: str = ""

    def __post_init__(self) -> None:
        if not self.pot.strip():
            raise FurnaceError("No pot was chosen.", field="pot", remedy="Choose the pot.")

    @property
    def time(self) -> datetime:
        """When it happened; aware."""
        return self.event.time
