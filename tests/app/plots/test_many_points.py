"""What is drawn of very many points: nothing that can be seen is lost."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from app.plots.reduced import reduced

PIXELS = 40


@settings(max_examples=60, deadline=None)
@given(
    steps=hnp.arrays(float, st.integers(1, 700), elements=st.floats(0.0, 90.0)),
    seed=st.integers(0, 10_000),
    holes=st.floats(0.0, 0.3),
)
def test_every_pixel_keeps_its_lowest_its_highest_and_its_gaps(steps, seed, holes) -> None:
    generator = np.random.default_rng(seed)
    time = np.cumsum(steps)
    values = generator.normal(500.0, 80.0, time.size)
    values[generator.random(time.size) < holes] = np.nan
    start, end = time[0], max(time[-1], time[0] + 1.0)
    at, shown = reduced(time, values, start, end, PIXELS)
    assert np.all(np.diff(at) >= 0.0)
    assert at.size <= 5 * PIXELS + 2 or at.size == time.size
    edges = np.linspace(start, end, PIXELS + 1)
    for low, high in itertools.pairwise(edges):
        whole = values[(time >= low) & (time < high)]
        drawn = shown[(at >= low) & (at < high)]
        if np.isfinite(whole).any():
            assert np.nanmin(drawn) == np.nanmin(whole)
            assert np.nanmax(drawn) == np.nanmax(whole)
        assert np.isnan(whole).any() == np.isnan(drawn).any()


def test_few_points_are_left_as_they_are_with_one_to_either_side() -> None:
    time = np.arange(100.0)
    values = time**2
    at, shown = reduced(time, values, 30.5, 40.5, 1000)
    np.testing.assert_array_equal(at, np.arange(30.0, 42.0))
    np.testing.assert_array_equal(shown, at**2)


def test_sparse_hours_beside_a_dense_one_are_not_smeared() -> None:
    dense = np.linspace(0.0, 3600.0, 20_000)
    sparse = np.arange(3720.0, 36_000.0, 120.0)
    time = np.concatenate((dense, sparse))
    at, _ = reduced(time, np.sin(time / 900.0), 0.0, 36_000.0, 400)
    assert set(sparse) <= set(at.tolist())
    assert at.size < 400 * 5


@pytest.mark.parametrize("count", [0, 1])
def test_nothing_to_draw_is_no_trouble(count: int) -> None:
    at, shown = reduced(np.zeros(count), np.ones(count), -1.0, 1.0, 10)
    assert at.size == shown.size == count
