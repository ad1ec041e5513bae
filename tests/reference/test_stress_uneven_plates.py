"""Plates and walls that lose heat unevenly: the stress engine against an independent solution.

Source: :mod:`viscoelastic_plate` (collocation through the whole thickness, BDF of
scipy.integrate.solve_ivp). Agreement asked: 1 % of the greatest stress.
"""

import numpy as np
import pytest
from stress_glasses import DGG_I
from viscoelastic_plate import Plate

from core.piece.piece import Geometry
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.section import Faces, Shelf, StressPiece, StressSection
from core.units import ZERO_CELSIUS

HOURS = np.array([0.0, 1.0, 4.0, 6.0, 8.0, 11.0, 12.0, 40.0])
CELSIUS = np.array([552.0, 552.0, 480.0, 380.0, 200.0, 60.0, 20.0, 20.0])
TIME, CHAMBER = HOURS * 3600.0, CELSIUS + ZERO_CELSIUS
SHELF = Shelf(resistance=0.002, heat_content=20e3)

# Faces, whether it may bow, inner radius, shelf, of a thickness.
CASES = {
    "insulated": (0.010, Faces.OUTER, False, None, None),
    "bows": (0.010, Faces.OUTER, True, None, None),
    "round": (0.008, Faces.OUTER, False, 0.010, None),
    "shelf": (0.020, Faces.SHELF, False, None, SHELF),
    "shelf-bows": (0.015, Faces.SHELF, True, None, SHELF),
}


def independent(name, nodes=8, at=None):
    thickness, _, bows, radius, shelf = CASES[name]
    behind = None if shelf is None else (shelf.resistance, shelf.heat_content)
    plate = Plate(0, (thickness,), DGG_I, nodes=nodes, bows=bows, inner_radius=radius, shelf=behind)
    return plate.solve(TIME, CHAMBER, at=at)


@pytest.fixture(scope="module", params=CASES)
def both(request):
    thickness, faces, bows, radius, shelf = CASES[request.param]
    section = StressSection(
        "wall", Geometry.SLAB if radius is None else Geometry.CYLINDER, thickness,
        faces=faces, shelf=shelf, may_bend=bows, curvature_radius=radius,
    )  # fmt: skip
    piece = StressPiece("piece", DGG_I, (section,))
    ours = stresses((piece,), ChamberHistory(TIME, CHAMBER))[0].sections[0]
    other = independent(request.param, at=ours.time)
    s = other.model.s
    vander = np.polynomial.legendre.legvander(2.0 * s - 1.0, s.size - 1)
    place = 1.0 - ours.depth / thickness
    at = np.polynomial.legendre.legvander(2.0 * place - 1.0, s.size - 1) @ np.linalg.inv(vander)
    return ours, at @ other.main[:, 0], at @ other.temperature[:, 0]


@pytest.mark.parametrize("name", ["bows", "shelf"])
def test_the_independent_solution_has_converged(name):
    few, many = independent(name), independent(name, nodes=11)
    peak = np.abs(many.main).max()
    for face in (0, -1):
        assert few.main[face, 0, -1] == pytest.approx(many.main[face, 0, -1], abs=1e-3 * peak)


def test_temperature_at_every_node_and_step(both):
    ours, _, temperature = both
    across = np.ptp(temperature, axis=0).max()
    assert np.abs(ours.temperature.T - temperature).max() <= 0.01 * across


def test_stress_at_every_node_and_step(both):
    ours, stress, _ = both
    peak = np.abs(stress).max()
    assert np.abs(ours.stress.T / 1e6 - stress).max() <= 0.01 * peak


def test_permanent_stress(both):
    ours, stress, _ = both
    peak = np.abs(stress[:, -1]).max()
    assert ours.permanent / 1e6 == pytest.approx(stress[:, -1], abs=0.01 * peak)
