"""What a polariscope shows of known stress fields."""

import numpy as np
import pytest

from core.piece.piece import Geometry
from core.stress.mesh import node_places
from core.stress.retardation import slab_retardation, solid_retardation

COEFFICIENT = 2.62e-12
X = node_places(9)
STRESS = 1e6


def test_one_megapascal_edge_on_is_26_nanometres_a_centimetre():
    """By definition R = C sigma t, with 2.62e-12 1/Pa of float glass (Pilkington ATS-129, 2013)."""
    shown = slab_retardation(STRESS, COEFFICIENT, None)
    assert shown.value * 1e9 == pytest.approx(26.2)
    assert shown.per_length * 1e7 == pytest.approx(26.2)
    whole = slab_retardation(STRESS, COEFFICIENT, 0.12)
    assert whole.value == pytest.approx(12 * shown.value)
    assert whole.per_length == pytest.approx(shown.per_length)


def test_a_cylinder_shows_its_axial_stress_summed_along_the_light():
    """Forces across any plane cut along the axis balance, so only the axial stress is left.

    Annealing stress of a long cylinder (Timoshenko & Goodier 1951): axial 1 - 2 x^2, hoop
    (1 - 3 x^2)/2, radial (1 - x^2)/2; along the chord at distance y the axial one sums to
    2 a sqrt(1 - y^2) (1 - 2 y^2)/3... of which the middle, 2 a/3, is the most.
    """
    axial, hoop, radial = 1 - 2 * X**2, (1 - 3 * X**2) / 2, (1 - X**2) / 2
    fields = tuple(STRESS * f for f in (axial, hoop, radial))
    shown = solid_retardation(Geometry.CYLINDER, 0.010, X, fields, COEFFICIENT)
    assert shown.path == pytest.approx(0.020)
    assert shown.value == pytest.approx(COEFFICIENT * STRESS * 0.020 / 3, rel=1e-3)


def test_a_sphere_shows_nothing_through_its_middle():
    """Hoop 1 - 2 x^2, radial 1 - x^2: at distance y the chord sums -y^2 over its length."""
    hoop, radial = STRESS * (1 - 2 * X**2), STRESS * (1 - X**2)
    shown = solid_retardation(Geometry.SPHERE, 0.010, X, (hoop, hoop, radial), COEFFICIENT)
    # The most of 2 a y^2 sqrt(1 - y^2) is at y^2 = 2/3: 4 a/(3 sqrt 3).
    most = 4 * 0.010 / (3 * np.sqrt(3))
    assert shown.value == pytest.approx(-COEFFICIENT * STRESS * most, rel=5e-3)
    assert shown.path < 0.020


def test_no_stress_shows_nothing():
    none = (np.zeros(9),) * 3
    assert solid_retardation(Geometry.SPHERE, 0.01, X, none, COEFFICIENT).value == 0.0
    assert slab_retardation(0.0, COEFFICIENT, None).value == 0.0
