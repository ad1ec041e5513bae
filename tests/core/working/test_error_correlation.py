"""Errors of two temperatures of one curve go together."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.glass.fitted_curve import FittedCurve, point_log_viscosity
from core.glass.library import find_glass
from core.glass.properties import viscosity_curve_of
from core.glass.property_fit.fitted_viscosity import conditioned, temperature_at
from core.glass.viscosity_curve import VftCurve
from core.working.joint_error import difference_error, error_correlation


def test_against_drawn_curves():
    """20,000 curves drawn from the covariance, each measured with scatter of its own.

    What a point's interval has beyond the curves' own spread is no other point's business, so it
    is drawn for each point apart; then working ranges scatter as reckoned.
    """
    curve = viscosity_curve_of(find_glass("harbour clear"))
    generator = np.random.default_rng(11)
    drawn = generator.multivariate_normal(curve.fitted.p[0], curve.fitted.covariance[0], 20_000)
    measured, alone = [], []
    for point in ("working_point", "softening_point"):
        one = temperature_at(point_log_viscosity(point), drawn)
        _, low, high = curve.points()[point]
        full = 0.5 * (high - low) / 1.645
        assert full > np.std(one)
        own = np.sqrt(full**2 - np.var(one))
        measured.append(one + generator.normal(0.0, own, len(one)))
        alone.append(0.5 * (high - low))
    together = 1.645 * float(np.std(measured[0] - measured[1]))
    correlation = error_correlation(curve, "working_point", "softening_point")
    assert difference_error(*alone, correlation) == pytest.approx(together, rel=0.03)
    assert correlation == pytest.approx(float(np.corrcoef(measured)[0, 1]), abs=0.03)
    assert together < 0.9 * float(np.hypot(*alone))


def test_measured_points_go_together_less():
    """What two measurements of one's own have settled, the analysis has no more say in."""
    glass = find_glass("harbour clear")
    plain = viscosity_curve_of(glass)
    curve = FittedCurve(
        conditioned(plain.fitted, [("working_point", 1240.0, 4.0), ("softening_point", 960.0, 4.0)])
    )
    names = ("working_point", "softening_point")
    assert error_correlation(curve, *names) < 0.5 * error_correlation(plain, *names)


def test_a_curve_without_covariance_claims_nothing():
    assert (
        error_correlation(VftCurve(-2.6, 4330.0, 520.0), "working_point", "softening_point") == 0.0
    )
    assert error_correlation(None, "working_point", "softening_point") == 0.0


@given(one=st.floats(0, 100), other=st.floats(0, 100), correlation=st.floats(0, 0.95))
def test_difference_error_lies_between_its_limits(one, other, correlation):
    got = difference_error(one, other, correlation)
    assert abs(one - other) - 1e-9 <= got <= np.hypot(one, other) + 1e-9
