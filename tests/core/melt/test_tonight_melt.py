"""Tonight's melt put together from what is described, written down and wished for."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from core.errors import FurnaceError
from core.furnace.ledger import Charge
from core.furnace.planned_charge import PlannedCharge
from core.melt.charge_material import ChargeKind
from core.melt.charge_plan import plan_charges
from core.melt.melt_file import parse_melt, read_melt
from core.melt.melt_writer import melt_to_toml
from core.melt.tonight_melt import (
    TonightWish,
    follow_night,
    lines_of,
    set_charges,
    tonight_task,
)
from core.melt.usual_furnace import usual_melt

DESCRIBED = read_melt(Path(__file__).parents[3] / "demo_data" / "quay_pot_overnight.toml")
WISH = TonightWish(
    start=DESCRIBED.start,
    furnace_temperature=1400.0,
    glass_mass=20.0,
    material="Crushed Harbour Clear",
    workable_by=DESCRIBED.workable_by,
)


def test_the_wish_is_asked_of_the_described_furnace():
    task = tonight_task(DESCRIBED, WISH)
    assert (task.glass_mass, task.furnace_temperature) == (20.0, 1400.0)
    assert task.fill.material == "crushed harbour clear"  # however it was typed
    assert task.materials == DESCRIBED.materials
    assert task.furnace == DESCRIBED.furnace


def test_a_material_nobody_described_is_cullet_or_batch_by_its_yield():
    task = tonight_task(
        DESCRIBED, replace(WISH, material="beach finds"), yields=[("ash batch", 0.8)]
    )
    assert task.materials["beach finds"].kind is ChargeKind.CULLET
    assert task.materials["ash batch"].kind is ChargeKind.BATCH
    assert task.materials["ash batch"].glass_yield == 0.8


def test_a_wish_that_cannot_be_is_refused_at_its_field():
    early = DESCRIBED.start - timedelta(hours=1)
    with pytest.raises(FurnaceError) as caught:
        tonight_task(DESCRIBED, replace(WISH, workable_by=early))
    assert caught.value.field == "workable_by"


def test_charges_before_the_start_are_in_the_pot_already():
    start = DESCRIBED.start
    charges = [
        Charge(start + timedelta(hours=2), "p", "who knows", 3.0),
        Charge(start - timedelta(hours=2), "p", "crushed harbour clear", 5.0),
        Charge(start + timedelta(hours=1), "p", "CRUSHED harbour clear", 4.0),
    ]
    made = set_charges(DESCRIBED, charges)
    assert [(c.material, c.mass) for c in made] == [
        ("crushed harbour clear", 4.0),
        ("crushed harbour clear", 3.0),
    ]


def test_the_night_is_followed_with_what_was_charged_and_what_is_to_come():
    plan = plan_charges(DESCRIBED)
    lines = lines_of(plan, "Big pot")
    assert [line.pot for line in lines] == ["Big pot"] * len(plan.charges)
    as_planned = follow_night(DESCRIBED, (), lines, DESCRIBED.start)
    assert as_planned.glass_mass == pytest.approx(plan.reached, abs=0.3)
    # Nobody came: what was planned for then is charged now, three hours late.
    late = lines[-1].time + timedelta(hours=3)
    night = follow_night(DESCRIBED, (), lines[-1:], late)
    assert night.clock(night.charges[0].time) >= late
    unknown = PlannedCharge(late, "Big pot", "never heard of", 4.0)
    assert follow_night(DESCRIBED, (), [unknown], late).charges == ()


@pytest.mark.parametrize("capacity", [8.0, 300.0, None])
def test_a_usual_furnace_fits_its_pot_and_can_be_written_down(capacity):
    melt = usual_melt("F", "P", DESCRIBED.glass, DESCRIBED.start, capacity)
    held = melt.pot.capacity(2350.0)
    assert held == pytest.approx(capacity or 65.0, rel=0.1)
    again = parse_melt(melt_to_toml(melt))
    assert again.furnace.name == "F"
    assert again.furnace.source.power == pytest.approx(melt.furnace.source.power)
