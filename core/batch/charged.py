"""A batch as the pot ledger counts it once it is charged."""

from __future__ import annotations

from datetime import datetime

from core.batch.batch import Batch
from core.furnace.charged_glass import ChargedGlass

CHARGED_AS = "batch"
"""The studio's word for it in the ledger."""


def charged_as(batch: Batch, pot: str, since: datetime, material: str = CHARGED_AS) -> ChargedGlass:
    """What a charge of this batch makes: its finished glass, and as much as its yield.

    Parameters
    ----------
    batch : Batch
        Charged whole, cullet and additions in it.
    pot : str
        The pot it goes into.
    since : datetime
        Aware; charges from then on are of this batch.
    material : str
        As charges name it.
    """
    return ChargedGlass(material, batch.glass, batch.glass_yield, pot=pot, since=since)
