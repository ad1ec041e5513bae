"""Two layers against Timoshenko's bimetal.

Timoshenko S. 1925, Analysis of bi-metal thermostats, J. Opt. Soc. Am. 11, 233.
His formulas, written out here with his symbols: thicknesses a1, a2, m = a1/a2, n = E1/E2, h the
whole. They are for a narrow strip, so the modulus passed in is E. Also Stoney G.G. 1909, Proc. R.
Soc. A 82, 172, for a thin layer.
"""

from __future__ import annotations

import pytest

from core.joined.elastic_pair import Elastic
from core.joined.layers import Layers, layer_state, layer_stress


def _timoshenko_curvature(a1, a2, e1, e2, difference):
    h, m, n = a1 + a2, a1 / a2, e1 / e2
    return (
        6
        * difference
        * (1 + m) ** 2
        / (h * (3 * (1 + m) ** 2 + (1 + m * n) * (m * m + 1 / (m * n))))
    )


@pytest.mark.parametrize(
    ("a1", "a2", "e1", "e2"),
    [(0.001, 0.001, 70e9, 70e9), (0.001, 0.001, 200e9, 140e9), (0.003, 0.0005, 62e9, 75e9),
     (0.0004, 0.002, 90e9, 40e9)],
)  # fmt: skip
def test_curvature_is_timoshenkos(a1, a2, e1, e2):
    difference = 3e-4
    got = layer_state(e1, e2, Layers(a1, a2), difference).curvature
    assert got == pytest.approx(_timoshenko_curvature(a1, a2, e1, e2, difference), rel=1e-9)


def test_equal_halves():
    """His case of equal thickness and modulus: 1/rho = 3 d/(2 h), stress at the join E d/2."""
    state = layer_state(70e9, 70e9, Layers(0.002, 0.002), 2e-4)
    assert state.curvature == pytest.approx(1.5 * 2e-4 / 0.004)
    assert state.layer[1] == pytest.approx(70e9 * 2e-4 / 2)
    assert state.base[1] == pytest.approx(-70e9 * 2e-4 / 2)


def test_largest_stress_of_unequal_moduli():
    """His equation for the stress at the join of strip 1, a1 = a2 = h/2:

    sigma = (1/rho) [2/(h a1) (E1 I1 + E2 I2) + a1 E1/2].
    """
    a, e1, e2, difference = 0.0015, 190e9, 130e9, 2.5e-4
    h, inertia = 2 * a, a**3 / 12
    curvature = _timoshenko_curvature(a, a, e1, e2, difference)
    expected = curvature * (2 / (h * a) * (e1 + e2) * inertia + a * e1 / 2)
    state = layer_state(e1, e2, Layers(a, a), difference)
    assert abs(state.base[1]) == pytest.approx(expected)


def test_thin_layer_bends_as_stoney_has_it():
    base, layer, difference = 0.003, 3e-6, 1e-4
    state = layer_state(70e9, 60e9, Layers(base, layer), difference)
    stress = state.layer[1]
    assert state.curvature == pytest.approx(6 * stress * layer / (70e9 * base**2), rel=0.01)
    assert stress == pytest.approx(60e9 * difference, rel=0.01)


def test_sheets_strain_all_ways_alike():
    """On a very thick base held flat: E d/(1 - nu) in the layer (any text on coatings)."""
    body = Elastic(70e9, 0.22)
    shape = Layers(1.0, 0.0001, free_to_bend=False)
    stress = layer_stress(body, body, shape, 1e-4)
    assert stress.casing[0].value == pytest.approx(70e9 * 1e-4 / 0.78, rel=1e-3)
    assert stress.curvature == 0.0
