"""Pieces of a load take their glass from the pot, as it was when they were gathered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from core.errors import LoadError
from core.load.load import Load
from core.load.local_time import zone_named
from core.melt.pot_ledger import PotLedger
from core.melt.pot_story import glass_at


def with_gathered_glass(load: Load, ledgers: Mapping[str, PotLedger]) -> Load:
    """The load whose gathered pieces are of the glass that was in their pot.

    Parameters
    ----------
    load : Load
        Pieces without a gathering stay as they are.
    ledgers : mapping of str to PotLedger
        By the pot's name.

    Returns
    -------
    Load
        Its glasses named by pot and clock time, such as “Clear pot 17:40”; those that no piece
        names any more are left out.

    Raises
    ------
    LoadError
        If a pot's ledger is not among them.
    FurnaceError
        If a pot was empty, or its ledger begins later.
    """
    zone = zone_named(load.timezone)
    glasses = dict(load.glasses)
    pieces = []
    for piece in load.pieces:
        gathering = load.gathered.get(piece.name)
        if gathering is None:
            pieces.append(piece)
            continue
        ledger = ledgers.get(gathering.pot)
        if ledger is None:
            raise LoadError(
                f"“{piece.name}” was gathered from “{gathering.pot}”, of which there is no ledger.",
                field="pot",
                remedy="Choose a pot that is in the book.",
            )
        name = f"{gathering.pot} {gathering.time.astimezone(zone):%H:%M}"
        glasses[name] = glass_at(ledger, gathering.time, name)
        pieces.append(replace(piece, glass=name))
    used = {piece.glass for piece in pieces}
    kept = {name: glass for name, glass in glasses.items() if name in used}
    return replace(load, pieces=tuple(pieces), glasses=kept)
