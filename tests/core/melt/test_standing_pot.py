"""Other pots in the chamber: bodies that hold heat, felt by the pot that is charged."""

from dataclasses import replace
from pathlib import Path

import pytest
from quay_furnace import MELT, POT

from core.errors import FurnaceError, LoadError
from core.melt.melt_file import parse_melt, read_melt
from core.melt.melt_night import simulate_charges
from core.melt.melt_task import SetCharge
from core.melt.melt_writer import melt_to_toml
from core.melt.standing_pot import StandingPot, glass_as_layer, with_standing_pots

TASK = replace(
    read_melt(Path(__file__).parents[3] / "demo_data" / "quay_pot_overnight.toml"), fill=None
)
CHARGED = replace(TASK, charges=(SetCharge(TASK.start, "crushed harbour clear", 18.0),))
FULL = StandingPot(POT, 40.0)


def test_glass_as_a_layer_holds_what_the_glass_holds():
    layer = glass_as_layer(MELT)
    c0, c1 = layer.heat_capacity
    for celsius in (700.0, 1100.0, 1400.0):
        held = c0 * celsius + 0.5 * c1 * celsius**2
        assert held == pytest.approx(MELT.heat_content(celsius + 273.15), rel=0.02)
    k0, k1, k2 = layer.conductivity_terms
    assert k0 + k1 * 1200 + k2 * 1200**2 == pytest.approx(
        MELT.effective_conductivity(1473.15), rel=0.03
    )


def test_the_pots_are_in_the_chamber_with_their_mass():
    furnace = with_standing_pots(TASK.furnace, [FULL, StandingPot(POT)], MELT)
    full, empty = furnace.sections[-2:]
    assert len(full.layers) == 2
    assert len(empty.layers) == 1
    assert full.layers[0].thickness * full.area * POT.material.density == pytest.approx(POT.mass)
    assert full.layers[1].thickness * full.area * MELT.density == pytest.approx(40.0)
    assert with_standing_pots(TASK.furnace, [], MELT) is TASK.furnace
    with pytest.raises(FurnaceError, match="do not go into"):
        with_standing_pots(TASK.furnace, [StandingPot(POT, 999.0)], MELT)


def test_another_pot_softens_the_dip_and_slows_the_night():
    alone = simulate_charges(CHARGED)
    beside = simulate_charges(replace(CHARGED, other_pots=(FULL,)))
    assert beside.course.worst_imbalance < 1e-3
    # Its heat is lent while the charge is cold: the furnace dips less.
    assert beside.course.chamber.min() > alone.course.chamber.min()
    # Then it must be heated and cooled along with the rest.
    assert beside.conditioned > alone.conditioned
    assert beside.energy > alone.energy


def test_a_pot_at_rest_takes_nothing():
    """Settled at one temperature it draws no more power: its outside loses nothing."""
    steady = replace(
        TASK, programme=replace(TASK.programme, melting=1403.15), charges=(), glass_mass=20.0
    )
    alone = simulate_charges(steady)
    beside = simulate_charges(replace(steady, other_pots=(FULL,)))
    assert beside.course.power[0] == pytest.approx(alone.course.power[0], rel=0.01)


def test_other_pots_are_kept_in_the_melt_file():
    task = replace(CHARGED, other_pots=(FULL, StandingPot(replace(POT, name="Small pot"), 3.0)))
    again = parse_melt(melt_to_toml(task))
    assert [pot.glass_mass for pot in again.other_pots] == [40.0, 3.0]
    assert again.other_pots[1].vessel == task.other_pots[1].vessel
    text = melt_to_toml(task).replace("glass_kg = 40", "glass_kg = -1")
    with pytest.raises(LoadError, match="not possible") as caught:
        parse_melt(text)
    assert "glass_kg" in text.splitlines()[caught.value.place.line - 1]
