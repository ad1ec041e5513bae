"""Permanent stress of constant-rate cooling against the closed form, and how it converges.

Source: a body cooled at a constant rate R carries a parabola of temperature, its centre above the
surface by dT = R a^2/(n kappa) (n = 2 slab, 4 cylinder, 6 sphere; Carslaw & Jaeger 1959). Glass
without structural relaxation is free of stress while it lasts; when it evens out, the elastic
stress of its negative stays (Timoshenko S., Goodier J.N. 1951, Theory of Elasticity; Kingery W.D.
1955, J. Am. Ceram. Soc. 38, 3): in a slab -2/3 of E alpha dT/(1 - nu) at the surface, +1/3 in the
middle.

The parabola is exact on any nodes, so convergence is shown with the constants of a real glass,
against :mod:`viscoelastic_collocation`: from 60 to 900 steps and 5 to 65 nodes the error falls from
some 1e-3 to less than 5e-5, with the number of steps to the power 1.4 to 1.9. (It is 1 where all is
below 1e-4 from the start: 30 K/h without structure.)
"""

from dataclasses import replace

import numpy as np
import pytest
from stress_glasses import CONSTANT, CONSTANT_DIFFUSIVITY, DGG_I, ELASTIC
from viscoelastic_collocation import EXPANSION_RATIO, Model

from core.glass.heat import thermal_diffusivity
from core.piece.piece import Geometry
from core.stress.accuracy import Accuracy
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.relaxation import SODA_LIME
from core.stress.section import StressPiece, StressSection, Surroundings
from core.units import ZERO_CELSIUS

NO_STRUCTURE = replace(SODA_LIME, liquid_expansion_ratio=1.0)
HELD = Surroundings(emissivity=0.0, convection=0.0, fixed=1e6)
"""The surface at the chamber's temperature."""
SOAK, ROOM = ZERO_CELSIUS + 575.0, ZERO_CELSIUS + 20.0
POWER = {Geometry.SLAB: 0, Geometry.CYLINDER: 1, Geometry.SPHERE: 2}


def cooled(rate_per_hour, depth):
    """Soaked for an hour, cooled at one rate to the room, and left till all is even."""
    ramp = (SOAK - ROOM) / rate_per_hour * 3600.0
    wait = 24 * 3600.0 + 30.0 * depth**2 / CONSTANT_DIFFUSIVITY
    return np.cumsum([0.0, 3600.0, ramp, wait]), np.array([SOAK, SOAK, ROOM, ROOM])


def section_of(geometry, depth, rate, properties=CONSTANT, accuracy=None, **more):
    piece = StressPiece("piece", properties, (StressSection("body", geometry, 2 * depth),), **more)
    return stresses((piece,), ChamberHistory(*cooled(rate, depth)), accuracy=accuracy)[0].sections[
        0
    ]


def closed_form(geometry, rate, depth, place):
    """Main, hoop and radial stress [Pa] left by cooling at a rate [K/h]."""
    drop = ELASTIC * rate / 3600.0 * depth**2 / CONSTANT_DIFFUSIVITY
    x2 = place**2
    if geometry is Geometry.SLAB:
        plane = drop / 2 * (1 / 3 - x2)
        return plane, plane, 0.0 * x2
    if geometry is Geometry.CYLINDER:
        return drop / 8 * (1 - 2 * x2), drop / 16 * (1 - 3 * x2), drop / 16 * (1 - x2)
    return drop / 15 * (1 - 2 * x2), drop / 15 * (1 - 2 * x2), drop / 15 * (1 - x2)


@pytest.mark.parametrize("geometry", list(Geometry))
@pytest.mark.parametrize(("rate", "depth"), [(1.0, 0.04), (20.0, 0.0125), (200.0, 0.003)])
def test_every_profile_is_the_closed_form(geometry, rate, depth):
    ours = section_of(geometry, depth, rate, relaxation=NO_STRUCTURE, surroundings=HELD)
    main, hoop, radial = closed_form(geometry, rate, depth, 1.0 - ours.depth / depth)
    scale = np.abs(main).max()
    assert ours.permanent == pytest.approx(main, abs=1e-3 * scale)
    assert ours.permanent_hoop == pytest.approx(hoop, abs=1e-3 * scale)
    assert ours.permanent_radial == pytest.approx(radial, abs=1e-3 * scale)


