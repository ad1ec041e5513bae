"""A fit taken into a furnace's description, and kept for its trend."""

from __future__ import annotations

from dataclasses import replace

from core.furnace.ledger import Pot
from core.melt.furnace_fit import FurnaceFit
from core.melt.melt_task import MeltTask
from core.melt.power_log import PowerLog
from core.run.equipment_fit import EquipmentFit
from core.run.live_source import EquipmentKind
from core.store.book import Book


def keep_fit(
    book: Book, furnace: str, pot: Pot | None, melt: MeltTask, fit: FurnaceFit, used: PowerLog
) -> None:
    """Write what a fit found into the book.

    Parameters
    ----------
    furnace : str
    pot : Pot or None
        Whose shape the fit was made with, if it has one.
    melt : MeltTask
        The description fitted.
    used : PowerLog
        The log it was fitted to.
    """
    book.save_furnace_melt(furnace, replace(melt, furnace=fit.furnace, pot=fit.pot))
    if pot is not None and book.pot_shape(pot.name) is not None:
        book.save_pot_shape(pot.name, fit.pot)
    book.add_fit(
        EquipmentFit(
            furnace,
            EquipmentKind.FURNACE,
            used.end,
            fit.parameters,
            fit.scatter,
            remarks=fit.remarks,
        )
    )
