"""How pieces came into the lehr before the button was pressed: one by one, hot or even."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from core.load.load import Load
from core.load.placed import first_state_of
from core.load.placing import Placing
from core.plan.night import Night
from core.stress.history import ChamberHistory
from core.stress.section import FirstState, StressPiece

_EARLIER = 60.0
"""[s] The day's hold begins so long before the first piece goes in."""


@dataclass(frozen=True)
class Arrival:
    """How one piece came.

    Attributes
    ----------
    enters : float or None
        Seconds after the button is pressed, so nought or negative; ``None``: there from the start.
    first_state : FirstState or None
        ``None``: even, at the lehr's temperature.
    """

    enters: float | None = None
    first_state: FirstState | None = None

    @property
    def known(self) -> bool:
        """True where its temperature is known from when it went in."""
        return self.enters is not None or self.first_state is not None

    def of(self, piece: StressPiece, later: float | None = None) -> StressPiece:
        """The piece as it comes; ``later`` is when it comes into being [s], as a casting does."""
        enters = self.enters if later is None else later
        first = self.first_state if later is None else None
        if enters is None and first is None:
            return piece
        return replace(piece, enters=enters, first_state=first)


def arrivals(load: Load) -> tuple[Arrival, ...]:
    """How each piece of a load came, in its order."""
    return tuple(_arrival(load, load.placing_of(piece)) for piece in load.pieces)


def _arrival(load: Load, placing: Placing) -> Arrival:
    first = first_state_of(placing)
    if placing.put_in is None:
        return Arrival(None, first)
    return Arrival((placing.put_in - load.button_time).total_seconds(), first)


def day_before(night: Night, came: tuple[Arrival, ...]) -> ChamberHistory | None:
    """The lehr held through the day, from when the first piece went in; ``None``: none did."""
    earliest = min((a.enters for a in came if a.enters is not None), default=0.0)
    if earliest >= 0.0:
        return None
    held = night.load.first_temperature
    if held is None:
        held = night.soak
    return ChamberHistory(np.array([earliest - _EARLIER, 0.0]), np.array([held, held]))
