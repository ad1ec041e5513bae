"""The least change of an analysis for wished properties."""

import numpy as np
import pytest
from scipy.optimize import minimize

from core.glass.least_change import Wanted, changed, least_change, values_after
from core.glass.library import find_glass

CLEAR = find_glass("harbour clear").composition
OXIDES = ("SiO2", "Na2O", "K2O", "CaO")


def wished(key: str, low: float, high: float) -> Wanted:
    """An interval about what the glass has, in what counts as close."""
    close = {"expansion": 0.5e-7, "annealing_point": 2.0}[key]
    probe = Wanted(key, 0.0, 0.0, close)
    now = float(values_after(CLEAR, OXIDES, np.zeros((1, 4)), [probe])[0, 0])
    return Wanted(key, now + low * close, now + high * close, close)


def test_what_is_fulfilled_already_changes_nothing() -> None:
    change = least_change(CLEAR, OXIDES, [wished("expansion", -1.0, 2.0)])
    assert change == pytest.approx(np.zeros(4), abs=1e-9)


def test_an_interval_is_met_at_its_nearer_end_as_an_independent_solver_meets_it() -> None:
    wishes = [wished("expansion", -9.0, -5.0), wished("annealing_point", 2.0, 6.0)]
    scales = np.array([one.close for one in wishes])
    low, high = (np.array([getattr(one, end) for one in wishes]) for end in ("low", "high"))

    def inside(x: np.ndarray) -> np.ndarray:
        got = values_after(CLEAR, OXIDES, x[None, :], wishes)[0]
        return np.concatenate(((got - low) / scales, (high - got) / scales))

    other = minimize(
        lambda x: float(x @ x),
        np.full(4, 0.01),
        method="SLSQP",
        constraints=[{"type": "eq", "fun": np.sum}, {"type": "ineq", "fun": inside}],
        options={"maxiter": 200, "ftol": 1e-10},
    )
    change = least_change(CLEAR, OXIDES, wishes)
    assert change.sum() == pytest.approx(0.0, abs=1e-4)
    assert inside(change).min() > -0.01
    assert np.linalg.norm(change) == pytest.approx(np.linalg.norm(other.x), rel=0.01)


def test_no_oxide_moves_further_than_allowed_or_below_nothing() -> None:
    change = least_change(CLEAR, OXIDES, [wished("expansion", -60.0, -50.0)], most=1.5)
    assert np.abs(change).max() <= 1.5 + 1e-9
    assert min(changed(CLEAR, OXIDES, change).weight(oxide) for oxide in OXIDES) >= 0.0
    none = least_change(CLEAR, ("MgO", "SiO2"), [wished("expansion", 5.0, 6.0)])
    assert none[0] >= 0.0  # there is no magnesia to take out


def test_a_measurement_is_carried_along() -> None:
    wish = wished("expansion", -4.0, -4.0)
    shifted = Wanted(wish.key, wish.low, wish.high, wish.close, shift=-2.0 * wish.close)
    plain, less = (least_change(CLEAR, OXIDES, [one]) for one in (wish, shifted))
    got = values_after(CLEAR, OXIDES, np.vstack((plain, less)), [shifted])[:, 0]
    assert got[0] == pytest.approx(wish.low - 2.0 * wish.close, abs=0.02 * wish.close)
    assert got[1] == pytest.approx(wish.low, abs=0.02 * wish.close)
