import math
from datetime import UTC, datetime

import pytest
from quay_furnace import MELT

from core.errors import FurnaceError
from core.melt.pot_level import level_of, level_seen, mass_at
from core.melt.pot_vessel import PotVessel

STRAIGHT = PotVessel("p", 0.3, 0.3, 0.4)
NOON = datetime(2026, 11, 3, 12, 0, tzinfo=UTC)


def test_a_level_is_a_mass_and_back():
    mass = mass_at(STRAIGHT, MELT.density, 0.2)
    assert mass == pytest.approx(math.pi * 0.15**2 * 0.2 * MELT.density)
    assert level_of(STRAIGHT, MELT.density, mass) == pytest.approx(0.2)


def test_a_level_read_from_the_rim_enters_the_ledger_with_its_error():
    seen = level_seen(STRAIGHT, MELT.density, NOON, below_rim=0.1)
    assert seen.mass == pytest.approx(mass_at(STRAIGHT, MELT.density, 0.3))
    assert seen.error == pytest.approx(math.pi * 0.15**2 * 0.005 * MELT.density)


@pytest.mark.parametrize("below", [-0.01, 0.41, math.nan])
def test_a_level_outside_the_pot_is_refused(below):
    with pytest.raises(FurnaceError, match="not possible") as fault:
        level_seen(STRAIGHT, MELT.density, NOON, below)
    assert fault.value.field == "level"
