"""Limits in which the stress of cooling glass is known exactly.

* Rigid: thermoelastic stress of the temperatures of the moment, nothing left (Timoshenko S.,
  Goodier J.N. 1951, Theory of Elasticity, thermal stress).
* Liquid: a plate between whose layers expansion differs by a rate d flows, and carries 6 eta d in
  its plane (Trouton's viscosity of a sheet stretched in two directions; Scherer G.W. 1986,
  Relaxation in Glass and Composites; from memory, derived again below).
* Frozen at one temperature: each layer joins the rigid ones, free of stress, as it passes that
  temperature (instant-freezing theory of tempering: Bartenev G.M. 1948, Indenbom V.L. 1954; from
  memory). Integrated here on the exact series for temperature; for a weakly cooled plate it comes
  to E alpha/(1 - nu) (T freezing - T air) Bi/6 in the middle.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq
from stress_glasses import (
    CONSTANT,
    CONSTANT_CONDUCTIVITY,
    CONSTANT_DIFFUSIVITY,
    DGG_I,
    ELASTIC,
    EXPANSION,
    glass,
)

from core.piece.piece import Geometry
from core.stress.accuracy import Accuracy
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.relaxation import LIQUID_EXPANSION_RATIO, SODA_LIME
from core.stress.section import Faces, FirstState, StressPiece, StressSection, Surroundings
from core.units import ZERO_CELSIUS

HELD = Surroundings(emissivity=0.0, convection=0.0, fixed=1e6)
ROOM = ZERO_CELSIUS + 20.0


def reckoned(section, time, chamber, properties=DGG_I, accuracy=None, **more):
    piece = StressPiece("piece", properties, (section,), **more)
    history = ChamberHistory(np.asarray(time, float), np.asarray(chamber, float))
    return stresses((piece,), history, accuracy=accuracy)[0].sections[0]


# --- rigid ---------------------------------------------------------------------------------


@pytest.mark.parametrize("geometry", [Geometry.SLAB, Geometry.CYLINDER])
def test_rigid_glass_carries_the_thermoelastic_stress_of_the_moment_and_keeps_none(geometry):
    """In plane and along the axis: E alpha/(1 - nu) (mean - local temperature)."""
    section = StressSection("body", geometry, 0.02)
    time = np.cumsum([0.0, 1800.0, 600.0, 900.0, 90000.0])
    ours = reckoned(section, time, ROOM + np.array([0.0, 200.0, 250.0, 50.0, 0.0]))
    place = 1.0 - ours.depth / ours.depth[0]
    power = int(geometry is Geometry.CYLINDER)
    fine = np.linspace(0.0, 1.0, 2001)
    inside = CubicSpline(place, ours.temperature, axis=1)(fine)
    mean = np.trapezoid(inside * fine**power, fine, axis=1) * (power + 1)
    expected = ELASTIC * (mean[:, None] - ours.temperature)
    peak = np.abs(expected).max()
    assert peak > 2e6
    assert ours.stress == pytest.approx(expected, abs=2e-3 * peak)
    assert ours.permanent == pytest.approx(0.0, abs=1e-5 * peak)


@pytest.mark.parametrize(
    ("geometry", "factor"),
    [(Geometry.SLAB, 1 / 6), (Geometry.CYLINDER, 1 / 8), (Geometry.SPHERE, 1 / 15)],
)
def test_heating_a_cold_piece_at_a_constant_rate_puts_its_core_in_tension(geometry, factor):
    rate, radius = 300.0 / 3600.0, 0.0125
    section = StressSection("body", geometry, 2 * radius)
    ours = reckoned(section, [0.0, 2400.0], [ROOM, ROOM + 200.0], CONSTANT, surroundings=HELD)
    expected = factor * ELASTIC * rate * radius**2 / CONSTANT_DIFFUSIVITY
    assert ours.core_stress[-1] == pytest.approx(expected, rel=2e-3)
    assert ours.peak.stress == pytest.approx(expected, rel=2e-3)
    assert ours.peak.depth == pytest.approx(radius)


def test_a_rigid_plate_free_to_bow_sheds_all_that_is_linear():
    """Of uneven temperatures only what departs from the best straight line makes stress."""
    section = StressSection("pane", Geometry.SLAB, 0.01, faces=Faces.OUTER, may_bend=True)
    chamber = ROOM + np.array([0.0, 200.0, 200.0])
    ours = reckoned(section, [0.0, 600.0, 3000.0], chamber, accuracy=Accuracy().refined())
    place = 1.0 - ours.depth / ours.depth[0]
    fine = np.linspace(0.0, 1.0, 2001)
    inside = CubicSpline(place, ours.temperature, axis=1)(fine)
    lever = np.sqrt(12.0) * (fine - 0.5)
    mean = np.trapezoid(inside, fine, axis=1)
    bow = np.trapezoid(inside * lever, fine, axis=1)
    line = mean[:, None] + bow[:, None] * np.sqrt(12.0) * (place - 0.5)
    expected = ELASTIC * (line - ours.temperature)
    peak = np.abs(expected).max()
    assert ours.stress == pytest.approx(expected, abs=2e-3 * peak)


# --- liquid --------------------------------------------------------------------------------


def test_liquid_glass_flows_and_carries_only_viscous_stress():
    """First mode of cooling, T = Tc + A cos(pi x/2) exp(-t/tau), long after the start.

    In a sheet stress-free across, s' = 2 s/3 - 0 is twice the deviator in the plane, so 2 eta e'
    with e' the rate of in-plane strain less expansion gives s = 6 eta (strain - expansion): of
    the liquid's expansion, and zero force for the whole.
    """
    half, middle, skin = 0.005, ZERO_CELSIUS + 700.0, ZERO_CELSIUS + 690.0
    section = StressSection("plate", Geometry.SLAB, 2 * half)
    decay = half**2 / CONSTANT_DIFFUSIVITY / (np.pi / 2) ** 2
    ours = reckoned(
        section, [0.0, 2.0 * decay], [skin, skin], CONSTANT, Accuracy(17, 1e-5, 1e-5),
        first_state=FirstState(middle, skin, fictive=300.0), surroundings=HELD,
    )  # fmt: skip
    place = 1.0 - ours.depth / half
    fine = np.linspace(0.0, 1.0, 2001)
    late = ours.time > 1.0 * decay
    # Parabola's share in the first mode, 32/pi^3; the second has died away by then.
    amplitude = 32.0 / np.pi**3 * (middle - skin) * np.exp(-ours.time[late, None] / decay)

    def eta_and_rate(at):
        kelvin = skin + amplitude * np.cos(0.5 * np.pi * at)
        return viscosity(kelvin), LIQUID_EXPANSION_RATIO * EXPANSION * (skin - kelvin) / decay

    eta, rate = eta_and_rate(fine)
    common = np.trapezoid(eta * rate, fine, axis=1) / np.trapezoid(eta, fine, axis=1)
    eta, rate = eta_and_rate(place)
    expected = 6.0 * eta * (common[:, None] - rate)
    peak = np.abs(expected).max()
    assert ours.stress[late] == pytest.approx(expected, abs=0.01 * peak)
    # An elastic plate would carry thousands of times as much.
    assert peak < 1e-3 * ELASTIC * (middle - skin)


def viscosity(kelvin):
    """Of DGG standard glass I [Pa s], see :mod:`stress_glasses`."""
    return 10.0 ** (-2.601 + 4330.9 / (kelvin - ZERO_CELSIUS - 246.1))


def test_cooling_within_the_liquid_leaves_nothing():
    section = StressSection("plate", Geometry.SLAB, 0.02)
    hot = ZERO_CELSIUS + np.array([800.0, 700.0, 700.0])
    ours = reckoned(section, [0.0, 600.0, 4000.0], hot)
    fastest = np.abs(ours.core_temperature - ours.skin_temperature).max()
    assert fastest > 5.0
    assert np.abs(ours.stress[-1]).max() <= 1e-5 * ELASTIC * fastest


# --- frozen at one temperature ----------------------------------------------------------------

FREEZING, AIR, START = ZERO_CELSIUS + 570.0, ROOM, ZERO_CELSIUS + 800.0


def instant_freezing(biot: float, at: np.ndarray) -> np.ndarray:
    """Residual stress at places 0..1 [Pa]; lengths by half thickness, times by half^2/kappa."""
    roots = np.array(
        [
            brentq(lambda z: z * np.sin(z) - biot * np.cos(z), n * np.pi, (n + 0.5) * np.pi)
            for n in range(40)
        ]
    )
    weight = (START - AIR) * 4.0 * np.sin(roots) / (2.0 * roots + np.sin(2.0 * roots))

    def temperature(x, t):
        return AIR + float((weight * np.cos(roots * x)) @ np.exp(-(roots**2) * t))

    front = np.linspace(1.0, 0.0, 801)
    latest = 100.0 / biot + 10.0
    passing = np.array(
        [brentq(lambda t, x=x: temperature(x, t) - FREEZING, 1e-6, latest) for x in front]
    )
    # Mean rate of change of the rigid layers x..1, by the integral of each mode.
    middle = 0.5 * (passing[1:] + passing[:-1])
    inner = 0.5 * (front[1:] + front[:-1])
    modes = (np.sin(roots) - np.sin(np.outer(inner, roots))) / roots / (1.0 - inner[:, None])
    rate = -(modes * weight * roots**2 * np.exp(-np.outer(middle, roots**2))).sum(axis=1)
    shrunk = np.concatenate(([0.0], np.cumsum(rate * np.diff(passing))))
    mean = np.trapezoid(shrunk[::-1], front[::-1])
    return ELASTIC * (mean - np.interp(at, front[::-1], shrunk[::-1]))


@pytest.mark.parametrize("biot", [0.1, 0.5, 2.0, 8.0])
def test_a_glass_that_freezes_at_one_temperature_is_tempered_as_in_that_theory(biot):
    half = 0.003
    sharp = glass(FREEZING - ZERO_CELSIUS - 0.5, FREEZING - ZERO_CELSIUS + 0.5, constant=True)
    film = biot * CONSTANT_CONDUCTIVITY / half
    ours = reckoned(
        StressSection("plate", Geometry.SLAB, 2 * half),
        [0.0, 60.0 * (1.0 + 1.0 / biot) * half**2 / CONSTANT_DIFFUSIVITY], [AIR, AIR], sharp,
        Accuracy().refined(),
        first_state=FirstState(START, START),
        surroundings=Surroundings(emissivity=0.0, convection=0.0, fixed=film),
        relaxation=replace(SODA_LIME, liquid_expansion_ratio=1.0),
    )  # fmt: skip
    expected = instant_freezing(biot, 1.0 - ours.depth / half)
    scale = np.abs(expected).max()
    assert ours.permanent == pytest.approx(expected, abs=0.01 * scale)


def test_weakly_cooled_the_theory_is_bartenevs_formula():
    biot = 0.02
    (middle,) = instant_freezing(biot, np.array([0.0]))
    assert middle == pytest.approx(ELASTIC * (FREEZING - AIR) * biot / 6.0, rel=0.02)
