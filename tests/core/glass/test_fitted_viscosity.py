"""What must hold of the fitted viscosity model whatever the composition."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.composition.composition import Basis, Composition
from core.errors import GlassError
from core.glass.fitted_curve import point_log_viscosity
from core.glass.open_data.reading import OXIDES
from core.glass.property_fit.fitted_points import fitted_points, weight_rows
from core.glass.property_fit.fitted_viscosity import (
    POINTS,
    FittedViscosity,
    conditioned,
    curve_interval,
    fitted_viscosity,
    log_viscosity_at,
    point_interval,
    point_temperature,
    point_values,
    temperature_at,
)

COLD_TO_HOT = (
    *("strain_point", "annealing_point", "softening_point"),
    *("working_point", "temperature_log2", "melting_point"),
)
minor = st.dictionaries(st.sampled_from(OXIDES[1:]), st.floats(0.0, 15.0), max_size=6)
silica_share = st.floats(45.0, 80.0)
anything = st.tuples(
    *(st.floats(-500.0, 3000.0), st.floats(-500.0, 3000.0), st.floats(-5.0, 20.0)),
    st.floats(-2.0, 2.0),
)


def glass_of(others, silica):
    amounts = {"SiO2": silica, **others}
    total = sum(amounts.values())
    return Composition.from_percent({o: 100.0 * w / total for o, w in amounts.items()})


@given(others=minor, silica=silica_share)
def test_points_rise_from_strain_to_melting(others, silica):
    points = fitted_points(weight_rows([glass_of(others, silica)]))
    values = [float(points[name][0]) for name in COLD_TO_HOT]
    assert all(cold < hot for cold, hot in itertools.pairwise(values))


@given(others=minor, silica=silica_share)
def test_intervals_are_finite_and_hold_their_estimates(others, silica):
    fitted = fitted_viscosity(weight_rows([glass_of(others, silica)]))
    for point, values in point_values(fitted).items():
        assert values.low[0] < values.value[0] < values.high[0]
        assert values.value == pytest.approx(point_temperature(point, fitted.p))
        low, high = point_interval(point, fitted)
        assert (low[0], high[0]) == pytest.approx((values.low[0], values.high[0]))
    levels = np.linspace(0.5, 16.0, 32)
    low, high = curve_interval(levels, fitted)
    middle = temperature_at(levels, fitted.p)
    assert np.isfinite(low).all()
    assert np.all((low < middle) & (middle < high))


@given(others=minor, silica=silica_share)
def test_mole_percent_entry_scale_and_order_do_not_matter(others, silica):
    glass = glass_of(others, silica)
    turned = dict(reversed(list(glass.mole_percent.items())))
    row = weight_rows([glass])
    same = weight_rows([Composition.from_percent(turned, Basis.MOLE)])
    for name, value in fitted_points(row).items():
        assert fitted_points(same)[name] == pytest.approx(value, abs=1e-6)
        assert fitted_points(3.0 * row)[name] == pytest.approx(value, abs=1e-6)


@given(others=minor, silica=silica_share, oxide=st.sampled_from(OXIDES))
def test_smooth_in_composition(others, silica, oxide):
    row = weight_rows([glass_of(others, silica)])
    steps = np.repeat(row, 5, axis=0)
    steps[:, OXIDES.index(oxide)] += 0.01 * np.arange(5)
    for values in point_values(fitted_viscosity(steps)).values():
        for end in (values.value, values.low, values.high):
            first = np.diff(end)
            # 0.01 wt% moves a point by little, and the next 0.01 wt% by about as much again.
            assert np.abs(first).max() < 5.0
            assert np.abs(np.diff(first)).max() < 0.02 + 0.1 * np.abs(first).max()


@given(p=anything)
def test_curves_fall_for_any_numbers_and_turn_back(p):
    log = np.linspace(0.5, 16.0, 200)
    numbers = np.array(p)
    temperature = temperature_at(log, numbers)
    assert np.all(np.diff(temperature) < 0.0)
    if p[1] > 50.0:  # flatter curves have no digits left to turn back by
        assert log_viscosity_at(temperature, numbers) == pytest.approx(log, abs=1e-6)


def test_many_glasses_at_once_are_each_as_alone():
    rows = weight_rows([glass_of({"Na2O": float(n), "CaO": 10.0}, 72.0) for n in range(10, 18)])
    together = fitted_points(rows)["annealing_point"]
    alone = [float(fitted_points(rows[i : i + 1])["annealing_point"][0]) for i in range(len(rows))]
    assert together == pytest.approx(np.array(alone))
    assert np.all(np.diff(together) < 0)


def test_interval_widens_away_from_the_data():
    usual = {"SiO2": 72.0, "Na2O": 14.0, "CaO": 10.0, "MgO": 4.0}
    odd = {"SiO2": 50.0, "Na2O": 4.0, "B2O3": 15.0, "P2O5": 10.0, "SnO2": 11.0, "TiO2": 10.0}
    rows = weight_rows([Composition.from_percent(usual), Composition.from_percent(odd)])
    for values in point_values(fitted_viscosity(rows)).values():
        near, far = values.high - values.low
        assert far > 1.3 * near


def test_the_band_along_the_curve_meets_the_intervals_of_the_points():
    lead = {"SiO2": 56.0, "PbO": 30.0, "K2O": 12.0, "Na2O": 2.0}
    rows = weight_rows(
        [glass_of({"Na2O": 14.0, "CaO": 10.0}, 72.0), Composition.from_percent(lead)]
    )
    fitted = fitted_viscosity(rows)
    names = [name for name in POINTS if name != "glass_transition"]  # of other methods' scatter
    low, high = curve_interval(np.array([point_log_viscosity(name) for name in names]), fitted)
    for at, name in enumerate(names):
        own_low, own_high = point_interval(name, fitted)
        assert low[:, at] == pytest.approx(own_low)
        assert high[:, at] == pytest.approx(own_high)


def test_the_band_along_the_curve_has_no_steps():
    fitted = fitted_viscosity(weight_rows([glass_of({"Na2O": 14.0, "CaO": 10.0}, 72.0)]))
    levels = np.linspace(0.5, 16.0, 1551)
    low, high = curve_interval(levels, fitted)
    width = (high - low)[0]
    assert np.abs(np.diff(width)).max() < 0.02 * width.max()
    assert np.abs(np.diff(width, 2)).max() < 2e-3 * width.max()


measurement = st.tuples(
    st.sampled_from([*POINTS, 12.0, 7.6, 4.0, 1.5]), st.floats(-60.0, 60.0), st.floats(0.5, 40.0)
)


@given(others=minor, silica=silica_share, taken=st.lists(measurement, min_size=1, max_size=4))
def test_measurements_never_widen_an_interval(others, silica, taken):
    fitted = fitted_viscosity(weight_rows([glass_of(others, silica)]))
    levels = np.linspace(1.0, 14.0, 14)
    measured = []
    before = fitted
    for at, off, error in taken:
        level = (
            point_temperature(at, fitted.p) if isinstance(at, str) else temperature_at(at, fitted.p)
        )
        measured.append((at, float(level[0]) + off, error))
        after = conditioned(fitted, measured)
        # From the estimate up; downward intervals end at absolute zero at the latest.
        for half in (
            lambda f: curve_interval(levels, f)[1] - temperature_at(levels, f.p),
            lambda f: point_interval("strain_point", f)[1] - point_temperature("strain_point", f.p),
        ):
            assert np.all(half(after) <= half(before) * (1.0 + 1e-9))
        before = after


def test_measured_points_draw_the_curve_to_them():
    fitted = fitted_viscosity(weight_rows([glass_of({"Na2O": 14.0, "CaO": 10.0}, 72.0)]))
    annealing = float(point_temperature("annealing_point", fitted.p)[0])
    softening = float(point_temperature("softening_point", fitted.p)[0])
    own = conditioned(
        fitted,
        [("annealing_point", annealing + 12.0, 1.0), ("softening_point", softening + 9.0, 1.0)],
    )
    assert point_temperature("annealing_point", own.p)[0] == pytest.approx(
        annealing + 12.0, abs=2.0
    )
    assert point_temperature("softening_point", own.p)[0] == pytest.approx(softening + 9.0, abs=2.0)
    # A vague measurement moves it little, none not at all.
    vague = conditioned(fitted, [("annealing_point", annealing + 12.0, 60.0)])
    assert 0.0 < point_temperature("annealing_point", vague.p)[0] - annealing < 3.0
    assert conditioned(fitted, []) is fitted


@pytest.mark.parametrize(
    "measured",
    [
        [("annealing_point", float("nan"), 2.0)],
        [("annealing_point", 800.0, 0.0)],
        [(12.0, 800.0, float("inf"))],
        [(17.0, 800.0, 2.0)],
        [(0.2, 1800.0, 2.0)],
        [(float("nan"), 1800.0, 2.0)],
    ],
)
def test_impossible_measurements_are_refused(measured):
    fitted = fitted_viscosity(weight_rows([glass_of({"Na2O": 14.0, "CaO": 10.0}, 72.0)]))
    assert isinstance(fitted, FittedViscosity)
    with pytest.raises(GlassError):
        conditioned(fitted, measured)
