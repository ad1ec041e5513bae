import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import FurnaceError
from core.melt.pot_vessel import PotVessel

SIZES = st.floats(0.05, 1.5)


@given(SIZES, SIZES, SIZES, st.floats(0.0, 1.0))
def test_the_level_of_the_volume_up_to_a_level_is_that_level(top, bottom, depth, share):
    pot = PotVessel("p", top, bottom, depth, freeboard=0.0)
    level = share * depth
    assert pot.level(pot.volume(level)) == pytest.approx(level, rel=1e-6, abs=1e-9)


def test_a_straight_pot_holds_a_cylinder():
    pot = PotVessel("p", 0.3, 0.3, 0.4, freeboard=0.05)
    assert pot.brimful == pytest.approx(math.pi * 0.15**2 * 0.4)
    assert pot.capacity(2350.0) == pytest.approx(math.pi * 0.15**2 * 0.35 * 2350.0)
    assert pot.level(pot.brimful / 2) == pytest.approx(0.2)
    assert pot.level(1.0) == 0.4


def test_the_pot_weighs_what_its_walls_and_floor_hold():
    pot = PotVessel("p", 0.3, 0.3, 0.4, wall_thickness=0.02, base_thickness=0.03)
    outer = math.pi * 0.17**2 * 0.43
    assert pot.mass == pytest.approx((outer - pot.brimful) * pot.material.density)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"top_diameter": 0.0}, "top_diameter"),
        ({"depth": float("nan")}, "depth"),
        ({"exposed_share": 1.2}, "exposed_share"),
        ({"freeboard": 0.39}, "freeboard"),
        ({"name": " "}, "name"),
    ],
)
def test_a_pot_that_cannot_be_is_refused(changes, field):
    sizes = {"name": "p", "top_diameter": 0.3, "bottom_diameter": 0.3, "depth": 0.4}
    with pytest.raises(FurnaceError) as fault:
        PotVessel(**{**sizes, **changes})
    assert fault.value.field == field
    assert fault.value.remedy
