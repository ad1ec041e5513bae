"""Pieces take the glass of the pot at the time they were gathered."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from core.composition.composition import Composition
from core.errors import LoadError
from core.furnace.ledger import Charge, Pot
from core.glass.glass import Glass
from core.load.gathering import Gathering
from core.melt.gathered_glass import gathered_glass, gathered_names
from core.melt.pot_ledger import PotLedger

LISBON = ZoneInfo("Europe/Lisbon")
START = datetime(2026, 7, 20, 8, tzinfo=UTC)
CLEAR = Glass("clear", Composition.from_percent({"SiO2": 72, "Na2O": 15, "CaO": 13}))
POTASH = Glass("potash", Composition.from_percent({"SiO2": 64, "K2O": 16, "CaO": 20}))
LEDGERS = {
    "Clear pot": PotLedger(
        Pot("Clear pot", "F", 90.0),
        charges=(
            Charge(START, "Clear pot", "clear", 30.0),
            Charge(START + timedelta(hours=6), "Clear pot", "potash", 30.0),
        ),
        glasses={"clear": CLEAR, "potash": POTASH},
    )
}


def gathered_after(hours: float, pot: str = "Clear pot") -> Glass:
    return gathered_glass(gather(hours, pot), LEDGERS)


def gather(hours: float, pot: str = "Clear pot") -> Gathering:
    return Gathering(pot, START + timedelta(hours=hours))


def test_each_hour_has_its_glass():
    early, late = gathered_after(2), gathered_after(8)
    assert early.composition.weight("K2O") == pytest.approx(0.0, abs=0.01)
    assert late.composition.weight("K2O") > 5.0
    assert "pot ledger at 2026-07-20" in late.source


def test_glasses_are_called_by_pot_and_clock_and_by_the_day_where_it_takes_that():
    assert gathered_names([gather(2), gather(8)], LISBON) == {
        gather(2): "Clear pot 11:00",
        gather(8): "Clear pot 17:00",
    }
    names = gathered_names([gather(2), gather(26), gather(2), gather(2, "Green pot")], LISBON)
    assert len(set(names.values())) == 3
    assert names[gather(2, "Green pot")] == "Green pot 11:00"
    assert "2026-07-21" in names[gather(26)]


@pytest.mark.parametrize(
    ("hours", "pot", "field", "words"),
    [(2, "Green pot", "glass", "no ledger"), (-2, "Clear pot", "gathered_at", "begins on")],
)
def test_a_pot_without_a_ledger_or_glass_is_refused(hours, pot, field, words):
    with pytest.raises(LoadError, match=words) as refused:
        gathered_after(hours, pot)
    assert refused.value.field == field
    assert refused.value.remedy
