"""The pot ledger against hand reckoning, and what must hold of every ledger."""

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.composition.parse import parse_composition
from core.errors import FurnaceError
from core.furnace.ledger import Charge, FurnaceReading
from core.furnace.pot_contents import Mixing, contents_through, pot_contents
from core.furnace.pot_events import (
    Charged,
    LevelSeen,
    MadeOf,
    NewPot,
    Removal,
    Taken,
    charges_as_events,
    gathered,
)
from core.furnace.volatilisation import Volatilisation
from core.glass.properties import properties_of

START = datetime(2026, 11, 2, 18, 0, tzinfo=UTC)
SODA = parse_composition("SiO2 70, Na2O 20, CaO 10")
LIME = parse_composition("SiO2 70, Na2O 10, CaO 20")


def at(hours):
    return START + timedelta(hours=hours)


def charged(hours, glass, mass, error=0.0):
    return Charged(at(hours), glass, mass, error)


def taken(hours, mass, how=Removal.GATHERED, error=0.0):
    return Taken(at(hours), mass, error, how)


def test_a_mixed_pot_by_hand():
    events = [charged(0, SODA, 50), taken(10, 20), charged(12, LIME, 20)]
    pot = pot_contents(events, mixing=Mixing.MIXED)
    # 30 kg with 20 % soda and 20 kg with 10 %: 16 %.
    assert pot.mass == pytest.approx(50.0)
    assert pot.composition.weight("Na2O") == pytest.approx(16.0)
    assert pot.composition.weight("CaO") == pytest.approx(14.0)
    assert pot.composition.weight("SiO2") == pytest.approx(70.0)


def test_a_layered_pot_gives_its_last_charge_first_and_drains_its_first():
    events = [charged(0, SODA, 30), charged(5, LIME, 20), taken(9, 10)]
    pot = pot_contents(events, mixing=Mixing.LAYERED)
    assert pot.composition.weight("Na2O") == pytest.approx(10.0)
    assert pot.bottom.weight("Na2O") == pytest.approx(20.0)
    deeper = pot_contents([*events, taken(12, 12)], mixing=Mixing.LAYERED)
    assert deeper.composition.weight("Na2O") == pytest.approx(20.0)
    drained = pot_contents([*events, taken(12, 28, Removal.DRAINED)], mixing=Mixing.LAYERED)
    # 2 kg of the first glass are left below 10 kg of the second; the lowest tenth is the first.
    assert drained.top.weight("Na2O") == pytest.approx(10.0)
    assert drained.bottom.weight("Na2O") == pytest.approx(20.0)
    assert drained.mass == pytest.approx(12.0)


def test_nobody_knows_how_it_lies_so_the_difference_is_error():
    events = [charged(0, SODA, 30), charged(5, LIME, 30)]
    pot = pot_contents(events, mixing=Mixing.EITHER)
    # Mixed 15 %, on top 10 %: the mean, off by 2.5 % either way.
    assert pot.composition.weight("Na2O") == pytest.approx(12.5)
    assert pot.composition.uncertainty["Na2O"] == pytest.approx(2.5)
    assert pot.mixed.weight("Na2O") == pytest.approx(15.0)


def test_errors_of_masses_add_as_variances_do():
    # Na2O share of a (soda) and b (lime) kg: (20 a + 10 b)/(a + b); its slopes by hand.
    a, b, da, db = 40.0, 20.0, 1.0, 2.0
    pot = pot_contents([charged(0, SODA, a, da), charged(1, LIME, b, db)], mixing=Mixing.MIXED)
    total = a + b
    slopes = (10.0 * b / total**2, -10.0 * a / total**2)
    expected = math.hypot(slopes[0] * da, slopes[1] * db)
    assert pot.composition.uncertainty["Na2O"] == pytest.approx(expected, rel=0.15)
    assert pot.mass_error == pytest.approx(math.hypot(da, db), rel=0.15)


