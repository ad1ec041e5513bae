"""A reckoned batch as a charge for the furnace, and as glass for the pot's ledger."""

from __future__ import annotations

import math

from core.batch.batch import Batch
from core.errors import FurnaceError
from core.furnace.pot_events import WEIGHED_ERROR, MadeOf
from core.melt.charge_material import REACTION_HEAT_OF_GLASS, ChargeKind, ChargeMaterial

_TYPICAL_GAS = 0.20
"""[kg/kg] Gas from a typical soda-lime batch per kg of glass (14 % Na2O, 9 % CaO, 3 % MgO, all
brought as carbonates: stoichiometry)."""


def charge_of_batch(name: str, batch: Batch, heap_density: float = 1150.0) -> ChargeMaterial:
    """A batch as it is charged.

    Yield and moisture are the batch's own. Its chemical heat is that of a typical soda-lime batch
    (Conradt 2021) in proportion to the gas given off per kg of glass: it goes into breaking up
    carbonates, so that cullet, oxides and feldspars need none.

    Parameters
    ----------
    name : str
    batch : Batch
    heap_density : float
        As it lies in the pot [kg/m3].

    Raises
    ------
    FurnaceError
        If the batch makes no glass.
    """
    balance = batch.balance
    dry = balance.weighed - balance.moisture
    if balance.glass <= 0.0 or dry <= 0.0:
        raise FurnaceError(
            f"“{name}” makes no glass.", field="batch", remedy="Check what is weighed out."
        )
    gas = math.fsum(released.mass for released in batch.gases) / balance.glass
    share = balance.glass / dry
    return ChargeMaterial(
        name,
        ChargeKind.BATCH,
        heap_density,
        glass_yield=min(1.0, share),
        reaction_heat=REACTION_HEAT_OF_GLASS * gas / _TYPICAL_GAS * share,
        moisture=balance.moisture / balance.weighed,
        piece_size=0.0005,
    )


def glass_of_batch(batch: Batch, relative_error: float = WEIGHED_ERROR) -> MadeOf:
    """What a batch becomes in the pot, for :func:`core.furnace.pot_events.charges_as_events`."""
    balance = batch.balance
    return MadeOf(batch.glass, min(1.0, balance.glass / balance.weighed), relative_error)
