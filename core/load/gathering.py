"""Which pot pieces were gathered from, and when."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.errors import LoadError


@dataclass(frozen=True)
class Gathering:
    """A gather: the pot by name, and the aware time; the pot's ledger says what glass that was."""

    pot: str
    time: datetime

    def __post_init__(self) -> None:
        if not self.pot.strip():
            raise LoadError("No pot was chosen.", field="pot", remedy="Choose the pot.")
        if self.time.tzinfo is None:
            raise LoadError("The time of gathering has no time zone.", field="gathered_at")