def test_an_error_of_the_analysis_stays_through_many_charges_of_the_same_glass():
    doubtful = parse_composition("SiO2 70, Na2O 20 ± 0.5, CaO 10")
    assert doubtful.uncertainty["Na2O"] == pytest.approx(0.5)
    pot = pot_contents([charged(i, doubtful, 5) for i in range(10)], mixing=Mixing.MIXED)
    # It is one analysis: ten charges do not average it away. Normalising to 100 takes a fifth.
    assert pot.composition.uncertainty["Na2O"] == pytest.approx(0.5 * 0.8, rel=0.15)


def test_a_new_pot_forgets_the_old_glass():
    pot = pot_contents([charged(0, SODA, 50), NewPot(at(5)), charged(6, LIME, 10)])
    assert pot.mass == pytest.approx(10.0)
    assert pot.composition.weight("Na2O") == pytest.approx(10.0)
    empty = pot_contents([charged(0, SODA, 50), NewPot(at(5))])
    assert empty.is_empty
    with pytest.raises(FurnaceError, match="empty"):
        empty.glass("x")


def test_a_level_below_the_ledger_is_glass_gathered_unwritten():
    pot = pot_contents([charged(0, SODA, 50), LevelSeen(at(8), 35.0, 0.0)])
    assert pot.mass == pytest.approx(35.0)
    assert pot.warnings == ()


def test_a_level_above_the_ledger_is_believed_and_warned_of():
    pot = pot_contents([charged(0, SODA, 20, 0.2), LevelSeen(at(8), 30.0, 0.5)])
    assert pot.mass == pytest.approx(30.0, rel=0.01)
    assert "level shows 30.0 kg" in pot.warnings[0]


def test_taking_more_than_there_is_leaves_nothing_and_says_so():
    pot = pot_contents([charged(0, SODA, 20), taken(4, 25)])
    assert pot.is_empty
    assert "only 20.0 kg" in pot.warnings[0]


def test_a_pot_over_its_capacity_is_warned_of():
    pot = pot_contents([charged(0, SODA, 40), charged(3, SODA, 30)], capacity=60.0)
    assert "70.0 kg in a pot of 60 kg" in pot.warnings[0]


def test_volatile_oxides_leave_as_the_law_says():
    # Rate k of a mixed pot of mass m and surface s: the share w falls as k s w (1 - w)/m.
    law = Volatilisation({"Na2O": 1e-4}, factor=1.0)
    hot = [FurnaceReading(at(0), "f", 1573.15), FurnaceReading(at(400), "f", 1573.15)]
    pot = pot_contents(
        [charged(0, SODA, 50)],
        at(100),
        mixing=Mixing.MIXED,
        surface=0.09,
        temperatures=hot,
        volatilisation=law,
    )
    lost = 1e-4 * 0.09 * 0.20 * 360_000.0
    assert pot.lost == pytest.approx(lost, rel=0.02)
    assert pot.mass == pytest.approx(50.0 - lost, rel=1e-3)
    assert pot.composition.weight("Na2O") < 20.0
    assert pot.composition.weight("CaO") > 10.0


def test_a_colder_furnace_loses_less_and_a_doubtful_law_widens_the_error():
    law = Volatilisation({"Na2O": 1e-4}, factor=3.0)

    def after(celsius, **changes):
        reading = [FurnaceReading(at(0), "f", celsius + 273.15)]
        return pot_contents(
            [charged(0, SODA, 50)],
            at(100),
            mixing=Mixing.MIXED,
            surface=0.09,
            temperatures=reading,
            volatilisation=changes.get("law", law),
        )

    assert after(1130).lost < 0.5 * after(1300).lost
    sure = after(1300, law=Volatilisation({"Na2O": 1e-4}, factor=1.0))
    assert sure.composition.uncertainty.get("Na2O", 0.0) < 1e-3
    assert after(1300).composition.uncertainty["Na2O"] > 0.1


