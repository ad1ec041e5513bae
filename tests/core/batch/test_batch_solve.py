"""Least squares, its bounds, and the rule for batches equally near."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from core.batch.request import Prefer
from core.batch.solve import EQUALLY_NEAR, Problem, decide, nearest
from core.errors import BatchError

# Sand, soda ash, whiting, dolomite, albite, in rows SiO2, Na2O, CaO, MgO, Al2O3.
YIELDS = np.array(
    [
        [1.0, 0.0, 0.0, 0.0, 0.6874],
        [0.0, 0.5848, 0.0, 0.0, 0.1182],
        [0.0, 0.0, 0.5603, 0.3041, 0.0],
        [0.0, 0.0, 0.0, 0.2186, 0.0],
        [0.0, 0.0, 0.0, 0.0, 0.1944],
    ]
)
amounts = st.lists(st.floats(0.05, 1.0), min_size=5, max_size=5).map(np.array)


def problem(missing, *, lowest=None, highest=None, weights=None, yields=YIELDS):
    count = yields.shape[1]
    return Problem(
        yields,
        np.asarray(missing, dtype=float),
        np.ones(len(yields)) if weights is None else np.asarray(weights, dtype=float),
        np.zeros(count) if lowest is None else np.asarray(lowest, dtype=float),
        np.full(count, np.inf) if highest is None else np.asarray(highest, dtype=float),
    )


@given(amounts)
def test_a_known_batch_is_recovered(known):
    known = known / (YIELDS @ known).sum()
    assert nearest(problem(YIELDS @ known)) == pytest.approx(known, abs=1e-7)


@settings(max_examples=30)
@given(amounts, st.floats(0.1, 0.9))
def test_a_bound_is_kept_and_the_rest_is_as_near_as_an_independent_solver_comes(known, held):
    known = known / (YIELDS @ known).sum()
    highest = np.full(5, np.inf)
    highest[1] = held * known[1]
    weights = np.array([0.4, 1.0, 1.2, 2.0, 3.0])
    asked = problem(YIELDS @ known, highest=highest, weights=weights)
    found = nearest(asked)
    assert found[1] <= highest[1] * (1 + 1e-9)
    assert (YIELDS @ found).sum() == pytest.approx(1.0, abs=1e-6)
    other = minimize(
        lambda x: 1e4 * np.sum((weights * (YIELDS @ x - asked.missing)) ** 2),
        known,
        method="SLSQP",
        bounds=[(0, h if np.isfinite(h) else 5.0) for h in highest],
        constraints={"type": "eq", "fun": lambda x: (YIELDS @ x).sum() - 1.0},
        options={"maxiter": 500, "ftol": 1e-12},
    )
    assert asked.error(found) <= asked.error(np.clip(other.x, 0, highest)) + 1e-3


def test_a_gap_is_filled_in_proportion_when_weights_go_as_the_inverse_root():
    # Minimising sum (d_i)^2 / t_i under a fixed sum of d_i gives d_i in proportion to t_i.
    yields = np.eye(3)
    target = np.array([0.6, 0.1, 0.3])
    found = nearest(
        problem(target, highest=[9, 9, 0.1], weights=1 / np.sqrt(target), yields=yields)
    )
    assert found == pytest.approx([0.9 * 0.6 / 0.7, 0.9 * 0.1 / 0.7, 0.1], abs=1e-6)


def test_bounds_that_leave_no_room_are_refused():
    target = [0.7, 0.2, 0.1, 0.0, 0.0]
    with pytest.raises(BatchError, match="more glass than the melt"):
        nearest(problem(target, lowest=[1.5, 0, 0, 0, 0]))
    with pytest.raises(BatchError, match="do not make so much glass"):
        nearest(problem(target, highest=[0.1, 0.1, 0.1, 0.1, 0.1]))


def test_what_is_fixed_stays_fixed():
    fixed = [0.2, 0.1, 0.0, 0.0, 0.3]
    found = nearest(problem([0.7, 0.15, 0.1, 0.0, 0.05], lowest=fixed, highest=[9, 9, 9, 0.0, 0.3]))
    assert found[4] == pytest.approx(0.3)
    assert found[3] == 0


# Two ways to potash and a third that brings both: ambiguous on purpose.
AMBIGUOUS = np.array([[1.0, 0.0, 0.0, 0.0], [0.0, 0.6816, 0.5701, 0.4658]])


def test_of_equally_near_batches_fewest_materials_then_the_order_of_the_list():
    asked = problem([0.8, 0.2], yields=AMBIGUOUS)
    settled = decide(asked, nearest(asked), Prefer.FEWEST)
    assert np.flatnonzero(settled).tolist() == [0, 1]
    flipped = problem([0.8, 0.2], yields=AMBIGUOUS[:, [0, 3, 2, 1]])
    settled = decide(flipped, nearest(flipped), Prefer.FEWEST)
    assert np.flatnonzero(settled).tolist() == [0, 1]


@given(st.lists(st.floats(0.1, 10.0), min_size=4, max_size=4).map(np.array))
def test_the_cheapest_costs_least(prices):
    asked = problem([0.8, 0.2], yields=AMBIGUOUS)
    settled = decide(asked, nearest(asked), Prefer.CHEAPEST, prices)
    # Stoichiometry says what each source alone would cost per kg of glass.
    alone = [0.2 / y * price for y, price in zip(AMBIGUOUS[1, 1:], prices[1:], strict=True)]
    assert prices @ settled == pytest.approx(0.8 * prices[0] + min(alone), rel=1e-4)
    assert AMBIGUOUS @ settled == pytest.approx([0.8, 0.2], abs=1e-5)


@given(amounts)
def test_the_rule_for_ties_costs_no_nearness(known):
    doubled = np.hstack((YIELDS, YIELDS[:, [0, 3]] * 0.9))
    target = YIELDS @ (known / (YIELDS @ known).sum())
    asked = problem(target, yields=doubled)
    settled = decide(asked, nearest(asked), Prefer.FEWEST)
    assert np.abs(doubled @ settled - target).max() <= EQUALLY_NEAR
    assert np.count_nonzero(settled) <= 5
