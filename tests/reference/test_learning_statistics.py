"""Shares, logistic curves and trends against scipy's own statistics.

Peers: scipy.stats.binomtest (Wilson 1927), scipy.optimize.minimize on Firth's (1993) penalised
likelihood written out, scipy.stats.linregress.
"""

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.special import expit
from scipy.stats import binomtest, linregress
from scipy.stats import t as student

from core.learning.proportion import LEVEL, logistic_fit, share_of
from core.learning.trend import line_through


@pytest.mark.parametrize(("some", "many"), [(0, 7), (1, 9), (5, 12), (40, 90), (12, 12)])
def test_wilson_interval(some, many):
    found = share_of(some, many)
    peer = binomtest(some, many).proportion_ci(LEVEL, "wilson")
    assert found.low == pytest.approx(peer.low, abs=1e-12)
    assert found.high == pytest.approx(peer.high, abs=1e-12)


SHARES = [
    # Overlapping, then wholly apart: there plain likelihood runs off to infinity.
    ([0.3, 0.5, 0.8, 1.1, 1.4, 2.0], [0, 1, 2, 4, 6, 8], [10, 12, 9, 9, 8, 9]),
    ([0.2, 0.4, 0.6, 1.2, 1.5, 1.9], [0, 0, 0, 5, 4, 6], [6, 5, 8, 5, 4, 6]),
]


@pytest.mark.parametrize(("x", "some", "many"), SHARES)
def test_logistic_curve_maximises_firths_likelihood(x, some, many):
    x, some, many = (np.array(values, dtype=float) for values in (x, some, many))
    found = logistic_fit(x, some, many)
    assert found is not None

    def loss(theta):
        p = expit(theta[0] + theta[1] * x)
        weight = many * p * (1 - p)
        design = np.stack((np.ones_like(x), x), axis=1)
        penalty = 0.5 * np.linalg.slogdet(design.T @ (weight[:, None] * design))[1]
        likelihood = (some * np.log(p) + (many - some) * np.log1p(-p)).sum()
        return -(likelihood + penalty)

    peer = minimize(loss, [0.0, 0.0], method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12})
    assert found.a == pytest.approx(peer.x[0], abs=2e-5)
    assert found.b == pytest.approx(peer.x[1], abs=2e-5)
    assert found.rises


def test_a_trend_of_equally_sure_nights_is_ordinary_regression():
    rng = np.random.default_rng(11)
    time = np.sort(rng.uniform(0, 3e7, 14))
    value = 9.2 - 2e-8 * time + rng.normal(0, 0.1, 14)
    found = line_through(time, value, np.zeros(14))
    peer = linregress(time, value)
    assert found is not None
    assert found.slope == pytest.approx(peer.slope, rel=1e-9)
    half = student.ppf(0.5 + LEVEL / 2, 12) * peer.stderr
    assert (found.low, found.high) == pytest.approx((peer.slope - half, peer.slope + half))
    assert found.at(time) == pytest.approx(peer.intercept + peer.slope * time)


def test_intervals_of_a_trend_hold_the_truth_nine_times_in_ten():
    """Simulated: nights with errors of their own and a scatter between them."""
    rng = np.random.default_rng(4)
    held = 0
    for _ in range(400):
        time = np.sort(rng.uniform(0, 1.0, 10))
        error = rng.uniform(0.02, 0.3, 10)
        value = 2.0 + 0.5 * time + rng.normal(0, 0.15, 10) + rng.normal(0, error)
        found = line_through(time, value, error)
        assert found is not None
        held += found.low <= 0.5 <= found.high
    # Four standard errors of a binomial about 0.9.
    assert held / 400 == pytest.approx(0.9, abs=0.06)
