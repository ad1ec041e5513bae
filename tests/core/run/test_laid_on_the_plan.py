"""Logs by a wrong clock laid on their plan, segments, and several nights over each other."""

from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import RunError
from core.run.alignment import Align, shift_of
from core.run.compare import compare
from core.run.comparison_words import comparison_rows, gap_sentences, late_words, segment_rows
from core.run.overlay import NightOfRun, overlay
from core.run.readings import Readings
from core.units import ZERO_CELSIUS, TemperatureUnit

ALIGNED = [Align.SOAK_START, Align.SOAK_END, Align.BEST_FIT]


def log_of(plan, late=0.0, every=60.0):
    time = np.arange(plan.start.timestamp(), plan.ready_at.timestamp(), every)
    return Readings(time + late, plan.temperature_at(time))


@pytest.mark.parametrize("align", ALIGNED)
@settings(max_examples=15)
@given(late=st.floats(-5.0 * 3600, 5.0 * 3600))
def test_a_clock_that_is_off_is_found_out(plan, align, late):
    found = compare(plan, log_of(plan, late), align=align)
    assert found.shift == pytest.approx(late, abs=30.0)
    assert np.nanmax(np.abs(found.deviation)) < 1.0
    assert np.nanmax(np.abs(found.lateness)) < 60.0


def test_lateness_by_the_clock(plan):
    found = compare(plan, log_of(plan, 1500.0))
    told = found.lateness[np.isfinite(found.lateness)]
    assert told == pytest.approx(1500.0, abs=1.0)
    assert found.lateness_at_bottom == pytest.approx(1500.0, abs=1.0)
    assert late_words(1500.0) == "0:25 later than planned"
    assert late_words(-1500.0) == "0:25 sooner than planned"
    assert late_words(10.0) == "as planned"


def test_a_log_without_a_soak_cannot_be_laid_at_one(plan):
    full = log_of(plan)
    cold = Readings(full.time, full.temperature - 100.0)
    for align in (Align.SOAK_START, Align.SOAK_END):
        with pytest.raises(RunError, match="does not show where"):
            compare(plan, cold, align=align)
    with pytest.raises(RunError, match="no readings"):
        shift_of(plan, Readings(np.empty(0), np.empty(0)), Align.BEST_FIT)
    beside = Readings(full.time + 40 * 86400.0, full.temperature)
    with pytest.raises(RunError, match="beside the plan"):
        shift_of(plan, beside, Align.BEST_FIT)


def test_the_same_night_of_another_year_is_told(plan):
    full = log_of(plan)
    with pytest.raises(RunError, match="a year earlier"):
        compare(plan, Readings(full.time - 365 * 86400.0, full.temperature))
    with pytest.raises(RunError, match="2 years later"):
        compare(plan, Readings(full.time + 730 * 86400.0, full.temperature))


def test_segments_of_a_log_equal_to_the_plan_are_the_planned_ones(plan):
    rows = compare(plan, log_of(plan)).segments
    assert [row.number for row in rows] == [1, 2, 3]
    assert rows[0].actual_hold == pytest.approx(7200.0, abs=10.0)
    assert rows[0].overshoot == 0.0
    for row in rows[1:]:
        assert row.actual_start == pytest.approx(row.planned_start, abs=60.0)
    assert rows[1].actual_rate == pytest.approx(rows[1].planned_rate, rel=1e-3)
    assert rows[1].actual_end == pytest.approx(rows[1].planned_end, abs=60.0)
    assert not any(row.gap for row in rows)
    # The last reading is a minute above the last target.
    assert rows[2].actual_rate is None


def test_overshoot_a_longer_hold_and_a_slower_ramp_are_told(plan):
    start = plan.start.timestamp()
    corners = np.array([0.0, 1800.0, 3600.0, 10800.0, 10800.0 + 55 * 240.0, 60000.0])
    levels = ZERO_CELSIUS + np.array([525.0, 533.0, 525.0, 525.0, 470.0, 40.0])
    time = np.arange(0.0, 60000.0, 60.0)
    found = compare(plan, Readings(start + time, np.interp(time, corners, levels)))
    soak, slow, _ = found.segments
    assert soak.overshoot == pytest.approx(8.0, abs=0.1)
    assert soak.actual_hold == pytest.approx(10800.0, abs=60.0)
    assert slow.actual_rate * 3600.0 == pytest.approx(-15.0, rel=1e-3)
    assert slow.actual_start - start == pytest.approx(10800.0, abs=60.0)


def test_a_gap_in_the_transformation_range_is_told_apart(plan):
    full = log_of(plan)
    slow = plan.segments[1].start.timestamp()
    in_range = (full.time > slow + 1800.0) & (full.time < slow + 5400.0)
    found = compare(plan, Readings(full.time[~in_range], full.temperature[~in_range]))
    assert found.transformation_gaps == found.gaps
    assert "transformation range" in gap_sentences(found, None)[0]
    assert [row.gap for row in found.segments] == [False, True, False]
    later = full.time > plan.segments[2].start.timestamp() + 3600.0
    later &= full.time < plan.segments[2].start.timestamp() + 7200.0
    found = compare(plan, Readings(full.time[~later], full.temperature[~later]))
    assert len(found.gaps) == 1
    assert found.transformation_gaps == ()


def test_words_have_a_cell_for_everything(plan):
    found = compare(plan, log_of(plan, 600.0))
    rows = segment_rows(found, TemperatureUnit.FAHRENHEIT, None)
    assert len({len(row) for row in rows}) == 1
    assert rows[2][4] == "-36.0 °F/h"
    what = [row[0] for row in comparison_rows(found, TemperatureUnit.CELSIUS, None)]
    assert "below the transformation range" in what
    assert what[3] == "fastest 15 minutes of it"


def test_five_nights_over_each_other(plan_from, plan):
    nights = []
    for number in range(5):
        own = plan_from(plan.start + timedelta(days=number, minutes=7 * number))
        nights.append(NightOfRun(f"night {number}", own, log_of(own, 300.0 * number)))
    by_soak = overlay(nights, Align.SOAK_END)
    common = np.linspace(-3600.0, 20000.0, 200)
    curves = [np.interp(common, night.elapsed, night.temperature) for night in by_soak.nights]
    assert np.ptp(curves, axis=0).max() < 1.0
    assert all(
        night.comparison.shift == pytest.approx(300.0 * i, abs=30.0)
        for i, night in enumerate(by_soak.nights)
    )
    by_clock = overlay(nights, Align.CLOCK)
    firsts = [night.planned_elapsed[0] for night in by_clock.nights]
    assert firsts == pytest.approx([420.0 * number for number in range(5)])


def test_a_night_that_cannot_be_aligned_is_laid_by_its_plan_and_says_so(plan):
    full = log_of(plan)
    cold = NightOfRun("cold", plan, Readings(full.time, full.temperature - 100.0))
    empty = NightOfRun("planned only", plan, Readings(np.empty(0), np.empty(0)))
    other = NightOfRun("wrong", plan, Readings(full.time - 86400.0 * 90, full.temperature))
    shown = overlay([cold, empty, other], Align.SOAK_END).nights
    assert "does not show" in shown[0].note
    assert shown[0].comparison is not None
    assert (shown[1].note, shown[1].comparison) == ("", None)
    assert shown[2].note
    assert all(np.isfinite(night.planned_elapsed).all() for night in shown)
    with pytest.raises(RunError, match="no night"):
        overlay([])
