"""Curves broken where readings are missing, and gaps in words."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np

from core.run.compare import compare
from core.run.comparison_words import comparison_rows, gap_sentences
from core.run.gap_breaks import with_breaks
from core.run.gaps import Gap
from core.run.readings import Readings
from core.units import TemperatureUnit


def test_every_gap_gets_one_break_and_no_reading_is_lost():
    time = np.array([0.0, 10.0, 100.0, 110.0, 200.0])
    values = np.arange(5.0)
    broken_time, broken = with_breaks(time, values, [Gap(10.0, 100.0), Gap(110.0, 200.0)])
    assert broken_time.tolist() == [0, 10, 55, 100, 110, 155, 200]
    np.testing.assert_array_equal(broken, [0, 1, np.nan, 2, 3, np.nan, 4])


def test_without_gaps_nothing_changes():
    time, values = np.array([0.0, 1.0]), np.array([2.0, 3.0])
    broken_time, broken = with_breaks(time, values, [])
    np.testing.assert_array_equal(broken_time, time)
    np.testing.assert_array_equal(broken, values)


def test_a_gap_is_told_in_the_zone_asked_for(plan):
    start = plan.start.timestamp()
    offsets = np.array([0.0, 60.0, 120.0, 180.0, 5580.0, 5640.0])
    comparison = compare(plan, Readings(start + offsets, plan.temperature_at(start + offsets)))
    # 17:33 to 19:03 UTC is an hour later in Berlin in November.
    assert gap_sentences(comparison, ZoneInfo("Europe/Berlin")) == [
        "No readings from Tue 18:33 to Tue 20:03 (1:30)."
    ]


def test_the_small_table_in_fahrenheit_has_no_offset_in_differences(plan):
    start = plan.start.timestamp()
    time = start + np.arange(0.0, 7200.0, 60.0)
    comparison = compare(plan, Readings(time, plan.temperature_at(time) + 10.0))
    rows = comparison_rows(comparison, TemperatureUnit.FAHRENHEIT, UTC)
    assert rows[0][0] == "largest deviation"
    assert rows[0][1].startswith("+18.0 °F at Tue ")
    assert rows[1][0] == "time within 9 °F of the soak"
    assert rows[2][1] == "not covered by the log"
    # 20 °C/h is 36 °F/h.
    assert rows[2][2] == "36.0 °F/h"
    assert datetime.fromtimestamp(comparison.max_deviation_time, UTC) >= plan.start


def test_a_run_that_goes_on_is_not_blamed_for_ending_early(plan):
    start = plan.start.timestamp()
    time = start + np.arange(0.0, 7200.0, 60.0)
    readings = Readings(time, plan.temperature_at(time))
    assert compare(plan, readings).warnings
    assert compare(plan, readings, finished=False).warnings == ()
