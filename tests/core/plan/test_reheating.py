"""Nights that begin cold: pieces annealed again, and cullet cast in moulds.

Frenkel J. 1945 (J. Phys. USSR 9, 385) for how lumps grow together; ISO 7884 for the fixed points.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from studio_loads import CLEAR, ball, decanter, lehr, load, plate

from core.equipment.lehr import Controller, Entry
from core.errors import PlanError
from core.glass.properties import properties_of
from core.load.load_stress import drawn_history
from core.load.reheating import Reheating, ReheatKind
from core.plan.best import best_plan
from core.plan.casting import SURFACE_TENSION, fusing_time, hot_curve_of, neck_after
from core.plan.corners import shifted
from core.plan.plan import SegmentKind
from core.plan.planner import make_plan
from core.plan.program import rate_lines, time_lines
from core.plan.stress_check import Limit
from core.stress.engine import stresses
from core.stress.section import stress_piece

SHEET = replace(
    CLEAR,
    measured=replace(CLEAR.measured, softening_point=273.15 + 690.0, working_point=273.15 + 975.0),
)
GLASS = properties_of(SHEET)
CAST = Reheating(ReheatKind.CASTING, lump=0.015)
AGAIN = Reheating(ReheatKind.AGAIN)
BY_TIME = Controller(entry=Entry.TIME, max_segments=16)


def kiln(controller=BY_TIME, **more):
    return lehr(2.5, controller, max_temperature=273.15 + 950.0, **more)


def cold(piece, reheating, oven=None):
    tonight = load(piece, oven=oven or kiln(), hours=None)
    return replace(tonight, glasses={SHEET.name: SHEET}, reheating=reheating)


def test_lumps_become_one_as_frenkel_has_it():
    """eta 10^4 Pa s, r 10 mm: 2 * 1e4 * 0.01/(3 * 0.3) = 222 s; a quarter of it gives x = r/2."""
    curve = hot_curve_of(GLASS)
    assert curve.log_viscosity(273.15 + 690.0) == pytest.approx(6.6, abs=0.05)
    assert curve.log_viscosity(273.15 + 975.0) == pytest.approx(3.0, abs=0.05)
    hot = curve.temperature(4.0)
    assert SURFACE_TENSION == 0.3
    assert fusing_time(GLASS, hot, 0.010) == pytest.approx(222.2, rel=1e-3)
    assert neck_after(GLASS, hot, 222.2 / 4, 0.010) == pytest.approx(0.5, rel=1e-3)
    assert neck_after(GLASS, hot, 1e5, 0.010) == 1.0


@pytest.fixture(scope="module")
def casting():
    tonight = cold(ball(60.0), CAST)
    return tonight, best_plan(tonight)


def test_a_casting_goes_through_its_stages_in_order(casting):
    _, plan = casting
    kinds = [s.kind for s in plan.segments]
    assert kinds[:6] == [
        SegmentKind.HEAT,
        SegmentKind.SQUEEZE,
        SegmentKind.HEAT,
        SegmentKind.PROCESS,
        SegmentKind.CRASH,
        SegmentKind.SOAK,
    ]
    assert plan.segments[0].start_temperature == pytest.approx(kiln().ambient)
    heat, squeeze, _, process, crash, soak = plan.segments[:6]
    assert heat.rate <= 100.0 / 3600 + 1e-9
    # ISO 7884-6: the softening point, 10^6.6 Pa s, lies between squeeze and process.
    softening = GLASS.softening_point.value
    working = GLASS.working_point.value
    assert GLASS.annealing_point.value < squeeze.target < softening < process.target < working
    assert squeeze.hold_time >= 1800.0
    assert crash.rate < 0.0
    assert -crash.rate <= kiln().natural_cooling_rate(soak.target) + 1e-9
    assert soak.target == crash.target
    assert plan.soak is soak
    assert plan.soak_time == soak.hold_time


def test_the_engine_finds_the_casting_within_its_limits_at_both_ends(casting):
    """Followed from the end of the process hold by the plan's own curve, apart from its replay."""
    tonight, plan = casting
    assert plan.safe
    oven = tonight.lehr
    history = drawn_history(*plan.curve(), oven)
    melted = plan.segments[3].end.timestamp()
    point, more = GLASS.annealing_point, oven.thermocouple_error + oven.unevenness
    for by in (point.low - point.value - more, point.high - point.value + more):
        piece = stress_piece(ball(60.0), shifted(GLASS, by), enters=melted)
        (left,) = stresses([piece], history)
        assert left.permanent_core <= tonight.limits.permanent_tension * 1.01
        may = tonight.limits.temporary_tension / tonight.limits.safety_factor
        assert left.peak.stress <= may * 1.01


