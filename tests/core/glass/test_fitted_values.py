"""What must hold of the fitted expansion, density and other values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.composition.composition import Basis, Composition
from core.glass.open_data.reading import OXIDES
from core.glass.property_fit.coefficients import lower_end
from core.glass.property_fit.fitted_points import weight_rows
from core.glass.property_fit.fitted_values import fitted_values

minor = st.dictionaries(st.sampled_from(OXIDES[1:]), st.floats(0.0, 15.0), max_size=6)
silica_share = st.floats(45.0, 80.0)


def glass_of(others, silica):
    amounts = {"SiO2": silica, **others}
    total = sum(amounts.values())
    return Composition.from_percent({o: 100.0 * w / total for o, w in amounts.items()})


@given(others=minor, silica=silica_share)
def test_intervals_are_finite_and_hold_their_estimates(others, silica):
    for values in fitted_values(weight_rows([glass_of(others, silica)])).values():
        assert np.isfinite(values.low[0])
        assert values.low[0] < values.value[0] < values.high[0]


@given(others=minor, silica=silica_share)
def test_mole_percent_entry_scale_and_order_do_not_matter(others, silica):
    glass = glass_of(others, silica)
    turned = dict(reversed(list(glass.mole_percent.items())))
    row = weight_rows([glass])
    same = fitted_values(weight_rows([Composition.from_percent(turned, Basis.MOLE)]))
    scaled = fitted_values(2.5 * row)
    for name, values in fitted_values(row).items():
        assert same[name].value == pytest.approx(values.value, rel=1e-8)
        assert scaled[name].value == pytest.approx(values.value, rel=1e-8)


@given(others=minor, silica=silica_share, oxide=st.sampled_from(OXIDES))
def test_smooth_in_composition(others, silica, oxide):
    row = weight_rows([glass_of(others, silica)])
    steps = np.repeat(row, 5, axis=0)
    steps[:, OXIDES.index(oxide)] += 0.01 * np.arange(5)
    for values in fitted_values(steps).values():
        width = float((values.high - values.low)[0])
        for end in (values.value, values.low, values.high):
            assert np.abs(np.diff(end)).max() < 0.1 * width
            assert np.abs(np.diff(end, 2)).max() < 1e-3 * width


def test_known_directions():
    clear = {"SiO2": 72.0, "Na2O": 14.0, "CaO": 10.0, "MgO": 4.0}
    lead = {"SiO2": 56.0, "PbO": 30.0, "K2O": 12.0, "Na2O": 2.0}
    soda = {"SiO2": 68.0, "Na2O": 18.0, "CaO": 10.0, "MgO": 4.0}
    values = fitted_values(
        weight_rows([Composition.from_percent(amounts) for amounts in (clear, lead, soda)])
    )
    assert values["density"].value[1] > values["density"].value[0] + 400.0
    assert values["refractive_index"].value[1] > values["refractive_index"].value[0] + 0.02
    assert values["youngs_modulus"].value[1] < values["youngs_modulus"].value[0] - 5e9
    assert values["expansion"].value[2] > values["expansion"].value[0] + 5e-7
    # The mean from 20 °C rises with the range it is taken over.
    assert values["expansion"].value[0] < values["expansion_20_400"].value[0]


anything = st.dictionaries(st.sampled_from(OXIDES), st.floats(0.1, 100.0), min_size=1, max_size=4)


@given(amounts=anything)
def test_no_analysis_is_too_absurd_for_an_interval(amounts):
    row = np.zeros((1, len(OXIDES)))
    for oxide, amount in amounts.items():
        row[0, OXIDES.index(oxide)] = amount
    values = fitted_values(row)
    for name, found in values.items():
        assert np.isfinite([found.low[0], found.value[0], found.high[0]]).all()
        assert found.low[0] <= found.value[0] < found.high[0]
        if found.value[0] > 0.0:
            assert found.low[0] >= 0.0, name
    assert values["density"].low[0] > 0.0


def test_titania_and_fluorine_once_had_a_density_below_nought():
    # Half titania, two fifths fluorine: the molar volume is less certain than it is large.
    row = np.zeros((1, len(OXIDES)))
    for oxide, amount in {"TiO2": 50.0, "F": 41.0, "SiO2": 9.0}.items():
        row[0, OXIDES.index(oxide)] = amount
    density = fitted_values(row)["density"]
    assert 0.0 < density.low[0] <= density.value[0] < density.high[0] <= 5.0 * density.value[0] + 1


def test_a_lower_end_levels_off_smoothly_above_what_is_possible():
    half = np.linspace(0.01, 40.0, 4000)
    low = lower_end(np.full(half.shape, 11.0), half, 1.0)
    assert low[half <= 8.0] == pytest.approx(11.0 - half[half <= 8.0])
    assert np.all(np.diff(low) <= 0.0)
    assert np.all((low >= 1.0) & (low < 11.0))
    assert np.abs(np.diff(low, 2)).max() < 1e-4
    # A value that cannot be keeps an interval that holds it.
    impossible = np.array([1.0, 0.5, -3.0])
    assert np.array_equal(lower_end(impossible, np.full(3, 2.0), 1.0), impossible)
