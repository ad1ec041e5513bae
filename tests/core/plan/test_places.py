"""Where pieces stand, what stands under them, and how they came in."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from studio_loads import BUTTON, CLEAR, decanter, lehr, load, plate

from core.equipment.lehr import Controller, Entry
from core.glass.properties import properties_of
from core.load.load import Strength
from core.load.load_stress import stresses_of_load
from core.load.placed import shelf_under
from core.load.placing import Placing
from core.plan.best import best_plan
from core.plan.corners import ALL, NONE, Corner, shift
from core.plan.planner import make_plan, setting_for
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.section import stress_piece
from core.units import UnitChoice

OVEN = lehr(3.0, Controller(entry=Entry.TIME, max_segments=8))
GLASS = properties_of(CLEAR)


def placed(piece, placing, **more):
    tonight = load(piece, oven=more.pop("oven", OVEN), hours=None)
    return replace(tonight, placings={piece.name: placing}, **more)


def hours(plan):
    return (plan.ready_at - plan.start).total_seconds() / 3600


def test_a_cooler_place_stiffens_and_its_own_doubt_takes_the_lehrs_place():
    tonight = placed(plate(20.0), Placing(hotter=-8.0, within=1.0))
    (piece,) = tonight.pieces
    point = GLASS.annealing_point
    assert shift(tonight, piece, GLASS, ALL, Corner.BELIEVED) == 8.0
    stiff = shift(tonight, piece, GLASS, ALL, Corner.STIFF)
    assert stiff == pytest.approx(8.0 + (point.high - point.value) + 2.5 + 1.0)
    soft = shift(tonight, piece, GLASS, NONE, Corner.SOFT)
    assert soft == 8.0


def test_a_soak_is_as_much_hotter_for_a_cooler_place():
    """The reading is a whole degree; the true place must reach the annealing point."""
    sure = lehr(3.0, thermocouple_error=0.0, unevenness=0.0)
    middle = make_plan(load(plate(20.0), oven=sure, hours=None), margins=NONE)
    floor = make_plan(placed(plate(20.0), Placing(hotter=-9.0), oven=sure), margins=NONE)
    assert floor.soak_temperature == pytest.approx(middle.soak_temperature + 9.0, abs=1.01)
    assert floor.safe


def test_a_place_known_well_shortens_the_night_and_never_lengthens_it():
    plain = hours(best_plan(load(plate(25.0), oven=OVEN, hours=None)))
    known = hours(best_plan(placed(plate(25.0), Placing(within=0.0))))
    assert known < plain


def test_a_piece_at_its_place_is_safe_by_an_engine_run_of_its_own_chamber():
    """The chamber itself 8 K hotter, not the glass softer, as it is in the plan's own reckoning."""
    tonight = placed(plate(25.0), Placing(hotter=8.0, within=0.0))
    plan = best_plan(tonight, margins=NONE)
    time, reading = plan.curve()
    kept = np.append(np.diff(time) > 0, True)
    off = plan.segments[-1].start.timestamp()
    fades = np.clip((reading - OVEN.ambient) / (np.interp(off, time, reading) - OVEN.ambient), 0, 1)
    there = ChamberHistory(time[kept], (reading + 8.0 * fades)[kept])
    (left,) = stresses([stress_piece(plate(25.0), GLASS)], there)
    assert left.permanent_core == pytest.approx(tonight.limits.permanent_tension, rel=0.04)


def test_a_shelf_under_a_base_is_reckoned_by_the_engine():
    insulated = make_plan(load(decanter(base_sides="one"), oven=OVEN, hours=None))
    shelf = make_plan(placed(decanter(base_sides="one"), Placing(shelf=0.030)))
    assert shelf_under(Placing(shelf=0.030)).heat_content == pytest.approx(25e3)
    assert shelf.safe
    assert shelf.replay.worst.stress != insulated.replay.worst.stress


def test_pieces_from_the_pipe_are_followed_from_when_they_went_in():
    """An hour before the button, core 900 and skin 650 °C; and five minutes before."""
    pipe = {"core": 1173.15, "skin": 923.15}
    early = placed(plate(20.0), Placing(put_in=BUTTON - timedelta(hours=1), **pipe))
    late = placed(plate(20.0), Placing(put_in=BUTTON - timedelta(minutes=5), **pipe))
    for tonight in (early, late):
        plan = make_plan(tonight)
        assert plan.safe
        assert any("followed from when they went in" in text for text in plan.assumptions)
    time, reading = make_plan(early).curve()
    kept = np.append(np.diff(time) > 0, True)
    day = ChamberHistory(
        np.append([time[0] - 7200.0], time[kept]), np.append([reading[0]], reading[kept])
    )
    (left,) = stresses_of_load(early, day)
    assert left.sections[0].time[0] == pytest.approx(BUTTON.timestamp() - 3600.0)
    assert left.sections[0].core_temperature[0] == pytest.approx(1173.15)


def test_like_pieces_in_other_places_are_cases_of_their_own():
    two = load(plate(20.0), plate(20.0, name="by the door"), oven=OVEN, hours=None)
    assert len(setting_for(two, UnitChoice(), ALL).cases) == 2
    apart = replace(two, placings={"by the door": Placing(hotter=-5.0)})
    assert len(setting_for(apart, UnitChoice(), ALL).cases) == 4


def test_a_weaker_skin_is_cooled_slower_on_the_way():
    plain = best_plan(load(plate(40.0), oven=lehr(1.0, Controller(Entry.TIME)), hours=None))
    tonight = load(plate(40.0), oven=lehr(1.0, Controller(Entry.TIME)), hours=None)
    ground = replace(tonight, strengths={"plate": Strength(temporary_tension=3.0e6)})
    slow = best_plan(ground)
    assert slow.safe
    assert hours(slow) > hours(plain)
    assert min(c.allowed for c in slow.replay.checks if "way" in c.limit) == 1.5e6
