"""A run beside its plan, reckoned once more with pandas on the same data.

Source of the expected numbers: pandas' own resampling, interpolation by index and rolling
covariance (McKinney W. 2010, Proc. 9th Python in Science Conf., 56).
"""

from datetime import UTC, datetime

import numpy as np
import pandas as pd
import pytest

from core.equipment.lehr import Lehr
from core.glass.glass import Glass, MeasuredPoints
from core.load.load import Load
from core.piece.piece import Piece, Shape
from core.plan.planner import make_plan
from core.run.compare import compare
from core.run.fastest_cooling import fastest_cooling
from core.run.readings import Readings
from core.units import ZERO_CELSIUS

GLASS = Glass(
    "sheet glass",
    measured=MeasuredPoints(
        strain_point=ZERO_CELSIUS + 478.0,
        annealing_point=ZERO_CELSIUS + 518.0,
        expansion=92e-7,
        source="invented sheet",
    ),
)
LOAD = Load(
    "pandas night",
    (Piece("deck light", 2, Shape.PLATE, GLASS.name, wall_thickness=0.020),),
    {GLASS.name: GLASS},
    Lehr("peer lehr", 4 * 3600.0),
    datetime(2026, 11, 24, 17, 30, tzinfo=UTC),
)
PLAN = make_plan(LOAD)
BAND = 5.0


def night(seed: int = 5) -> Readings:
    """Irregular readings a few minutes late, slowly wavering, with a gap near the end."""
    rng = np.random.default_rng(seed)
    start, end = PLAN.start.timestamp(), PLAN.ready_at.timestamp()
    time = start + np.cumsum(rng.uniform(20.0, 100.0, int((end - start) / 60.0) + 500))
    time = time[time < end]
    reading = np.interp(time - 300.0, *PLAN.curve()) + 1.5 * np.sin((time - start) / 4000.0)
    off = (time > end - 6 * 3600.0) & (time < end - 4.5 * 3600.0)
    return Readings(time[~off], reading[~off])


READINGS = night()
FOUND = compare(PLAN, READINGS, soak_band=BAND)


def by_the_second(readings: Readings) -> pd.Series:
    """Readings and plan every second, straight lines between, nothing within gaps."""
    index = pd.to_datetime(readings.time, unit="s")
    series = pd.Series(readings.temperature, index=index)
    grid = pd.date_range(index[0].ceil("s"), index[-1].floor("s"), freq="s")
    dense = series.reindex(series.index.union(grid)).interpolate("index").reindex(grid)
    stamps = pd.Series(index, index=index).reindex(grid, method="ffill")
    following = pd.Series(index, index=index).reindex(grid, method="bfill")
    return dense.where((following - stamps) <= pd.Timedelta(minutes=10))


def planned_by_the_second(grid: pd.DatetimeIndex) -> pd.Series:
    time, temperature = PLAN.curve()
    corners = pd.Series(temperature, index=pd.to_datetime(time, unit="s"))
    corners = corners[~corners.index.duplicated(keep="last")]
    return corners.reindex(corners.index.union(grid)).interpolate("index").reindex(grid)


def test_deviation_of_every_reading():
    index = pd.to_datetime(READINGS.time, unit="s")
    expected = pd.Series(READINGS.temperature, index=index) - planned_by_the_second(index)
    # Times as nanoseconds are rounded to a quarter of a microsecond.
    assert pytest.approx(expected.to_numpy(), abs=1e-6) == FOUND.deviation
    at = expected.abs().idxmax()
    assert FOUND.max_deviation == pytest.approx(expected[at], abs=1e-6)
    assert FOUND.max_deviation_time == pytest.approx(at.timestamp(), abs=1e-3)


def test_mean_deviation_and_time_at_soak_over_time():
    dense = by_the_second(READINGS)
    deviation = (dense - planned_by_the_second(dense.index)).abs()
    assert FOUND.mean_deviation == pytest.approx(deviation.mean(), rel=2e-4)
    inside = (dense - PLAN.soak_temperature).abs() <= BAND
    assert FOUND.soak_time == pytest.approx(inside.sum(), abs=5.0)


def test_gaps_are_where_pandas_sees_long_steps():
    steps = pd.Series(READINGS.time).diff()
    long = steps[steps > max(600.0, 3 * steps.median())]
    assert [gap.end for gap in FOUND.gaps] == READINGS.time[long.index].tolist()
    assert [gap.duration for gap in FOUND.gaps] == long.tolist()


def test_mean_rate_through_the_transformation_range():
    dense = by_the_second(READINGS)
    top, bottom = PLAN.transformation_top, PLAN.transformation_bottom
    leaves = dense[dense >= top].index[-1]
    arrives = dense[(dense <= bottom) & (dense.index > leaves)].index[0]
    expected = (top - bottom) / (arrives - leaves).total_seconds()
    assert FOUND.transformation_rate == pytest.approx(expected, rel=5e-4)


def test_fastest_quarter_hour_is_the_steepest_rolling_regression():
    """Slope of a least-squares line over a rolling window: covariance over variance."""
    rng = np.random.default_rng(8)
    time = np.cumsum(rng.uniform(10.0, 50.0, 400))
    value = 790.0 - 12.0 * np.tanh((time - 6000.0) / 1500.0) - time / 400.0
    fastest = fastest_cooling(time, value)
    assert fastest is not None
    # Looking ahead, not back: time is turned over.
    frame = pd.DataFrame(
        {"t": time[0] - time[::-1], "v": value[::-1]}, index=pd.to_datetime(-time[::-1], unit="s")
    )
    rolling = frame.rolling("900s", closed="both")
    slope = rolling.cov().xs("v", level=1)["t"] / rolling["t"].var()
    span = rolling["t"].max() - rolling["t"].min()
    (at,) = np.flatnonzero(time[::-1] == fastest.start)
    assert fastest.rate == pytest.approx(slope.iloc[at], rel=1e-6)
    assert fastest.rate == pytest.approx(slope[span >= 850.0].max(), rel=1e-3)


def test_lateness_is_the_time_between_equal_temperatures():
    """By the plan's inverse: when it is at the temperature that the log has reached."""
    cooling = pd.Series(*reversed(PLAN.curve()))
    cooling = cooling[cooling.index >= PLAN.segments[0].end.timestamp()]
    cooling = cooling[~cooling.index.duplicated(keep="last")]
    inverse = pd.Series(cooling.index.to_numpy(), index=cooling.to_numpy()).sort_index()
    told = np.isfinite(FOUND.lateness)
    level = pd.Index(READINGS.temperature[told])
    both = inverse[~inverse.index.duplicated()]
    expected = both.reindex(both.index.union(level)).interpolate("index").reindex(level)
    late = READINGS.time[told] - expected.to_numpy()
    assert np.median(np.abs(FOUND.lateness[told] - late)) < 1.0
