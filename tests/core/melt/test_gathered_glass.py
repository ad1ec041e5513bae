"""Pieces take the glass of the pot at the time they were gathered."""

from datetime import UTC, datetime, timedelta

import pytest

from core.composition.composition import Composition
from core.equipment.lehr import Lehr
from core.errors import FurnaceError, LoadError
from core.furnace.ledger import Charge, Pot
from core.glass.glass import Glass
from core.load.gathering import Gathering
from core.load.load import Load
from core.melt.gathered_glass import with_gathered_glass
from core.melt.pot_ledger import PotLedger
from core.piece.piece import Piece, Shape

START = datetime(2026, 11, 20, 8, tzinfo=UTC)
CLEAR = Glass("clear", Composition.from_percent({"SiO2": 72, "Na2O": 15, "CaO": 13}))
POTASH = Glass("potash", Composition.from_percent({"SiO2": 64, "K2O": 16, "CaO": 20}))
LEDGER = PotLedger(
    Pot("Clear pot", "F", 90.0),
    charges=(
        Charge(START, "Clear pot", "clear", 30.0),
        Charge(START + timedelta(hours=6), "Clear pot", "potash", 30.0),
    ),
    glasses={"clear": CLEAR, "potash": POTASH},
)


def load(**gathered):
    def piece(name):
        return Piece(name, 2, Shape.PLATE, "clear", wall_thickness=0.004)

    return Load(
        "Tonight",
        (piece("Float"), piece("Prism"), piece("Chimney")),
        {"clear": CLEAR},
        Lehr("Big lehr", 3 * 3600.0, 291.0),
        START + timedelta(hours=10),
        timezone="Europe/Lisbon",
        gathered={
            name: Gathering("Clear pot", START + timedelta(hours=h)) for name, h in gathered.items()
        },
    )


def test_each_piece_has_the_glass_of_its_hour():
    made = with_gathered_glass(load(Float=2, Prism=8), {"Clear pot": LEDGER})
    assert [piece.glass for piece in made.pieces] == [
        "Clear pot 10:00",
        "Clear pot 16:00",
        "clear",
    ]
    early, late = made.glasses["Clear pot 10:00"], made.glasses["Clear pot 16:00"]
    assert early.composition.weight("K2O") == pytest.approx(0.0, abs=0.01)
    assert late.composition.weight("K2O") > 5.0
    assert "pot ledger at 2026-11-20" in late.source
    assert set(made.glasses) == {"Clear pot 10:00", "Clear pot 16:00", "clear"}


def test_a_load_gathered_from_nowhere_stays_as_it_is():
    plain = load()
    assert with_gathered_glass(plain, {}) == plain


def test_a_pot_without_a_ledger_or_glass_is_refused():
    with pytest.raises(LoadError, match="no ledger"):
        with_gathered_glass(load(Float=2), {})
    with pytest.raises(FurnaceError):
        with_gathered_glass(load(Float=-2), {"Clear pot": LEDGER})
