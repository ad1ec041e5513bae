"""How the stress engine is run on a night's log: how finely, and how the pieces came in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from core.glass.glass import GlassProperties
from core.load.load import Load
from core.plan.arrivals import arrivals
from core.plan.corners import pieces_at
from core.stress.accuracy import Accuracy
from core.stress.history import ChamberHistory
from core.stress.section import StressPiece

ENOUGH = Accuracy(nodes=7, temperature_share=0.05, temperature_floor=0.5, largest_shift=0.6)
"""Within 2 % of the engine's usual accuracy on logged curves (checked in the tests), several times
quicker."""


def engine_pieces(
    load: Load, glasses: Sequence[GlassProperties], history: ChamberHistory
) -> tuple[StressPiece, ...]:
    """The pieces of a load as they came into a history on the clock: at the button, or earlier."""
    button = load.button_time.timestamp()
    pieces = []
    for piece, arrival in zip(pieces_at(load, glasses), arrivals(load), strict=True):
        enters = button + (arrival.enters or 0.0)
        if history.time[0] < enters < history.time[-1]:
            piece = replace(piece, enters=enters, first_state=arrival.first_state)  # noqa: PLW2901
        pieces.append(piece)
    return tuple(pieces)
