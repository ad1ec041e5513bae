"""Bonded cylinders against three sources outside the code.

* A finite element solution written here: quadratic elements in radius, one common axial strain,
  minimum of the potential energy; it knows nothing of Lame's formulas.
* The thermal stress of a solid cylinder with a given radial temperature profile, Timoshenko S.,
  Goodier J.N. 1951, Theory of Elasticity, ch. 13 (art. 135), integrated numerically: a step in free
  strain is a step in temperature.
* Lame's thick cylinder under inner pressure, textbook value for b = 2a: hoop stress 5/3 p inside
  and 2/3 p outside (Timoshenko and Goodier, art. 26).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from core.joined.cylinders import Cylinders, casing_stress, cylinder_stress, interface_pressure
from core.joined.elastic_pair import Direction, Elastic

GAUSS, WEIGHT = np.polynomial.legendre.leggauss(4)


def _elasticity(youngs_modulus: float, poissons_ratio: float) -> np.ndarray:
    """Stress from strain, in the order radial, hoop, axial."""
    compliance = np.full((3, 3), -poissons_ratio)
    np.fill_diagonal(compliance, 1.0)
    return np.linalg.inv(compliance / youngs_modulus)


def _finite_elements(core, casing, a, b, misfit, each=40):
    """Radial displacement at nodes by minimum energy; returns (core axial, pressure, hoop at a)."""
    nodes = np.concatenate([np.linspace(0, a, 2 * each + 1), np.linspace(a, b, 2 * each + 1)[1:]])
    unknowns = len(nodes) + 1  # the last is the axial strain
    stiffness, load = np.zeros((unknowns, unknowns)), np.zeros(unknowns)
    for element in range(2 * each):
        index = [2 * element, 2 * element + 1, 2 * element + 2]
        inside = element < each
        law = _elasticity(*(core if inside else casing))
        free = np.full(3, 0.0 if inside else -misfit)
        half = 0.5 * (nodes[index[2]] - nodes[index[0]])
        for xi, weight in zip(GAUSS, WEIGHT, strict=True):
            shape = np.array([xi * (xi - 1) / 2, 1 - xi * xi, xi * (xi + 1) / 2])
            slope = np.array([xi - 0.5, -2 * xi, xi + 0.5]) / half
            r = shape @ nodes[index]
            strain = np.zeros((3, unknowns))
            strain[0, index], strain[1, index], strain[2, -1] = slope, shape / r, 1.0
            volume = weight * half * r
            stiffness += volume * strain.T @ law @ strain
            load += volume * strain.T @ law @ free
    kept = np.arange(1, unknowns)  # the axis does not move
    solution = np.zeros(unknowns)
    solution[kept] = np.linalg.solve(stiffness[np.ix_(kept, kept)], load[kept])
    at_join = solution[2 * each]
    core_strain = np.array([at_join / a, at_join / a, solution[-1]])
    core_stress = _elasticity(*core) @ core_strain
    hoop_strain, axial_strain = at_join / a + misfit, solution[-1] + misfit
    # Radial stress is the same on both sides of the join; hoop and axial follow from Hooke's law.
    e, nu = casing
    plane = np.linalg.solve(
        np.array([[1, -nu], [-nu, 1]]) / e,
        np.array([hoop_strain, axial_strain]) + nu * core_stress[0] / e,
    )
    return core_stress[2], -core_stress[0], plane[0]


@pytest.mark.parametrize(
    ("core", "casing", "a", "b"),
    [
        ((70e9, 0.22), (70e9, 0.22), 0.004, 0.006),
        ((58e9, 0.25), (74e9, 0.20), 0.010, 0.011),
        ((80e9, 0.15), (55e9, 0.30), 0.001, 0.010),
        ((60e9, 0.0), (60e9, 0.4), 0.003, 0.0045),
    ],
)
def test_against_finite_elements(core, casing, a, b):
    misfit = 2.3e-4
    axial, pressure, hoop = _finite_elements(core, casing, a, b, misfit)
    shape = Cylinders(a, b)
    got_pressure, got_axial = interface_pressure(Elastic(*core), Elastic(*casing), shape, misfit)
    assert got_pressure == pytest.approx(pressure, rel=1e-4)
    assert got_axial == pytest.approx(axial, rel=1e-4)
    _, got_hoop, _ = casing_stress(shape, got_pressure, got_axial, np.array([a]))
    assert got_hoop[0] == pytest.approx(hoop, rel=1e-4)


def test_equal_moduli_against_the_thermal_stress_integral():
    e, nu, a, b, misfit = 70e9, 0.23, 0.005, 0.008, 1e-4
    scale = e / (1 - nu)

    def free(r):
        return -misfit if r > a else 0.0

    whole = quad(lambda r: free(r) * r, 0, b, points=[a])[0]

    def radial(r):
        part = quad(lambda s: free(s) * s, 0, r, points=[min(a, r)])[0]
        return scale * (whole / b**2 - part / r**2)

    def hoop(r):
        part = quad(lambda s: free(s) * s, 0, r, points=[min(a, r)])[0]
        return scale * (whole / b**2 + part / r**2 - free(r))

    shape = Cylinders(a, b)
    body = Elastic(e, nu)
    pressure, core_axial = interface_pressure(body, body, shape, misfit)
    radii = np.array([0.0055, 0.0065, 0.0079])
    got_radial, got_hoop, got_axial = casing_stress(shape, pressure, core_axial, radii)
    assert got_radial == pytest.approx([radial(r) for r in radii], rel=1e-6)
    assert got_hoop == pytest.approx([hoop(r) for r in radii], rel=1e-6)
    assert got_axial == pytest.approx([scale * (2 * whole / b**2 + misfit)] * 3, rel=1e-6)
    assert -pressure == pytest.approx(radial(0.5 * a), rel=1e-6)
    assert core_axial == pytest.approx(scale * 2 * whole / b**2, rel=1e-6)


def test_lame_thick_cylinder_of_ratio_two():
    shape = Cylinders(0.01, 0.02)
    radial, hoop, _ = casing_stress(shape, 1.0, 0.0, np.array([0.01, 0.02]))
    assert radial == pytest.approx([-1.0, 0.0], abs=1e-12)
    assert hoop == pytest.approx([5 / 3, 2 / 3])


def test_a_thread_is_the_limit_of_a_thick_casing():
    """And with equal moduli P = E d/(2 (1 - nu)): Eshelby's cylinder, half of a sheet's stress."""
    core, body = Elastic(65e9, 0.24), Elastic(72e9, 0.21)
    thread = cylinder_stress(core, body, Cylinders(0.0005, float("inf")), 1e-4)
    thick = cylinder_stress(core, body, Cylinders(0.0005, 0.5), 1e-4)
    for one, other in zip(thread.core + thread.casing, thick.core + thick.casing, strict=True):
        assert one.value == pytest.approx(other.value, rel=1e-4, abs=50.0)
        assert one.direction is other.direction
    same = cylinder_stress(body, body, Cylinders(0.0005, float("inf")), 1e-4)
    radial = next(s for s in same.core if s.direction is Direction.RADIAL)
    assert radial.value == pytest.approx(-72e9 * 1e-4 / (2 * (1 - 0.21)))
