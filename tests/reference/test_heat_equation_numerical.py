"""Closed-form lags against a numerical solution of the heat equation.

Source: scipy.integrate.solve_ivp (BDF, method of lines) on dT/dt = kappa/x^n d/dx(x^n dT/dx), an
independent general-purpose solver; the closed forms are those of Carslaw & Jaeger 1959.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.sparse import diags_array
from scipy.special import j0, j1

from core.piece import lag
from core.piece.piece import Geometry, Section

KAPPA = 4.8e-7
POWER = {Geometry.SLAB: 0, Geometry.CYLINDER: 1, Geometry.SPHERE: 2}


def cooled_profile(geometry: Geometry, length: float, rate: float, film: float | None):
    """Quasi-steady profile under a falling chamber; ``film`` is h/k [1/m], None: no film."""
    nodes = 161
    tridiagonal = diags_array([1.0, 1.0, 1.0], offsets=[-1, 0, 1], shape=(nodes - 1, nodes - 1))
    edges = np.linspace(0.0, length, nodes)
    centres = 0.5 * (edges[1:] + edges[:-1])
    power = POWER[geometry]
    area = edges**power
    volume = (edges[1:] ** (power + 1) - edges[:-1] ** (power + 1)) / (power + 1)
    step = edges[1] - edges[0]

    def slope(time, temperature):
        chamber = -rate * time
        flux = np.zeros(nodes)
        flux[1:-1] = np.diff(temperature) / step
        resistance = step / 2 + (0.0 if film is None else 1.0 / film)
        flux[-1] = (chamber - temperature[-1]) / resistance
        return KAPPA * np.diff(area * flux) / volume

    slowest = length**2 / KAPPA * (1.0 + (0.0 if film is None else 1.0 / (film * length)))
    end = 12 * slowest
    solved = solve_ivp(
        slope, (0, end), np.zeros(nodes - 1), method="BDF", rtol=1e-8, atol=1e-9,
        t_eval=[end], jac_sparsity=tridiagonal,
    )  # fmt: skip
    temperature = solved.y[:, -1]
    mean = float((temperature * volume).sum() / volume.sum())
    flux = (-rate * end - temperature[-1]) / (step / 2 + (0.0 if film is None else 1.0 / film))
    surface = temperature[-1] + flux * step / 2
    # The centre by the parabola's even continuation from the two innermost cells.
    centre = temperature[0] + (temperature[0] - temperature[1]) * centres[0] ** 2 / (
        centres[1] ** 2 - centres[0] ** 2
    )
    return centre, mean, float(surface), -rate * end


@pytest.mark.parametrize("geometry", list(Geometry))
def test_centre_and_mean_lag_without_film(geometry):
    section = Section("body", geometry, 0.05, 0.025)
    rate = 20.0 / 3600
    centre, mean, surface, _ = cooled_profile(geometry, 0.025, rate, None)
    assert rate * lag.centre_lag_time(section, np.asarray(KAPPA)) == pytest.approx(
        centre - surface, rel=2e-3
    )
    assert rate * lag.mean_lag_time(section, np.asarray(KAPPA)) == pytest.approx(
        mean - surface, rel=2e-3
    )


@pytest.mark.parametrize("geometry", list(Geometry))
def test_film_lag_adds_to_conduction(geometry):
    section = Section("body", geometry, 0.05, 0.025)
    rate = 20.0 / 3600
    density, heat_capacity = 2500.0, 1150.0
    conductivity = KAPPA * density * heat_capacity
    coefficient = 60.0
    _, _, surface, chamber = cooled_profile(geometry, 0.025, rate, coefficient / conductivity)
    film = lag.film_lag_time(section, density, np.asarray(heat_capacity), np.asarray(coefficient))
    assert rate * film == pytest.approx(surface - chamber, rel=2e-3)


def exact_first_eigenvalue(geometry: Geometry, biot: float) -> float:
    """Smallest root of the surface condition (Incropera & DeWitt, Fundamentals of Heat and Mass
    Transfer, transient conduction with convection; standard textbook equations)."""
    if geometry is Geometry.SLAB:
        return brentq(lambda z: z * np.sin(z) - biot * np.cos(z), 1e-9, np.pi / 2)
    if geometry is Geometry.CYLINDER:
        return brentq(lambda z: z * j1(z) - biot * j0(z), 1e-9, 2.404825557695773)
    return brentq(lambda z: np.sin(z) * (biot - 1.0) + z * np.cos(z), 1e-6, np.pi)


@pytest.mark.parametrize("geometry", list(Geometry))
@pytest.mark.parametrize("biot", [0.05, 0.3, 1.0, 2.0, 5.0, 40.0])
def test_time_constant_is_never_shorter_than_exact_and_close(geometry, biot):
    length = 0.02
    section = Section("body", geometry, 2 * length, length)
    exact = length**2 / KAPPA / exact_first_eigenvalue(geometry, biot) ** 2
    conductivity = 1.4
    coefficient = biot * conductivity / length
    film = lag.film_lag_time(
        section, 1.0, np.asarray(conductivity / KAPPA), np.asarray(coefficient)
    )
    ours = float(lag.time_constant(section, np.asarray(KAPPA), film))
    assert exact <= ours * (1 + 1e-9)
    assert ours <= exact * 1.11
