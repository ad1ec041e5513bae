"""Intervals beyond the edge of the data: nought is added inside, and ever more outside."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.composition.composition import Composition
from core.glass.open_data.reading import OXIDES, read_open_data
from core.glass.property_fit.coefficients import model
from core.glass.property_fit.domain import in_range
from core.glass.property_fit.extrapolation import lost_share
from core.glass.property_fit.fitted_points import weight_rows
from core.glass.property_fit.fitted_values import fitted_values
from core.glass.property_fit.fitted_viscosity import fitted_viscosity, point_values

CLEAR = {"SiO2": 72.0, "Na2O": 14.0, "CaO": 10.0, "MgO": 4.0}
ENDS = {
    "pure silica": {"SiO2": 100.0},
    "lead": {"SiO2": 20.0, "PbO": 80.0},
    "alumina": {"SiO2": 40.0, "Al2O3": 40.0, "Na2O": 15.0, "CaO": 5.0},
    "soda": {"SiO2": 40.0, "Na2O": 60.0},
    "no alkali": {"SiO2": 75.0, "CaO": 25.0},
}


def row_of(amounts):
    return weight_rows([Composition.from_percent(amounts)])


def everything(rows):
    return point_values(fitted_viscosity(rows)) | fitted_values(rows)


def half_widths(rows):
    """Upward; downward some end at what is possible. Of density, of the molar volume."""
    found = everything(rows)
    ends = {name: values.high - values.value for name, values in found.items()}
    density = found["density"]
    ends["density"] = density.value / density.low - 1.0
    return ends


def test_nothing_is_added_for_glasses_of_the_data_in_range():
    rows = read_open_data().weight_percent
    inside = in_range(rows)
    edge = model().known(rows[inside]).edge
    # Beside the variance of the coefficients and of laboratories, on which widths were set.
    for name, own in model().properties.items():
        added = (edge @ own.edge).max(axis=0)
        assert np.all(added <= 0.02 * np.diag(own.between)), name


@pytest.mark.parametrize("end", ENDS)
def test_intervals_grow_all_the_way_out(end):
    part = np.linspace(0.0, 1.0, 41)[:, None]
    rows = (1.0 - part) * row_of(CLEAR) + part * row_of(ENDS[end])
    inside = in_range(rows)
    assert inside[0]
    assert not inside[-1]
    out = int(np.flatnonzero(inside)[-1])
    known = model().known(rows)
    assert np.all(known.edge[: out + 1] == 0.0)
    added = np.sqrt(known.edge @ model().properties["viscosity"].edge)
    edge = int(np.flatnonzero(added[:, 0] > 0.0)[0])
    assert np.all(np.diff(added[edge:], axis=0) > 0.0)
    half = half_widths(rows)
    for name, own in half.items():
        assert own[-1] > own[edge], name
    for name in ("strain_point", "annealing_point", "softening_point"):
        assert np.all(np.diff(half[name][edge:]) > 0.0), name


def test_pure_silica_is_several_times_less_certain_than_window_glass():
    rows = np.concatenate([row_of(CLEAR), row_of({"SiO2": 100.0})])
    half = half_widths(rows)
    for name in ("strain_point", "annealing_point", "softening_point", "melting_point"):
        assert half[name][1] > 7.0 * half[name][0], name
    for name in ("expansion", "density", "liquidus"):
        assert half[name][1] > 3.0 * half[name][0], name


@given(
    amounts=st.dictionaries(
        st.sampled_from(OXIDES[1:]), st.floats(0.1, 60.0), min_size=1, max_size=5
    ),
    silica=st.floats(20.0, 80.0),
)
def test_variances_are_only_ever_added(amounts, silica):
    row = weight_rows([Composition.from_percent(_whole({"SiO2": silica, **amounts}))])
    edge = model().known(row).edge
    assert np.isfinite(edge).all()
    assert np.all(edge >= 0.0)


@pytest.mark.parametrize("oxide", ["Al2O3", "PbO", "Na2O", "SiO2"])
def test_no_step_where_the_data_end(oxide):
    added = np.linspace(0.0, 200.0, 4001)
    rows = np.repeat(row_of(CLEAR), len(added), axis=0)
    rows[:, OXIDES.index(oxide)] += added
    edge = model().known(rows).edge @ model().properties["viscosity"].edge
    deviation = np.sqrt(edge[:, 0] + model().properties["viscosity"].between[0, 0])
    # 0.05 in 100 of an oxide moves an end by little: 0.5 K where it is steepest.
    assert np.abs(np.diff(deviation)).max() < 0.5


def test_the_lost_share_begins_gently_and_ends_whole():
    known = np.linspace(1.0, 0.0, 1001)
    lost = lost_share(known)
    assert lost[0] == 0.0
    assert lost[-1] == pytest.approx(1.0)
    assert np.all(np.diff(lost) >= 0.0)
    assert np.abs(np.diff(lost)).max() < 3e-3


def _whole(amounts):
    total = sum(amounts.values())
    return {oxide: 100.0 * amount / total for oxide, amount in amounts.items()}
