"""Slopes against scipy.stats.theilslopes (Theil 1950, Sen 1968) on the same points."""

import numpy as np
import pytest
from scipy.stats import theilslopes

from core.live.robust_slope import BIN, slopes

START = 1.7e9


@pytest.mark.parametrize("spike", [0.0, 80.0])
def test_slopes_are_those_of_scipy(spike):
    rng = np.random.default_rng(3)
    time = START + np.arange(0.0, 3600.0, BIN) + 5.0
    temperature = 790.0 - 40.0 / 3600.0 * (time - START) + rng.normal(0, 0.5, time.size)
    temperature[60:64] += spike
    at, level, slope, _ = slopes(time, temperature, 600.0)
    assert np.allclose(at, time[:-1])
    assert np.allclose(level, temperature[:-1])
    for last in (30, 63, 80, 118):
        used = (time >= time[last] - 600.0) & (time <= time[last])
        assert slope[last] == pytest.approx(theilslopes(temperature[used], time[used])[0])
    # 4 wild points of 21 leave the slope within a quarter of the true 40 K/h.
    assert slope[66] * 3600 == pytest.approx(-40.0, abs=10.0)


def test_sparse_readings_take_the_last_three_and_not_over_hours():
    time = START + np.array([0.0, 1800.0, 3600.0, 20000.0, 21000.0, 21500.0, 30000.0])
    temperature = np.array([800.0, 790.0, 780.0, 700.0, 690.0, 685.0, 600.0])
    _, _, slope, _ = slopes(time, temperature, 600.0)
    assert slope[2] == pytest.approx(-10.0 / 1800.0)
    assert np.isnan(slope[[0, 1, 3, 4]]).all()
    assert slope[5] == pytest.approx(-0.01)


def test_fewer_than_two_points():
    assert all(part.size == 0 for part in slopes(np.array([1.0]), np.array([2.0]), 600.0))
    assert all(part.size == 0 for part in slopes(np.zeros(0), np.zeros(0), 600.0))


def test_the_error_is_that_of_a_straight_line_through_noise():
    # Ordinary least squares: sigma / sqrt(sum (t - mean t)^2); Theil and Sen come within some 10 %.
    rng = np.random.default_rng(5)
    time = START + np.arange(0.0, 100 * 3600.0, BIN) + 5.0
    temperature = 790.0 + rng.normal(0, 0.8, time.size)
    _, _, slope, error = slopes(time, temperature, 600.0)
    least = 0.8 / np.sqrt(np.sum((np.arange(21) * BIN - 300.0) ** 2))
    known = np.isfinite(slope)
    assert np.median(error[known]) == pytest.approx(least, rel=0.15)
    assert np.std(slope[known][100:]) == pytest.approx(least, rel=0.15)
