"""Stress of a parabolic temperature profile, integrated from the equations of thermoelasticity.

Source: Timoshenko S., Goodier J.N. 1951, Theory of Elasticity, 2nd ed., McGraw-Hill, chapter on
thermal stress (equations from memory; each fulfils equilibrium and leaves the surface free, which
is checked here too). The integrals are done by scipy.integrate.quad, the two-bar balance of wall
and base by numpy.linalg.solve; the factors 1/6, 1/8, 1/15 ... of the core package are not used.
"""

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.sparse import diags_array

from core.glass.glass import Glass, MeasuredPoints
from core.glass.heat import conductivity, heat_capacity
from core.glass.properties import properties_of
from core.piece import cooling_stress, lag
from core.piece.piece import CooledFrom, Geometry, Piece, Section, Shape
from core.piece.response import PieceResponse
from core.piece.surface import surface_coefficient

KAPPA = np.asarray(4.8e-7)
RADIUS = 0.03
RATE = 12.0 / 3600
MODULUS = 0.85e6
"""E alpha/(1 - nu) [Pa/K]."""
# h a^2/(n kappa): drop from the centre to the surface, by Fourier's equation in n/2 dimensions.
DROP = {Geometry.SLAB: 2, Geometry.CYLINDER: 4, Geometry.SPHERE: 6}


def temperature(geometry: Geometry, at: float) -> float:
    drop = RATE * RADIUS**2 / (DROP[geometry] * float(KAPPA))
    return drop * (1.0 - (at / RADIUS) ** 2)


def slab(at: float) -> float:
    """In-plane stress of a slab free to stretch, symmetric about its middle."""
    mean = quad(lambda z: temperature(Geometry.SLAB, z), 0, RADIUS)[0] / RADIUS
    return MODULUS * (mean - temperature(Geometry.SLAB, at))


def cylinder_axial(at: float) -> float:
    """Axial stress of a long cylinder with free ends."""
    moment = quad(lambda r: temperature(Geometry.CYLINDER, r) * r, 0, RADIUS)[0]
    return MODULUS * (2 * moment / RADIUS**2 - temperature(Geometry.CYLINDER, at))


def cylinder_hoop(at: float) -> float:
    inner = quad(lambda r: temperature(Geometry.CYLINDER, r) * r, 0, at)[0] / at**2
    whole = quad(lambda r: temperature(Geometry.CYLINDER, r) * r, 0, RADIUS)[0] / RADIUS**2
    return MODULUS * (whole + inner - temperature(Geometry.CYLINDER, at))


def sphere_hoop(at: float) -> float:
    inner = quad(lambda r: temperature(Geometry.SPHERE, r) * r**2, 0, at)[0] / at**3
    whole = quad(lambda r: temperature(Geometry.SPHERE, r) * r**2, 0, RADIUS)[0] / RADIUS**3
    return MODULUS * (2 * whole + inner - temperature(Geometry.SPHERE, at))


def sphere_radial(at: float) -> float:
    inner = quad(lambda r: temperature(Geometry.SPHERE, r) * r**2, 0, at)[0] / at**3
    whole = quad(lambda r: temperature(Geometry.SPHERE, r) * r**2, 0, RADIUS)[0] / RADIUS**3
    return 2 * MODULUS * (whole - inner)


STRESSES = {
    Geometry.SLAB: (slab,),
    Geometry.CYLINDER: (cylinder_axial, cylinder_hoop),
    Geometry.SPHERE: (sphere_hoop, sphere_radial),
}
NEARLY_CENTRE = 1e-3 * RADIUS


@pytest.mark.parametrize("geometry", list(Geometry))
def test_core_and_skin_stress_are_the_largest_of_the_integrated_ones(geometry):
    """While it cools the skin pulls and the core is pressed; left for good it is the reverse."""
    section = Section("body", geometry, 2 * RADIUS, RADIUS)
    core = max(-stress(NEARLY_CENTRE) for stress in STRESSES[geometry])
    skin = max(stress(RADIUS) for stress in STRESSES[geometry])
    ours = RATE * cooling_stress.core_stress_per_rate(section, KAPPA, MODULUS)
    assert float(ours) == pytest.approx(core, rel=1e-4)
    ours = RATE * cooling_stress.skin_stress_per_rate(section, KAPPA, MODULUS)
    assert float(ours) == pytest.approx(skin, rel=1e-4)


