"""The pot as its ledger tells it: the glass now, how it drifted, what has to be asked."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from core.composition.composition import Composition
from core.errors import FurnaceError, StoppedError
from core.furnace.charged_glass import ChargedGlass
from core.furnace.ledger import Charge, FurnaceReading, Pot
from core.furnace.pot_entry import PotEntry
from core.furnace.pot_events import LevelSeen, NewPot, Removal, Taken
from core.furnace.volatilisation import NO_LOSS
from core.glass.glass import Glass
from core.glass.properties import properties_of
from core.melt.pot_ledger import USUAL_DENSITY, PotLedger
from core.melt.pot_room import Fit, fit_of, room_in
from core.melt.pot_story import glass_at, pot_story
from core.melt.pot_vessel import PotVessel

START = datetime(2026, 11, 20, 18, tzinfo=UTC)
CLEAR = Glass("harbour clear", Composition.from_percent({"SiO2": 72, "Na2O": 15, "CaO": 13}))
SOFT = Glass("soft crystal", Composition.from_percent({"SiO2": 66, "Na2O": 18, "CaO": 8, "K2O": 8}))
POT = Pot("Clear pot", "Harbour furnace", 60.0)
VESSEL = PotVessel("Clear pot", 0.34, 0.30, 0.36)


def at(hours):
    return START + timedelta(hours=hours)


def ledger(**changes):
    usual = PotLedger(
        POT,
        charges=(
            Charge(at(0), "Clear pot", "Cullet ", 30.0),
            Charge(at(3), "Clear pot", "cullet", 20.0),
        ),
        answers=(ChargedGlass("cullet", "Harbour Clear"),),
        glasses={"harbour clear": CLEAR, "soft crystal": SOFT},
        zone=UTC,
    )
    return replace(usual, **changes)


def test_a_pot_of_one_glass_is_that_glass_and_does_not_drift():
    story = pot_story(ledger(), at(30))
    assert story.now.mass == pytest.approx(50.0, abs=0.2)
    assert story.glass.name == "Clear pot"
    wanted = properties_of(CLEAR)
    assert story.properties.annealing_point.value == pytest.approx(
        wanted.annealing_point.value, abs=0.2
    )
    assert story.annealing[-1] == pytest.approx(story.properties.annealing_point.value, abs=0.01)
    assert story.annealing_low[-1] < story.annealing[-1] < story.annealing_high[-1]
    assert [drift.words for drift in story.drift] == ["since yesterday", "since the pot was new"]
    assert all(abs(drift.annealing) < 0.05 for drift in story.drift)
    assert story.oxides == {}
    assert story.unknown == ()


def test_another_glass_drifts_it_and_says_which_oxides():
    charges = (*ledger().charges, Charge(at(48), "Clear pot", "soft crystal", 20.0))
    story = pot_story(ledger(charges=charges), at(50), volatilisation=NO_LOSS)
    assert "K2O" in story.oxides
    drift = story.drift[0]
    # Nothing here is measured: the same model is asked of the glass before and after.
    after = properties_of(story.glass)
    before = properties_of(CLEAR)
    assert drift.annealing == pytest.approx(
        after.annealing_point.value - before.annealing_point.value, abs=0.3
    )
    assert drift.annealing < -3.0
    assert drift.expansion > 0.0


def test_the_level_follows_from_the_pots_shape():
    story = pot_story(ledger(vessel=VESSEL), at(4))
    density = story.properties.density.value * 0.94
    assert VESSEL.volume(story.level) * density == pytest.approx(story.now.mass, rel=1e-6)
    assert story.levels[-1] == story.level
    assert pot_story(ledger(), at(4)).level is None


def test_a_material_nobody_explained_is_asked_for_and_left_out():
    charges = (*ledger().charges, Charge(at(5), "Clear pot", "beach finds", 4.0))
    story = pot_story(ledger(charges=charges), at(6))
    assert [(one.name, one.charges, one.mass) for one in story.unknown] == [("beach finds", 1, 4.0)]
    assert story.now.mass == pytest.approx(50.0, abs=0.2)
    told = ledger(
        charges=charges,
        answers=(*ledger().answers, ChargedGlass("beach finds", SOFT.composition, 0.95)),
    )
    assert pot_story(told, at(6)).now.mass == pytest.approx(53.8, abs=0.2)
    # Named like no glass there is: still to be asked.
    lost = ledger(charges=charges, answers=(ChargedGlass("beach finds", "gone"),))
    assert {one.name for one in lost.unknown()} == {"beach finds", "cullet"}


def test_a_new_pot_forgets_and_nothing_of_the_old_is_asked():
    charges = (Charge(at(-90), "Clear pot", "beach finds", 9.0), *ledger().charges)
    fresh = ledger(charges=charges, entries=(PotEntry("Clear pot", NewPot(at(-1))),))
    assert fresh.unknown() == ()
    assert pot_story(fresh, at(4)).now.mass == pytest.approx(50.0, abs=0.2)
    assert fresh.pot_since == at(-1)


def test_taken_drained_and_seen_are_in_the_curve():
    entries = (
        PotEntry("Clear pot", Taken(at(10), 8.0, 0.0)),
        PotEntry("Clear pot", Taken(at(11), 2.0, 0.0, Removal.SKIMMED)),
        PotEntry("Clear pot", LevelSeen(at(20), 30.0, 0.0)),
    )
    story = pot_story(ledger(entries=entries), at(30), volatilisation=NO_LOSS)
    assert story.mass_at(at(9.9)) == pytest.approx(50.0, abs=0.2)
    assert story.mass_at(at(10)) == pytest.approx(42.0, abs=0.2)
    assert story.mass_at(at(11.5)) == pytest.approx(40.0, abs=0.2)
    assert story.mass_at(at(20)) == pytest.approx(30.0, abs=0.01)
    assert story.mass_at(at(-1)) is None
    assert (np.diff(story.time) > 0).all()


def test_alkali_is_lost_unless_nothing_is_known_of_the_heat():
    hot = tuple(FurnaceReading(at(h), "Harbour furnace", 1573.15) for h in range(0, 720, 24))
    month = pot_story(ledger(readings=hot), at(719))
    assert 0.01 < month.now.lost < 5.0
    assert month.drift[-1].annealing > 0.0
    assert month.remarks == ()
    cold = pot_story(ledger(), at(719))
    assert cold.now.lost == 0.0
    assert "no furnace temperature" in cold.remarks[0]


def test_the_future_is_left_out_and_an_empty_ledger_says_nothing():
    assert pot_story(ledger(), at(1)).now.mass == pytest.approx(30.0, abs=0.2)
    story = pot_story(ledger(charges=()), at(1))
    assert (story.now, story.glass, len(story.time)) == (None, None, 0)


def test_warnings_tell_the_studios_own_clock():
    zone = ZoneInfo("Europe/Lisbon")
    summer = datetime(2026, 7, 1, 23, 30, tzinfo=UTC)
    small = ledger(
        pot=Pot("Clear pot", "Harbour furnace", 20.0),
        charges=(Charge(summer, "Clear pot", "cullet", 30.0),),
        zone=zone,
    )
    story = pot_story(small, summer + timedelta(hours=1))
    assert any("2026-07-02 00:30" in remark for remark in story.remarks)


def test_pieces_have_the_glass_of_the_hour_they_were_gathered():
    charges = (*ledger().charges, Charge(at(48), "Clear pot", "soft crystal", 20.0))
    both = ledger(charges=charges)
    assert glass_at(both, at(47)).composition.weight("K2O") == pytest.approx(0.0, abs=0.01)
    assert glass_at(both, at(49)).composition.weight("K2O") > 1.0
    with pytest.raises(FurnaceError):
        glass_at(both, at(-1))


def test_it_can_be_stopped():
    with pytest.raises(StoppedError):
        pot_story(ledger(), at(4), cancelled=lambda: True)


def test_a_heap_takes_twice_the_room_of_glass():
    room = room_in(60.0, 20.0)
    assert room.melted == 40.0
    # Cullet heaps at about half the density of glass (common practice, no source).
    assert room.heaped == pytest.approx(40.0 * 1200.0 / USUAL_DENSITY)
    assert fit_of(15.0, room) is Fit.FITS
    assert fit_of(30.0, room) is Fit.HEAPS_OVER
    assert fit_of(41.0, room) is Fit.TOO_MUCH


def test_capacity_and_surface_come_from_what_is_known():
    shaped = ledger(pot=Pot("Clear pot", "Harbour furnace"), vessel=VESSEL)
    assert shaped.capacity == pytest.approx(VESSEL.usable_volume * USUAL_DENSITY)
    assert ledger(pot=Pot("Clear pot", "Harbour furnace")).surface is None
    # As wide as deep: 60 kg of melt at 2350 kg/m3 stand in a cylinder of 319 mm.
    assert ledger().surface == pytest.approx(np.pi / 4 * 0.319**2, rel=0.01)


def test_every_material_is_listed_with_what_it_makes():
    charges = (
        *ledger().charges,
        Charge(at(5), "Clear pot", "soft crystal", 4.0),
        Charge(at(6), "Clear pot", "beach finds", 2.0),
    )
    rows = ledger(charges=charges).materials()
    assert [(row.name, row.makes, row.charges) for row in rows] == [
        ("beach finds", "", 1),
        ("soft crystal", "soft crystal", 1),
        ("cullet", "Harbour Clear", 2),
    ]
    assert rows[2].mass == 50.0
