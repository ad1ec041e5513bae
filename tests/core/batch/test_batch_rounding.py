"""Rounding to the scale's division."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.batch.rounding import glass_error, round_together, weight_of, whole_divisions


@st.composite
def batches(draw, most=8):
    count = draw(st.integers(1, most))
    oxides = draw(st.integers(2, 6))
    numbers = st.floats(0.0, 1.0)
    yields = np.array(
        draw(
            st.lists(
                st.lists(numbers, min_size=count, max_size=count), min_size=oxides, max_size=oxides
            )
        )
    )
    yields[0] += 0.05
    amounts = np.array(draw(st.lists(st.floats(0.01, 20.0), min_size=count, max_size=count)))
    division = draw(st.sampled_from([0.001, 0.01, 0.05, 0.1, 0.5]))
    return yields, amounts, np.full(count, division)


def rounded(yields, amounts, divisions, **bounds):
    masses = yields @ amounts
    target = masses / masses.sum()
    weights = 1 / np.sqrt(np.maximum(target, 0.001))
    nothing = np.zeros(len(masses))
    low = bounds.get("lowest", np.zeros(len(amounts)))
    high = bounds.get("highest", np.full(len(amounts), np.inf))
    counts = round_together(amounts, divisions, yields, nothing, target, weights, low, high)

    def error(of):
        got = yields @ (of * divisions)
        return float(glass_error(got, target, weights)) if got.sum() > 0 else np.inf

    return counts, error


@settings(max_examples=150)
@given(batches())
def test_never_worse_than_each_rounded_by_itself(batch):
    _, amounts, divisions = batch
    counts, error = rounded(*batch)
    assert error(counts) <= error(np.round(amounts / divisions)) + 1e-12


@settings(max_examples=60)
@given(batches(most=4))
def test_the_best_of_all_ways_within_two_divisions(batch):
    _, amounts, divisions = batch
    counts, error = rounded(*batch)
    steps = amounts / divisions
    near = [[max(math.floor(s) + k, 0) for k in (-1, 0, 1, 2)] for s in steps]
    best = min(error(np.array(way)) for way in itertools.product(*near))
    assert error(counts) <= best * (1 + 1e-9) + 1e-12


@settings(max_examples=40)
@given(batches(most=12))
def test_no_single_step_makes_it_better(batch):
    _, amounts, divisions = batch
    counts, error = rounded(*batch)
    steps = amounts / divisions
    for index in range(len(counts)):
        for step in (-1, 1):
            other = counts.copy()
            other[index] += step
            low, high = max(math.floor(steps[index]) - 1, 0), math.ceil(steps[index]) + 1
            if low <= other[index] <= high:
                assert error(other) >= error(counts) * (1 - 1e-9) - 1e-9


@settings(max_examples=25)
@given(batches(most=14))
def test_no_amount_strays(batch):
    _, amounts, divisions = batch
    counts, _ = rounded(*batch)
    assert np.all(np.abs(counts - amounts / divisions) <= 2 + 1e-9)
    assert counts.dtype == np.int64
    assert np.all(counts >= 0)


def test_together_is_better_where_each_by_itself_is_not_best():
    # Both round down by themselves, which shifts the ratio; down and down keeps it, up does not.
    yields = np.eye(2)
    amounts = np.array([1.44, 2.88])
    counts, error = rounded(yields, amounts, np.array([1.0, 1.0]))
    assert error(counts) < error(np.array([1.0, 3.0]))
    assert counts.tolist() == [1, 2]


def test_bounds_are_kept_and_a_fixed_amount_goes_to_the_nearer_division():
    yields = np.eye(2)
    amounts = np.array([1.49, 3.0])
    counts, _ = rounded(
        yields, amounts, np.ones(2), lowest=np.array([0, 0]), highest=np.array([1.49, 9])
    )
    assert counts[0] <= 1
    counts, _ = rounded(
        yields,
        np.array([0.333, 2.0]),
        np.full(2, 0.01),
        lowest=np.array([0.333, 0]),
        highest=np.array([0.333, 9]),
    )
    assert counts[0] == 33


def test_what_is_not_used_stays_out():
    counts, _ = rounded(np.eye(2), np.array([0.0, 2.4]), np.ones(2))
    assert counts[0] == 0


@given(st.integers(0, 10**6), st.sampled_from([0.0001, 0.005, 0.01, 0.02, 0.1, 1.0]))
def test_a_weight_shows_no_dust_of_binary_fractions(count, division):
    assert len(repr(weight_of(count, division)).replace("e-", "")) <= 12


def test_something_never_rounds_to_nothing():
    assert whole_divisions(0.00001, 0.01) == 1
    assert whole_divisions(0.0, 0.01) == 0
    assert whole_divisions(0.026, 0.01) == 3


def test_glass_error_is_zero_for_the_target_in_any_amount():
    target = np.array([0.7, 0.3])
    assert glass_error(np.array([[7.0, 3.0], [70, 30]]), target, np.ones(2)) == pytest.approx(0)