def test_a_slab_keeps_two_thirds_at_the_surface_and_one_third_in_the_middle():
    rate, depth = 30.0, 0.010
    drop = rate / 3600.0 * depth**2 / (2 * CONSTANT_DIFFUSIVITY)
    ours = section_of(Geometry.SLAB, depth, rate, relaxation=NO_STRUCTURE, surroundings=HELD)
    assert ours.permanent_surface == pytest.approx(-2 / 3 * ELASTIC * drop, rel=1e-3)
    assert ours.permanent_core == pytest.approx(1 / 3 * ELASTIC * drop, rel=1e-3)


def test_with_the_constants_of_float_glass_the_parabola_is_that_of_the_freezing_range():
    """The diffusivity the stress implies is the glass's own somewhere between 400 and 560 °C."""
    rate, depth = 7.5, 0.0125
    ours = section_of(Geometry.SLAB, depth, rate, DGG_I, relaxation=NO_STRUCTURE)
    implied = ELASTIC * rate / 3600.0 * depth**2 / (6 * ours.permanent_core)
    bounds = thermal_diffusivity(DGG_I, np.array([400.0, 560.0]) + ZERO_CELSIUS)
    assert bounds.min() < implied < bounds.max()


@pytest.mark.parametrize("geometry", list(Geometry))
@pytest.mark.parametrize("rate", [30.0, 300.0])
@pytest.mark.parametrize("structure", [False, True])
def test_steps_and_nodes_refined_converge_on_the_independent_solution(geometry, rate, structure):
    depth = 0.0125
    ratio = EXPANSION_RATIO if structure else 1.0
    model = Model(POWER[geometry], (depth,), DGG_I, ratio=ratio)
    exact = model.solve(*cooled(rate, depth), rtol=1e-8, atol=1e-7)
    relaxation = SODA_LIME if structure else NO_STRUCTURE
    found, steps = [], []
    for finer, nodes in enumerate((5, 9, 17, 33, 65, 65)):
        accuracy = Accuracy(nodes, 0.04 / 4.0**finer, 0.2 / 4.0**finer, 0.6 / 2.0**finer)
        ours = section_of(geometry, depth, rate, DGG_I, accuracy, relaxation=relaxation)
        expected = exact.profile(exact.main[..., -1], 1.0 - ours.depth / depth)[:, 0]
        found.append(np.abs(ours.permanent / 1e6 - expected).max() / np.abs(expected).max())
        steps.append(ours.time.size)
    assert found[1] <= 2e-3
    assert found[3] <= 5e-4
    assert found[5] <= 5e-5
    order = np.log(found[0] / found[5]) / np.log(steps[5] / steps[0])
    assert order >= 1.3 or found[0] <= 1e-4


@pytest.mark.parametrize(
    ("rate", "depth"), [(7.5, 0.0125), (60.0, 0.0125), (120.0, 0.00625), (1.875, 0.05)]
)
def test_stress_goes_with_rate_times_thickness_squared(rate, depth):
    """With structural relaxation too, as long as the whole section freezes at one rate."""
    per = [
        section_of(Geometry.SLAB, a, r, surroundings=HELD).permanent_core / (r * a**2)
        for r, a in ((rate, depth), (30.0, 0.0125))
    ]
    assert per[0] == pytest.approx(per[1], rel=2e-3)
    # With real constants and film the gradient frozen in drifts with the freezing temperature.
    real = [
        section_of(Geometry.SLAB, a, r, DGG_I).permanent_core / (r * a**2)
        for r, a in ((rate, depth), (30.0, 0.0125))
    ]
    assert real[0] == pytest.approx(real[1], rel=0.03)
