"""Rates and holds that noise, spikes and hunting cannot fool: simulated logs of a known night."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.run.compare import compare
from core.run.fastest_cooling import fastest_cooling
from core.run.readings import Readings
from core.run.smoothing import smoothed, spikes_of

SLOW = 20.0 / 3600.0
"""The plan's slow cooling [K/s]."""


def noisy(plan, seed, deviation=2.0, every=10.0, hunting=0.0):
    rng = np.random.default_rng(seed)
    time = np.arange(plan.start.timestamp(), plan.ready_at.timestamp(), every)
    waver = hunting * np.sin(2 * np.pi * (time - time[0]) / 1200.0 + seed)
    noise = rng.normal(0.0, deviation, time.size)
    return Readings(time, plan.temperature_at(time) + noise + waver)


@pytest.mark.parametrize(
    ("deviation", "every", "hunting"), [(0.5, 10.0, 0.0), (2.0, 10.0, 0.0), (0.3, 60.0, 2.0)]
)
def test_mean_rates_of_noisy_slow_nights_are_not_biased(plan, deviation, every, hunting):
    """From first to last passage of a level the rate would come out several per cent too fast."""
    found = [compare(plan, noisy(plan, seed, deviation, every, hunting)) for seed in range(12)]
    rates = [f.transformation_rate for f in found if f.transformation_rate is not None]
    assert len(rates) >= 11
    error = np.std(rates) / np.sqrt(len(rates))
    assert np.mean(rates) == pytest.approx(SLOW, abs=3.0 * error + 0.002 * SLOW)
    slow = [f.segments[1].actual_rate for f in found]
    assert np.mean(slow) == pytest.approx(-SLOW, rel=0.02)
    hold = [f.segments[0].actual_hold for f in found]
    assert np.mean(hold) == pytest.approx(7200.0, abs=300.0)


def test_the_fastest_rate_of_a_straight_ramp_is_the_ramps(plan):
    """White noise: the interval for all windows together holds the truth nineteen times in twenty,
    where the steepest of single quarter hours would be half as fast again."""
    low = high = 0
    for seed in range(40):
        readings = noisy(plan, seed)
        fastest = compare(plan, readings).fastest
        assert fastest.rate == pytest.approx(SLOW, rel=0.10)
        low += fastest.low <= SLOW
        high += fastest.high >= SLOW
    assert low >= 36
    assert high >= 36


def test_a_quick_fall_of_half_an_hour_is_found_in_noise(plan):
    readings = noisy(plan, 3, deviation=1.0)
    slow = plan.segments[1].start.timestamp()
    later = np.clip(readings.time - slow - 1800.0, 0.0, 1800.0)
    fell = Readings(readings.time, readings.temperature - later * 40.0 / 3600.0)
    fastest = compare(plan, fell).fastest
    assert fastest.rate * 3600.0 == pytest.approx(60.0, abs=5.0)
    assert fastest.low * 3600.0 > 40.0
    assert slow + 1500.0 <= fastest.start < fastest.end <= slow + 4200.0


def test_single_spikes_change_nothing(plan):
    clean = noisy(plan, 1, deviation=0.2, every=60.0)
    bad = clean.temperature.copy()
    bad[[200, 300, 301, 450]] += (-250.0, 80.0, 75.0, 400.0)
    spiked = compare(plan, Readings(clean.time, bad))
    plain = compare(plan, clean)
    assert spiked.spikes == 4
    assert plain.spikes == 0
    assert spiked.fastest_rate == pytest.approx(plain.fastest_rate, rel=0.01)
    assert spiked.transformation_rate == pytest.approx(plain.transformation_rate, rel=0.01)
    assert spiked.segments[0].overshoot == plain.segments[0].overshoot


def test_a_door_is_no_spike():
    time = np.arange(0.0, 7200.0, 30.0)
    since = np.clip(time - 3600.0, 0.0, None)
    # The chamber recovers in minutes, the thermocouple's sheath follows in less than one.
    value = 800.0 - 80.0 * (np.exp(-since / 300.0) - np.exp(-since / 40.0))
    assert not spikes_of(time, value).any()


def test_cooling_across_a_gap_counts_at_least_as_its_mean():
    time = np.concatenate((np.arange(0.0, 3600.0, 60.0), np.arange(6000.0, 9000.0, 60.0)))
    value = np.where(time < 3600.0, 800.0 - time / 360.0, 700.0 - (time - 6000.0) / 360.0)
    fastest = fastest_cooling(time, value)
    assert (fastest.start, fastest.end) == (3540.0, 6000.0)
    assert fastest.rate == pytest.approx((800.0 - 3540.0 / 360.0 - 700.0) / 2460.0)


def test_averages_stay_within_their_stretch():
    rng = np.random.default_rng(0)
    time = np.concatenate((np.arange(0.0, 3000.0, 10.0), np.arange(9000.0, 12000.0, 10.0)))
    level = np.where(time < 5000.0, 800.0, 500.0)
    quiet = smoothed(time, level + rng.normal(0.0, 2.0, time.size))
    assert np.abs(quiet - level).max() < 1.5


@settings(max_examples=25)
@given(seed=st.integers(0, 1000), factor=st.integers(2, 5))
def test_finer_sampling_changes_nothing_beyond_its_noise(plan, seed, factor):
    coarse = noisy(plan, seed, deviation=0.0, every=120.0, hunting=1.0)
    time = np.arange(coarse.time[0], coarse.time[-1], 120.0 / factor)
    fine = Readings(time, np.interp(time, coarse.time, coarse.temperature))
    one, other = compare(plan, coarse), compare(plan, fine)
    assert other.transformation_rate == pytest.approx(one.transformation_rate, rel=0.02)
    assert other.mean_deviation == pytest.approx(one.mean_deviation, rel=0.01)
    assert other.soak_time == pytest.approx(one.soak_time, abs=60.0)
    assert other.fastest_rate == pytest.approx(one.fastest_rate, rel=0.15)


@settings(max_examples=25)
@given(hours=st.floats(-9e4, 9e4), seed=st.integers(0, 50))
def test_the_clock_of_a_stretch_does_not_matter(hours, seed):
    rng = np.random.default_rng(seed)
    time = np.cumsum(rng.uniform(10.0, 90.0, 200))
    value = 790.0 - time / 200.0 + rng.normal(0.0, 0.3, 200)
    one, other = fastest_cooling(time, value), fastest_cooling(time + hours * 3600.0, value)
    assert other.rate == pytest.approx(one.rate, rel=1e-5)
    assert other.low == pytest.approx(one.low, rel=1e-4)
