"""Lehrs refitted to their runs, their trends, and hints of drifting thermocouples: simulated."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from core.equipment.lehr import Lehr
from core.glass.glass import Glass, MeasuredPoints
from core.learning.lehr_refit import FULL_POWER, TIME_CONSTANT, fit_of_run
from core.learning.lehr_trend import trend_of
from core.learning.thermocouple_drift import drift_of
from core.load.load import Load
from core.melt.fitted import Fitted
from core.piece.piece import Piece, Shape
from core.plan.plan import SegmentKind
from core.plan.planner import make_plan
from core.run.equipment_fit import EquipmentFit
from core.run.live_source import EquipmentKind
from core.run.overlay import NightOfRun
from core.run.readings import Readings
from core.units import ZERO_CELSIUS, TemperatureUnit, UnitChoice

GLASS = Glass(
    "measured clear",
    measured=MeasuredPoints(
        strain_point=ZERO_CELSIUS + 478.0,
        annealing_point=ZERO_CELSIUS + 518.0,
        expansion=93e-7,
        source="invented sheet",
    ),
)
LEHR = Lehr("quay lehr", 4.0 * 3600.0, thermocouple_offset=3.0)
LOAD = Load(
    "learning night",
    (Piece("deck light", 2, Shape.PLATE, GLASS.name, wall_thickness=0.015),),
    {GLASS.name: GLASS},
    LEHR,
    datetime(2026, 1, 12, 17, 30, tzinfo=UTC),
)
PLAN = make_plan(LOAD)
COLD = make_plan(replace(LOAD, start_temperature=ZERO_CELSIUS + 20.0))


def night(hours_constant, seed=0, plan=PLAN, above=0.0):
    """The plan, then the lehr by itself with a time constant [h], a noisy logger."""
    rng = np.random.default_rng(seed)
    off = next(s for s in plan.segments if s.kind is SegmentKind.COAST)
    time = np.arange(plan.start.timestamp(), plan.ready_at.timestamp() + 20 * 3600.0, 60.0)
    lehr = replace(LEHR, cooling_time_constant=hours_constant * 3600.0)
    since = np.maximum(time - off.start.timestamp(), 0.0)
    coasting = lehr.coasting(off.start_temperature - 3.0, since) + 3.0
    curve = np.where(since > 0, coasting, np.interp(time, *plan.curve()))
    return Readings(time, curve + above + rng.normal(0.0, 0.4, time.size))


@pytest.mark.parametrize("hours", [3.2, 4.0, 5.1])
def test_a_run_tells_how_its_lehr_loses_heat(hours):
    fit = fit_of_run(LEHR, PLAN, night(hours), PLAN.ready_at, run_id=7)
    (constant,) = fit.parameters
    assert constant.name == TIME_CONSTANT
    assert constant.value == pytest.approx(hours * 3600.0, rel=0.01)
    assert constant.low < hours * 3600.0 < constant.high
    assert (fit.equipment, fit.run_id, fit.equipment_kind) == ("quay lehr", 7, EquipmentKind.LEHR)
    assert fit.scatter == pytest.approx(0.4, abs=0.2)


def test_a_heating_that_stays_behind_tells_what_the_elements_give():
    """150 K/h at full power without loss, where the program asks for more."""
    time = np.arange(COLD.start.timestamp(), COLD.start.timestamp() + 8 * 3600.0, 60.0)
    full, constant, room = 150.0 / 3600.0, LEHR.cooling_time_constant, LEHR.ambient
    since = time - time[0]
    rest = room + full * constant
    true = rest + (room - rest) * np.exp(-since / constant)
    fast = replace(
        COLD,
        segments=(
            replace(
                COLD.segments[0],
                curve_time=(0.0, 3600.0, 9e4),
                curve_temperature=(room + 3.0, 803.0, 803.0),
            ),
            *COLD.segments[1:],
        ),
    )
    fit = fit_of_run(LEHR, fast, Readings(time, true + 3.0), COLD.ready_at)
    (rate,) = [p for p in fit.parameters if p.name == FULL_POWER]
    assert rate.value == pytest.approx(full, rel=0.02)
    assert rate.determined


def test_a_run_without_either_tells_nothing():
    soak = night(4.0)
    short = soak.time < PLAN.segments[0].end.timestamp()
    only = Readings(soak.time[short], soak.temperature[short])
    assert fit_of_run(LEHR, PLAN, only, PLAN.ready_at) is None
    assert fit_of_run(LEHR, PLAN, Readings(np.empty(0), np.empty(0)), PLAN.ready_at) is None


def fits(constants, every_days=20.0, spread=0.02, name=TIME_CONSTANT, seed=5):
    rng = np.random.default_rng(seed)
    made = []
    for number, value in enumerate(constants):
        seen = value * np.exp(rng.normal(0.0, spread))
        made.append(
            EquipmentFit(
                equipment="quay lehr",
                equipment_kind=EquipmentKind.LEHR,
                fitted_at=PLAN.start + timedelta(days=every_days * number),
                parameters=(Fitted(name, seen, seen / 1.03, seen * 1.03, determined=True),),
            )
        )
    return made


def test_a_seal_that_goes_is_seen_with_its_interval():
    """Two per cent a month less, over eight months."""
    months = 20.0 / 30.44
    constants = [4 * 3600.0 * 0.98 ** (months * n) for n in range(13)]
    (trend,) = trend_of(fits(constants), TIME_CONSTANT)
    value, low, high = trend.per_month
    assert low < -0.02 < high
    assert value == pytest.approx(-0.02, abs=0.006)
    assert "door seal" in trend.sentence
    assert trend.drawn() == pytest.approx(constants, rel=0.03)
    weaker = trend_of(fits(constants, name=FULL_POWER), FULL_POWER)[0]
    assert "elements age" in weaker.sentence
    assert "licensed trade" in weaker.sentence


def test_no_trend_is_made_of_scatter_or_of_three_nights():
    called = [
        trend_of(fits([14400.0] * 10, spread=0.05, seed=seed), TIME_CONSTANT)[0]
        for seed in range(100)
    ]
    # Meant to be called by chance one time in fifty.
    assert sum(trend.line.sure for trend in called) <= 7
    quiet = next(trend for trend in called if not trend.line.sure)
    assert "no trend" in quiet.sentence
    (few,) = trend_of(fits([14400.0, 13000.0, 11000.0]), TIME_CONSTANT)
    assert few.line is None
    assert "too few" in few.sentence
    assert few.drawn().size == 0
    assert trend_of([], TIME_CONSTANT) == ()
    (other,) = trend_of(fits([14400.0] * 5), FULL_POWER)
    assert other.time.size == 0


def moved(plan, shift):
    return replace(
        plan,
        start=plan.start + shift,
        ready_at=plan.ready_at + shift,
        segments=tuple(replace(s, start=s.start + shift, end=s.end + shift) for s in plan.segments),
    )


def drifting(per_night):
    nights = []
    for number in range(8):
        shift = timedelta(days=30 * number)
        log = night(4.0, seed=number, above=per_night * number)
        own = Readings(log.time + shift.total_seconds(), log.temperature)
        nights.append(NightOfRun(f"night {number}", moved(PLAN, shift), own))
    return drift_of(nights, LEHR)


def test_a_logger_that_drifts_is_hinted_at():
    report = drifting(0.8)
    assert len(report.at_soak) == 8
    a_year = report.soak_line.slope * 365.25 * 86400.0
    assert a_year == pytest.approx(0.8 * 365.25 / 30.0, rel=0.05)
    told = report.in_words(UnitChoice())
    assert "drifts by" in told[0]
    assert "Check the thermocouple" in told[0]
    assert "cannot show" in told[2]
    warmer = report.in_words(UnitChoice(temperature=TemperatureUnit.FAHRENHEIT))
    assert "°F" in warmer[0]
    assert "°C" not in warmer[0]


def test_a_steady_thermocouple_is_not_accused():
    report = drifting(0.0)
    assert not report.soak_line.sure
    assert "no drift" in report.in_words(UnitChoice())[0]
    # Twenty hours after hand-warm it is as cold as its room.
    assert len(report.when_cold) == 8
    assert abs(np.mean([o.value for o in report.when_cold])) < 1.0
    none = drift_of([], LEHR)
    assert "0 nights, too few" in none.in_words(UnitChoice())[0]
