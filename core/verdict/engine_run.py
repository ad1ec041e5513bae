"""How the stress engine is run on a night's log: how finely, and how the pieces came in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from core.glass.glass import GlassProperties
from core.load.load import Load
from core.load.load_stress import entries_of
from core.load.placed import first_state_of
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
    """The pieces of a load in a history on the clock: there from the button, or as they came in.

    Parameters
    ----------
    load : Load
    glasses : sequence of GlassProperties
        One a piece, in the order of the load.
    history : ChamberHistory
        Times as UTC epoch seconds.
    """
    pieces = []
    for piece, made, moment in zip(
        load.pieces, pieces_at(load, glasses), entries_of(load, history), strict=True
    ):
        if history.time[0] < moment < history.time[-1]:
            first = first_state_of(load.placing_of(piece))
            pieces.append(replace(made, enters=moment, first_state=first))
        else:
            pieces.append(made)
    return tuple(pieces)
