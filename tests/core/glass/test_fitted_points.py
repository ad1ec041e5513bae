"""What must hold of the fitted viscosity model whatever the composition."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.composition.composition import Basis, Composition
from core.glass.open_data.reading import OXIDES
from core.glass.property_fit.fitted_points import fitted_points, weight_rows

COLD_TO_HOT = (
    *("strain_point", "annealing_point", "softening_point"),
    *("working_point", "melting_point"),
)
minor = st.dictionaries(st.sampled_from(OXIDES[1:]), st.floats(0.0, 15.0), max_size=6)


def glass_of(others: dict[str, float], silica: float) -> Composition:
    amounts = {"SiO2": silica, **others}
    total = sum(amounts.values())
    return Composition.from_percent({o: 100.0 * w / total for o, w in amounts.items()})


@given(others=minor, silica=st.floats(45.0, 80.0))
def test_points_rise_from_strain_to_melting(others, silica):
    points = fitted_points(weight_rows([glass_of(others, silica)]))
    values = [float(points[name][0]) for name in COLD_TO_HOT]
    assert all(cold < hot for cold, hot in itertools.pairwise(values))


@given(others=minor, silica=st.floats(45.0, 80.0))
def test_mole_percent_entry_scale_and_order_do_not_matter(others, silica):
    glass = glass_of(others, silica)
    turned = dict(reversed(list(glass.mole_percent.items())))
    row = weight_rows([glass])
    same = weight_rows([Composition.from_percent(turned, Basis.MOLE)])
    for name, value in fitted_points(row).items():
        assert fitted_points(same)[name] == pytest.approx(value, abs=1e-6)
        assert fitted_points(3.0 * row)[name] == pytest.approx(value, abs=1e-6)


@given(others=minor, silica=st.floats(45.0, 80.0))
def test_a_little_lime_changes_the_points_a_little(others, silica):
    row = weight_rows([glass_of(others, silica)])
    moved = row.copy()
    moved[0, OXIDES.index("CaO")] += 0.001
    for name, value in fitted_points(row).items():
        assert abs(float((fitted_points(moved)[name] - value)[0])) < 1.0


def test_many_glasses_at_once_are_each_as_alone():
    rows = weight_rows([glass_of({"Na2O": float(n), "CaO": 10.0}, 72.0) for n in range(10, 18)])
    together = fitted_points(rows)["annealing_point"]
    alone = [float(fitted_points(rows[i : i + 1])["annealing_point"][0]) for i in range(len(rows))]
    assert together == pytest.approx(np.array(alone))
    assert np.all(np.diff(together) < 0)
