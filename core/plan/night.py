"""What every step of drawing up a plan shares."""

from __future__ import annotations

from dataclasses import dataclass

from core.equipment.lehr import Lehr
from core.load.load import Load
from core.piece.response import PieceResponse
from core.plan.allowed_rates import RateLimits
from core.units import UnitChoice

LONGEST_NIGHT = 60 * 86400.0
"""No plan is longer than this [s]."""


@dataclass(frozen=True)
class Night:
    """A load, its pieces' responses and safe rates, the true soak [K], the words' units."""

    load: Load
    responses: tuple[PieceResponse, ...]
    limits: RateLimits
    soak: float
    units: UnitChoice

    @property
    def lehr(self) -> Lehr:
        """The lehr of the load."""
        return self.load.lehr

    def reading(self, temperature: float) -> float:
        """Controller reading of a true temperature [K]."""
        return temperature + self.lehr.thermocouple_offset