@pytest.mark.parametrize("geometry", list(Geometry))
def test_the_lags_are_those_of_the_same_profile(geometry):
    section = Section("body", geometry, 2 * RADIUS, RADIUS)
    power = {Geometry.SLAB: 0, Geometry.CYLINDER: 1, Geometry.SPHERE: 2}[geometry]
    mean = (power + 1) * quad(lambda x: temperature(geometry, x) * x**power, 0, RADIUS)[0]
    assert float(RATE * lag.mean_lag_time(section, KAPPA)) == pytest.approx(
        mean / RADIUS ** (power + 1)
    )
    assert float(RATE * lag.centre_lag_time(section, KAPPA)) == pytest.approx(
        temperature(geometry, 0.0)
    )


def test_the_integrated_stresses_balance():
    """No net force over a cut, a free surface, the same in all directions at a sphere's centre."""
    assert quad(slab, 0, RADIUS)[0] == pytest.approx(0, abs=1e-6 * MODULUS * RADIUS)
    axial = quad(lambda r: cylinder_axial(r) * r, 0, RADIUS)[0]
    assert axial == pytest.approx(0, abs=1e-6 * MODULUS * RADIUS**2)
    assert sphere_radial(RADIUS) == pytest.approx(0, abs=1e-6 * MODULUS)
    assert sphere_radial(NEARLY_CENTRE) == pytest.approx(sphere_hoop(NEARLY_CENTRE), rel=1e-4)


@pytest.mark.parametrize(("wall", "base"), [(0.004, 0.022), (0.006, 0.006), (0.012, 0.005)])
def test_wall_and_base_share_one_strain_and_balance_in_force(wall, base):
    """Unknowns: stress in wall, stress in base, common strain less the wall's free one."""
    hotter = 3.0  # the base, by this many kelvin; strains times E/(1 - nu) are stresses
    system = np.array([[1.0, 0.0, -1.0], [0.0, 1.0, -1.0], [wall, base, 0.0]])
    in_wall, in_base, _ = np.linalg.solve(system, [0.0, -MODULUS * hotter, 0.0])
    one = Section("wall", Geometry.SLAB, wall, wall / 2)
    other = Section("base", Geometry.SLAB, base, base / 2)
    ours = cooling_stress.joint_stress_per_rate(one, other, np.asarray(hotter), MODULUS)
    assert float(ours) == pytest.approx(max(abs(in_wall), abs(in_base)))


def mean_behind_chamber(glass, length: float, rate: float, start: float, end: float) -> float:
    """Mean of a slab behind a chamber falling at a rate, by scipy's BDF on the method of lines."""
    nodes = 20
    step = length / nodes
    density = glass.density.value
    tridiagonal = diags_array([1.0, 1.0, 1.0], offsets=[-1, 0, 1], shape=(nodes, nodes))

    def slope(time, kelvin):
        chamber = start - rate * time
        flux = np.zeros(nodes + 1)
        between = 0.5 * (kelvin[1:] + kelvin[:-1])
        flux[1:-1] = conductivity(glass, between) * np.diff(kelvin) / step
        outer = kelvin[-1:]
        film = surface_coefficient(0.5 * (outer + chamber))
        resistance = 1.0 / film + 0.5 * step / conductivity(glass, outer)
        flux[-1] = ((chamber - outer) / resistance)[0]
        return np.diff(flux) / step / (density * heat_capacity(glass, kelvin))

    duration = (start - end) / rate
    solved = solve_ivp(
        slope, (0.0, duration), np.full(nodes, start), method="BDF", rtol=1e-7, atol=1e-7,
        t_eval=[duration], jac_sparsity=tridiagonal,
    )  # fmt: skip
    return float(solved.y[:, -1].mean()) - end


@pytest.mark.parametrize(("wall", "base", "sides"), [(3.0, 12.0, "one"), (5.0, 24.0, "both")])
def test_base_trails_the_wall_as_in_the_heat_equation(wall, base, sides):
    """Conduction and film of both parts together, with the temperature-dependent constants."""
    glass = properties_of(
        Glass("test", measured=MeasuredPoints(748.15, 788.15, expansion=95e-7, source="invented"))
    )
    vessel = Piece(
        "vessel", 1, Shape.VESSEL, "test",
        wall_thickness=wall / 1000, base_thickness=base / 1000,
        cooled_from=CooledFrom.ONE, base_cooled_from=CooledFrom(sides),
    )  # fmt: skip
    response = PieceResponse(vessel, glass)
    joint = response.joint(np.asarray(748.15))
    assert joint is not None
    rate = 15.0 / 3600
    in_wall, in_base = (
        mean_behind_chamber(glass, section.conduction_length, rate, 793.15, 748.15)
        for section in vessel.sections()
    )
    thick, thin = max(wall, base), min(wall, base)
    expected = response.stress_modulus * (in_base - in_wall) * thick / (thick + thin)
    # 3 %: the constants are taken at the chamber's temperature, the piece is a few kelvin hotter.
    assert float(joint.per_rate) * rate == pytest.approx(expected, rel=0.03)
