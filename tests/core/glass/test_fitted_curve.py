"""The fitted curve of one glass: falls, turns round, and says where it ends."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.composition.composition import Basis, Composition
from core.errors import GlassError
from core.glass.fitted_curve import FittedCurve, point_log_viscosity
from core.glass.fixed_points import FIXED_POINTS
from core.glass.glass import Glass
from core.glass.library import shipped_glasses
from core.glass.properties import properties_of
from core.glass.property_fit.fitted_points import weight_rows
from core.glass.property_fit.fitted_values import fitted_values
from core.glass.property_fit.fitted_viscosity import POINTS, fitted_viscosity

SHIPPED = [glass.composition for glass in shipped_glasses().values() if glass.composition]
SODA_LIME = Composition.from_percent({"SiO2": 73, "Na2O": 15, "CaO": 12})
MINOR = ("Al2O3", "B2O3", "Na2O", "K2O", "CaO", "MgO", "BaO", "PbO", "Fe2O3", "MnO", "P2O5")


def curve_of(composition: Composition, *points: tuple[float, float]) -> FittedCurve:
    return FittedCurve(fitted_viscosity(weight_rows([composition])), points)


@pytest.mark.parametrize("composition", SHIPPED[::3], ids=str)
def test_temperature_and_viscosity_are_each_others_inverse(composition: Composition) -> None:
    curve = curve_of(composition)
    log = np.linspace(0.6, 15.0, 80)
    kelvin = curve.temperature(log)
    assert (np.diff(kelvin) < 0).all()
    assert curve.log_viscosity(kelvin) == pytest.approx(log, abs=1e-7)
    assert isinstance(curve.log_viscosity(900.0), float)
    assert isinstance(curve.temperature(12.0), float)


def test_points_are_those_of_the_curve() -> None:
    curve = curve_of(SODA_LIME)
    points = curve.points()
    assert list(points) == list(POINTS)
    for name, (value, low, high) in points.items():
        assert value == pytest.approx(curve.temperature(point_log_viscosity(name)))
        assert low < value < high


def test_a_pull_fades_beyond_the_measured_points_and_keeps_the_curve_falling() -> None:
    plain = curve_of(SODA_LIME)
    moved = curve_of(SODA_LIME, (12.0, plain.temperature(12.0) + 10.0))
    assert moved.temperature(12.0) == pytest.approx(plain.temperature(12.0) + 10.0)
    assert moved.temperature(9.0) == pytest.approx(plain.temperature(9.0))
    assert moved.temperature(10.5) == pytest.approx(plain.temperature(10.5) + 5.0)
    log = np.linspace(0.6, 15.9, 200)
    assert (np.diff(moved.temperature(log)) < 0).all()
    assert moved.log_viscosity(moved.temperature(log)) == pytest.approx(log, abs=1e-7)
    low, high = moved.interval(log)
    before_low, before_high = plain.interval(log)
    assert high - low == pytest.approx(before_high - before_low)
    assert ((low < moved.temperature(log)) & (moved.temperature(log) < high)).all()


def test_what_cannot_be_one_glass_or_lies_off_the_curve_is_refused() -> None:
    plain = curve_of(SODA_LIME)
    with pytest.raises(GlassError, match="cannot belong to one glass"):
        curve_of(SODA_LIME, (12.0, plain.temperature(12.0) + 200.0), (6.6, plain.temperature(6.6)))
    with pytest.raises(GlassError, match="thinner"):
        plain.temperature(0.2)
    with pytest.raises(GlassError, match="thinner"):
        plain.interval(np.array([0.2, 3.0]))


@settings(deadline=None, max_examples=30)
@given(
    st.dictionaries(st.sampled_from(MINOR), st.floats(0.5, 14.0), min_size=2, max_size=5),
    st.floats(45.0, 75.0),
)
def test_entry_by_mole_order_and_total_do_not_matter(others, silica) -> None:
    amounts = {"SiO2": silica, "Na2O": 8.0, **others}  # without alkali it is no studio's glass
    total = sum(amounts.values())
    by_weight = Composition.from_percent({o: 100 * a / total for o, a in amounts.items()})
    turned = dict(reversed(by_weight.mole_percent.items()))
    by_mole = Composition.from_percent(turned, Basis.MOLE)
    short = Composition.from_percent({o: 0.92 * a for o, a in by_weight.weight_percent.items()})
    one, two, three = (properties_of(Glass("x", c)) for c in (by_weight, by_mole, short))
    for name in (*(p.key for p in FIXED_POINTS), "expansion", "density", "youngs_modulus"):
        first = getattr(one, name)
        for other in (getattr(two, name), getattr(three, name)):
            ends = (other.value, other.low, other.high)
            for end, theirs in zip((first.value, first.low, first.high), ends, strict=True):
                assert (end is None) == (theirs is None)
                if end is not None:
                    assert end == pytest.approx(theirs, rel=1e-7)
        if first.low is not None:
            assert first.low < first.value < first.high


def test_values_of_every_shipped_glass_are_those_of_a_glass() -> None:
    # From hard borosilicate (33e-7 1/K, 2230 kg/m3, 1.474) to a lead-barium glass of antiquity.
    values = fitted_values(weight_rows(SHIPPED))
    for name, low, high in (
        ("expansion", 30e-7, 130e-7),
        ("density", 2150.0, 4200.0),
        ("youngs_modulus", 50e9, 90e9),
        ("poissons_ratio", 0.17, 0.28),
        ("refractive_index", 1.45, 1.75),
    ):
        assert (values[name].value > low).all(), name
        assert (values[name].value < high).all(), name