def test_the_pot_now_is_a_glass_with_an_annealing_point():
    events = [charged(0, SODA, 50), taken(10, 20), charged(12, LIME, 20)]
    properties = [
        properties_of(pot_contents(events, at(h), mixing=Mixing.MIXED).glass("pot"))
        for h in (1, 13)
    ]
    # Lime for soda makes a stiffer glass that expands less.
    assert properties[1].annealing_point.value > properties[0].annealing_point.value + 5.0
    assert properties[1].expansion.value < properties[0].expansion.value


def test_the_glass_of_a_piece_is_that_of_when_it_was_gathered():
    events = [charged(0, SODA, 50), charged(12, LIME, 20)]
    early, late = contents_through(events, [at(5), at(20)], mixing=Mixing.MIXED)
    assert early.composition.weight("Na2O") == pytest.approx(20.0)
    assert late.composition.weight("Na2O") == pytest.approx((20 * 50 + 10 * 20) / 70)
    with pytest.raises(FurnaceError, match="begins on"):
        pot_contents(events, at(-1))


def test_logged_charges_become_glass_by_their_material():
    materials = {"Crushed Harbour  clear": MadeOf(SODA), "house batch": MadeOf(LIME, 0.83)}
    charges = [
        Charge(at(0), "Big pot", "crushed harbour clear", 18.0),
        Charge(at(2), "Big pot", "House batch", 10.0),
    ]
    events = charges_as_events(charges, materials)
    assert [event.mass for event in events] == pytest.approx([18.0, 8.3])
    with pytest.raises(FurnaceError, match="“beach sand”") as fault:
        charges_as_events([Charge(at(0), "Big pot", "beach sand", 1.0)], materials)
    assert fault.value.field == "material"


@pytest.mark.parametrize(
    "make",
    [
        lambda: Taken(at(0), -1.0, 0.0),
        lambda: Charged(at(0), SODA, math.nan, 0.0),
        lambda: Charged(datetime(2026, 1, 1), SODA, 1.0, 0.0),  # noqa: DTZ001 - it is refused
        lambda: LevelSeen(at(0), 1.0, -0.1),
        lambda: MadeOf(SODA, 0.0),
        lambda: MadeOf(SODA, 0.9, 2.0),
        lambda: pot_contents([]),
    ],
)
def test_entries_that_cannot_be_are_refused(make):
    with pytest.raises(FurnaceError):
        make()


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(st.sampled_from(["soda", "lime", "out", "drain"]), st.floats(0.5, 30.0)),
        min_size=1,
        max_size=15,
    )
)
def test_what_went_in_is_what_is_there_and_what_came_out(steps):
    events, held = [charged(0, SODA, 5.0)], 5.0
    for i, (what, wanted) in enumerate(steps, start=1):
        mass = min(wanted, 0.9 * held) if what in {"out", "drain"} else wanted
        if what == "out":
            events.append(taken(i, mass))
            held -= mass
        elif what == "drain":
            events.append(taken(i, mass, Removal.DRAINED))
            held -= mass
        else:
            events.append(charged(i, SODA if what == "soda" else LIME, mass))
            held += mass
    pot = pot_contents(events)
    assert pot.mass == pytest.approx(held, rel=1e-6)
    for glass in (pot.mixed, pot.top, pot.bottom, pot.composition):
        assert 10.0 - 1e-6 <= glass.weight("Na2O") <= 20.0 + 1e-6
        assert glass.weight("Na2O") + glass.weight("CaO") == pytest.approx(30.0)
    assert pot.warnings == ()


def test_gathers_are_less_certain_than_weighed_charges():
    assert gathered(at(0), 10.0).error == pytest.approx(1.5)
    pots = contents_through([charged(0, SODA, 50, 1.0), gathered(at(5), 20.0)])
    assert len(pots) == 2
    assert pots[1].mass_error > pots[0].mass_error
    assert np.isfinite(pots[1].mass_error)
