"""Errors of two temperatures of one curve go together."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.glass.library import find_glass
from core.glass.properties import viscosity_curve_of
from core.glass.property_fit.fitted_viscosity import temperature_at
from core.glass.viscosity_curve import VftCurve
from core.working.joint_error import difference_error, error_correlation


def test_against_drawn_curves():
    """4,000 curves drawn from the covariance: their working ranges scatter as reckoned."""
    curve = viscosity_curve_of(find_glass("harbour clear"))
    drawn = np.random.default_rng(11).multivariate_normal(
        curve.fitted.p[0], curve.fitted.covariance[0], 4000
    )
    hot, cold = (temperature_at(log, drawn) for log in (3.0, 6.6))
    alone = [1.645 * float(np.std(one)) for one in (hot, cold)]
    together = 1.645 * float(np.std(hot - cold))
    correlation = error_correlation(curve, 3.0, 6.6)
    assert 0.3 < correlation < 0.95
    assert difference_error(*alone, correlation) == pytest.approx(together, rel=0.15)
    assert together < 0.7 * float(np.hypot(*alone))


def test_a_curve_without_covariance_claims_nothing():
    assert error_correlation(VftCurve(-2.6, 4330.0, 520.0), 3.0, 6.6) == 0.0
    assert error_correlation(None, 3.0, 6.6) == 0.0


@given(one=st.floats(0, 100), other=st.floats(0, 100), correlation=st.floats(0, 0.95))
def test_difference_error_lies_between_its_limits(one, other, correlation):
    got = difference_error(one, other, correlation)
    assert abs(one - other) - 1e-9 <= got <= np.hypot(one, other) + 1e-9