def test_lumps_too_large_for_the_moulds_pace_are_heated_slower():
    small = make_plan(cold(ball(80.0), CAST))
    large = make_plan(cold(ball(80.0), replace(CAST, lump=0.060)))
    assert large.segments[0].rate < small.segments[0].rate
    lumps = [c for c in large.replay.checks if c.piece.startswith("lumps")]
    assert lumps
    assert all(c.margin >= 1.0 for c in lumps)


def test_own_temperatures_and_times_are_kept_and_too_hot_a_kiln_is_told():
    own = Reheating(
        ReheatKind.CASTING,
        squeeze_temperature=273.15 + 655.4,
        squeeze_time=1500.0,
        process_temperature=273.15 + 820.0,
        process_time=1200.0,
    )
    plan = make_plan(cold(ball(60.0), own))
    assert plan.segments[1].target == pytest.approx(273.15 + 656.0)
    assert plan.segments[1].hold_time == 1500.0
    assert plan.segments[3].target == pytest.approx(273.15 + 820.0)
    assert plan.segments[3].hold_time == 1200.0
    with pytest.raises(PlanError, match="process hold needs") as caught:
        make_plan(cold(ball(60.0), own, lehr(2.5, BY_TIME)))
    assert caught.value.field == "max_temperature"
    low = replace(own, squeeze_temperature=273.15 + 450.0)
    with pytest.raises(PlanError, match="below the soak"):
        make_plan(cold(ball(60.0), low))


@pytest.mark.parametrize("entry", list(Entry))
def test_a_castings_lines_lead_through_its_stages(entry):
    controller = Controller(entry=entry, max_segments=14, rate_step=0.1)
    plan = make_plan(cold(ball(60.0), CAST, kiln(controller)))
    if entry is Entry.RATE:
        lines = rate_lines(plan, controller)
        assert [line.hold > 0 for line in lines[:3]] == [True, True, True]
        assert len(lines) == len([s for s in plan.segments if s.kind is not SegmentKind.COAST]) - 3
    else:
        lines = time_lines(plan, controller)
        assert lines[0].target == lines[1].target
        assert lines[2].target == lines[3].target
    assert len(lines) <= controller.max_segments


def test_a_thicker_base_is_heated_slower_and_safely():
    """Cold pieces: tension in the core on the way up, by the engine within the limit."""
    rates = []
    for base in (10.0, 22.0, 35.0):
        tonight = cold(decanter(base=base), AGAIN)
        plan = make_plan(tonight)
        assert plan.safe
        first = plan.segments[0]
        assert first.start_temperature == pytest.approx(tonight.lehr.ambient)
        rates.append(first.rate)
        history = drawn_history(*plan.curve(), tonight.lehr)
        (met,) = stresses([stress_piece(decanter(base=base), GLASS)], history)
        up = [s.time < first.end.timestamp() for s in met.sections]
        tension = max(float(s.stress[u].max()) for s, u in zip(met.sections, up, strict=True))
        assert tension <= tonight.limits.temporary_tension / tonight.limits.safety_factor * 1.01
    assert rates == sorted(rates, reverse=True)


def test_strain_brought_along_slows_the_heating_and_too_much_is_refused():
    plain = make_plan(cold(plate(40.0), AGAIN))
    strained = make_plan(cold(plate(40.0), replace(AGAIN, strain=2.0e6)))
    assert strained.safe
    assert strained.segments[0].rate < 0.75 * plain.segments[0].rate
    met = next(c for c in strained.replay.checks if c.limit is Limit.TEMPORARY)
    assert met.stress <= met.allowed
    with pytest.raises(PlanError, match="no heating is slow enough") as caught:
        make_plan(cold(plate(40.0), replace(AGAIN, strain=3.6e6)))
    assert caught.value.field == "strain"


def test_moulds_are_cautioned_of_and_soft_glass_in_them_is_not(casting):
    _, plan = casting
    assert any("dust" in text and "dry" in text for text in plan.warnings)
    assert not any("sag" in text for text in plan.warnings)
    assert any("from the end of the process hold" in text for text in plan.assumptions)
    assert math.isfinite(plan.slow_rate)
    time, temperature = plan.curve()
    assert (np.diff(time) >= 0).all()
    assert np.isfinite(temperature).all()
