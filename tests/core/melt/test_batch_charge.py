"""A reckoned batch as a charge: what it weighs, gives and takes."""

from dataclasses import replace

import pytest

from core.batch.material_file import shipped_materials
from core.batch.reckon import make_batch
from core.batch.request import BatchRequest
from core.composition.parse import parse_composition
from core.errors import FurnaceError
from core.melt.batch_charge import charge_of_batch, glass_of_batch
from core.melt.charge_material import REACTION_HEAT_OF_GLASS, ChargeKind, batch

SODA_LIME = parse_composition("SiO2 73, Na2O 14, CaO 9, MgO 3, Al2O3 1")
BATCH = make_batch(BatchRequest("house batch", SODA_LIME, shipped_materials(), 40.0))


def test_yield_and_moisture_are_the_batches_own():
    charge = charge_of_batch("house batch", BATCH)
    assert charge.kind is ChargeKind.BATCH
    assert charge.glass_per_kg == pytest.approx(BATCH.balance.glass / BATCH.balance.weighed)


def test_a_typical_batch_takes_the_typical_chemical_heat():
    """461.8 kJ per kg of glass (Conradt 2021) for a typical soda-lime batch."""
    charge = charge_of_batch("house batch", BATCH)
    of_glass = charge.reaction_heat / charge.glass_yield
    assert of_glass == pytest.approx(REACTION_HEAT_OF_GLASS, rel=0.15)
    assert charge.glass_yield == pytest.approx(batch().glass_yield, abs=0.03)


def test_the_ledger_gets_the_glass_the_batch_makes():
    made = glass_of_batch(BATCH)
    assert made.glass == BATCH.glass
    assert made.glass_yield == pytest.approx(BATCH.balance.glass / BATCH.balance.weighed)


def test_a_batch_without_glass_is_no_charge():
    nothing = replace(BATCH, balance=replace(BATCH.balance, glass=0.0))
    with pytest.raises(FurnaceError, match="makes no glass"):
        charge_of_batch("nothing", nothing)
