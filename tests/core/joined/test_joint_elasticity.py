"""Invariants of the stress between two glasses."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import GlassError, PieceError
from core.joined.cylinders import Cylinders, casing_stress, cylinder_stress, interface_pressure
from core.joined.elastic_pair import Elastic, peak_tension
from core.joined.layers import Layers, layer_state, layer_stress

bodies = st.builds(Elastic, st.floats(40e9, 110e9), st.floats(0.0, 0.35))
misfits = st.floats(-1e-3, 1e-3)
thicknesses = st.floats(1e-4, 0.05)


@given(core=bodies, casing=bodies, a=thicknesses, wall=thicknesses, misfit=misfits)
def test_cylinders_are_in_balance(core, casing, a, wall, misfit):
    shape = Cylinders(a, a + wall)
    pressure, axial = interface_pressure(core, casing, shape, misfit)
    # Gauss's rule in log r, in which 1/r^2 is smooth for any ratio of radii.
    nodes, weights = np.polynomial.legendre.leggauss(40)
    span = np.log1p(wall / a)
    radius = a * np.exp(0.5 * span * (nodes + 1))
    weights = weights * 0.5 * span * radius
    _, hoop, along = casing_stress(shape, pressure, axial, radius)
    scale = 1.0 + abs(axial) + abs(pressure)
    # Along the axis: core and casing pull against each other.
    pull = axial * np.pi * a**2 + float(np.sum(weights * 2 * np.pi * radius * along))
    assert abs(pull) < 1e-9 * scale
    # Across a half cut: pressure on the core against hoop stress of the casing.
    cut = float(np.sum(weights * hoop)) - pressure * a
    assert abs(cut) < 1e-6 * scale * a
    # In a slice of the casing: d(r sr)/dr = hoop.
    step = 1e-5 * radius[20]
    ends = casing_stress(shape, pressure, axial, np.array([radius[20] - step, radius[20] + step]))[
        0
    ]
    rise = ((radius[20] + step) * ends[1] - (radius[20] - step) * ends[0]) / (2 * step)
    assert rise == pytest.approx(hoop[20], rel=1e-3, abs=1e-4 * scale)
    outside = casing_stress(shape, pressure, axial, np.array([a + wall]))[0]
    assert outside[0] == pytest.approx(0.0, abs=1e-9 * scale * (1 + shape.area_ratio))


@given(core=bodies, casing=bodies, a=thicknesses, wall=thicknesses, misfit=st.floats(1e-6, 1e-3))
def test_a_casing_that_shrinks_more_is_in_tension(core, casing, a, wall, misfit):
    stress = cylinder_stress(core, casing, Cylinders(a, a + wall), misfit)
    assert peak_tension(stress.casing).value > 0
    assert peak_tension(stress.core).value < 0


@given(
    base=bodies,
    layer=bodies,
    shape=st.builds(Layers, thicknesses, thicknesses, st.booleans(), st.booleans()),
    misfit=misfits,
)
def test_layers_are_in_balance(base, layer, shape, misfit):
    h1, h2, both = shape.base, shape.layer, shape.both_faces
    m1, m2 = base.biaxial_modulus, layer.biaxial_modulus
    state = layer_state(m1, m2, shape, misfit)
    count = 2 if both else 1
    force = 0.5 * sum(state.base) * h1 + count * 0.5 * sum(state.layer) * h2
    scale = (abs(misfit) * (m1 * h1 + m2 * h2)) + 1e-12
    assert abs(force) < 1e-9 * scale
    if shape.bends:
        # Linear stress: moment about the join by Simpson's rule, which is exact for it.
        low, join = state.base
        high, joined = state.layer
        moment = h1 / 6 * (-h1 * low + 4 * (-h1 / 2) * 0.5 * (low + join)) + h2 / 6 * (
            h2 * high + 4 * (h2 / 2) * 0.5 * (high + joined)
        )
        assert abs(moment) < 1e-9 * scale * (h1 + h2)
        # No slip: the strain at the join is the same on both sides.
        assert join / m1 == pytest.approx(joined / m2 - misfit, abs=1e-12)


@given(core=bodies, casing=bodies, a=thicknesses, wall=thicknesses)
def test_equal_contraction_leaves_no_stress(core, casing, a, wall):
    cylinder = cylinder_stress(core, casing, Cylinders(a, a + wall), 0.0)
    layers = layer_stress(core, casing, Layers(a, wall), 0.0)
    for stress in (*cylinder.core, *cylinder.casing, *layers.core, *layers.casing):
        assert stress.value == 0.0


@given(
    core=bodies,
    casing=bodies,
    a=thicknesses,
    wall=thicknesses,
    misfit=misfits,
    more=st.floats(1.01, 5),
)
def test_stress_grows_in_proportion_to_the_misfit(core, casing, a, wall, misfit, more):
    for form in (
        lambda d: cylinder_stress(core, casing, Cylinders(a, a + wall), d),
        lambda d: layer_stress(core, casing, Layers(a, wall), d),
    ):
        small, large = form(misfit), form(more * misfit)
        for one, other in zip(
            (*small.core, *small.casing), (*large.core, *large.casing), strict=True
        ):
            assert other.value == pytest.approx(more * one.value, rel=1e-6, abs=1e-6)


@given(one=bodies, other=bodies, h1=thicknesses, h2=thicknesses, misfit=misfits)
def test_swapped_layers_mirror_each_other(one, other, h1, h2, misfit):
    """Turning the pair over changes who is called the base, nothing else."""
    state = layer_state(one.biaxial_modulus, other.biaxial_modulus, Layers(h1, h2), misfit)
    turned = layer_state(other.biaxial_modulus, one.biaxial_modulus, Layers(h2, h1), -misfit)
    scale = abs(misfit) * 1e12 + 1e-9
    assert turned.layer == pytest.approx(state.base, rel=1e-7, abs=1e-9 * scale)
    assert turned.base == pytest.approx(state.layer, rel=1e-7, abs=1e-9 * scale)
    assert turned.curvature == pytest.approx(-state.curvature, rel=1e-7, abs=1e-12)


@given(body=bodies, misfit=st.floats(1e-6, 1e-3))
def test_swapped_partners_mirror_the_sign_in_a_thin_layer(body, misfit):
    shape = Layers(0.01, 1e-6, free_to_bend=False)
    shrinks_more = layer_stress(body, body, shape, misfit).casing[0].value
    shrinks_less = layer_stress(body, body, shape, -misfit).casing[0].value
    assert shrinks_more == pytest.approx(-shrinks_less)
    assert shrinks_more == pytest.approx(body.biaxial_modulus * misfit, rel=1e-3)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Cylinders(0.0, 0.01), "core_radius"),
        (lambda: Cylinders(float("nan"), 0.01), "core_radius"),
        (lambda: Cylinders(0.01, 0.01), "outer_radius"),
        (lambda: Cylinders(0.01, float("nan")), "outer_radius"),
        (lambda: Layers(0.0, 0.01), "base"),
        (lambda: Layers(0.01, float("inf")), "layer"),
    ],
)
def test_impossible_shapes_are_refused(make, field):
    with pytest.raises(PieceError) as caught:
        make()
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("modulus", "ratio", "field"),
    [
        (0.0, 0.2, "youngs_modulus"),
        (float("nan"), 0.2, "youngs_modulus"),
        (7e10, 0.5, "poissons_ratio"),
    ],
)
def test_impossible_bodies_are_refused(modulus, ratio, field):
    with pytest.raises(GlassError) as caught:
        Elastic(modulus, ratio)
    assert caught.value.field == field
