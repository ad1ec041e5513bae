"""Points measured on the glass charged are carried over to the pot it made."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from core.composition.composition import Composition
from core.furnace.charged_glass import ChargedGlass
from core.furnace.ledger import Charge, Pot
from core.furnace.volatilisation import NO_LOSS
from core.glass.glass import Glass, MeasuredPoints
from core.glass.properties import properties_of
from core.melt.pot_ledger import PotLedger
from core.melt.pot_measured import carried_over, reference_glass
from core.melt.pot_story import glass_at, pot_story

START = datetime(2026, 11, 20, 18, tzinfo=UTC)
ANALYSIS = Composition.from_percent({"SiO2": 72, "Na2O": 15, "CaO": 13})
MEASURED = Glass(
    "harbour clear",
    ANALYSIS,
    MeasuredPoints(annealing_point=790.0, annealing_point_error=2.0, source="fibre test"),
)
LEADED = Glass("lead", Composition.from_percent({"SiO2": 56, "PbO": 31, "K2O": 13}))


def ledger(*charges):
    return PotLedger(
        Pot("Clear pot", "F", 90.0),
        charges=tuple(Charge(START, "Clear pot", name, mass) for name, mass in charges),
        answers=(ChargedGlass("cullet", "harbour clear"),),
        glasses={"harbour clear": MEASURED, "lead": LEADED},
        zone=UTC,
    )


def test_a_pot_of_the_measured_glass_is_as_sure_as_the_measurement():
    story = pot_story(ledger(("cullet", 40.0)), START + timedelta(hours=5), volatilisation=NO_LOSS)
    found = story.properties.annealing_point
    assert found.measured
    assert found.value == pytest.approx(properties_of(MEASURED).annealing_point.value, abs=0.3)
    assert found.plus_minus == pytest.approx(1.645 * 2.0, rel=0.1)
    assert "harbour clear" in story.glass.measured.source
    # The curve ends there, with the same interval.
    assert story.annealing[-1] == pytest.approx(found.value, abs=1e-6)
    assert story.annealing_high[-1] == pytest.approx(found.high, abs=1e-6)


def test_a_move_costs_a_part_of_itself():
    softer = Composition.from_percent({"SiO2": 70, "Na2O": 17, "CaO": 13})
    moved = carried_over(MEASURED, softer)
    there = properties_of(Glass("a", softer)).annealing_point.value
    here = properties_of(Glass("b", ANALYSIS)).annealing_point.value
    assert moved.annealing_point == pytest.approx(790.0 + there - here, abs=0.01)
    assert moved.annealing_point < 785.0  # two percent more soda soften it
    assert moved.annealing_point_error == pytest.approx(
        (4.0 + (0.3 * (there - here)) ** 2) ** 0.5, rel=0.01
    )
    assert moved.expansion is None


def test_a_doubtful_mixture_is_less_sure():
    doubtful = replace(ANALYSIS, uncertainty={"Na2O": 1.0})
    assert carried_over(MEASURED, doubtful).annealing_point_error > 3.0


def test_nothing_is_carried_over_to_another_kind_of_glass():
    mixed = ledger(("cullet", 40.0), ("lead", 30.0))
    story = pot_story(mixed, START + timedelta(hours=5), volatilisation=NO_LOSS)
    assert reference_glass(mixed, story.glass.composition) is None
    assert story.glass.measured.is_empty
    assert reference_glass(ledger(("lead", 30.0)), LEADED.composition) is None


def test_pieces_take_it_along():
    glass = glass_at(ledger(("cullet", 40.0)), START + timedelta(hours=2))
    assert glass.measured.annealing_point == pytest.approx(790.0, abs=0.3)
