"""Temperatures of the stress engine against the exact series of sudden cooling.

Source: Carslaw H.S., Jaeger J.C. 1959, Conduction of Heat in Solids, 2nd ed., Oxford (slab,
cylinder and sphere with radiation into a medium; the curves of Heisler M.P. 1947, Trans. ASME 69,
227 are drawn from them); roots and coefficients as in Incropera & DeWitt, Fundamentals of Heat and
Mass Transfer. Each series is checked here to start from an even temperature.
"""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import j0, j1, jn_zeros
from stress_glasses import CONSTANT, CONSTANT_CONDUCTIVITY, CONSTANT_DIFFUSIVITY

from core.piece.piece import Geometry
from core.stress.accuracy import Accuracy
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.section import Faces, FirstState, StressPiece, StressSection, Surroundings

DEPTH, HOT, COLD = 0.0125, 800.0, 700.0
TERMS = 60
BIOT = [0.1, 0.5, 2.0, 10.0, 50.0]


def series(geometry: Geometry, biot: float, place: np.ndarray, fourier: np.ndarray) -> np.ndarray:
    """(T - T chamber)/(T start - T chamber), shape (places, times)."""
    if geometry is Geometry.SLAB:
        z = np.array(
            [
                brentq(lambda z: z * np.sin(z) - biot * np.cos(z), n * np.pi, (n + 0.5) * np.pi)
                for n in range(TERMS)
            ]
        )
        weight = 4.0 * np.sin(z) / (2.0 * z + np.sin(2.0 * z))
        mode = np.cos(z * place[:, None])
    elif geometry is Geometry.CYLINDER:
        low, high = np.concatenate(([0.0], jn_zeros(1, TERMS - 1))), jn_zeros(0, TERMS)
        z = np.array(
            [
                brentq(lambda z: z * j1(z) - biot * j0(z), a, b)
                for a, b in zip(low, high, strict=True)
            ]
        )
        weight = 2.0 * j1(z) / z / (j0(z) ** 2 + j1(z) ** 2)
        mode = j0(z * place[:, None])
    else:
        z = np.array(
            [
                brentq(
                    lambda z: z * np.cos(z) + (biot - 1.0) * np.sin(z),
                    max(n * np.pi, 1e-6),
                    (n + 1) * np.pi - 1e-9,
                )
                for n in range(TERMS)
            ]
        )
        weight = 4.0 * (np.sin(z) - z * np.cos(z)) / (2.0 * z - np.sin(2.0 * z))
        mode = np.sinc(z * place[:, None] / np.pi)
    return (mode * weight) @ np.exp(-np.outer(z**2, fourier))


def errors(geometry: Geometry, biot: float, accuracy: Accuracy, faces: Faces = Faces.BOTH):
    """Fourier number of every step, and the largest error there of the change in full."""
    film = biot * CONSTANT_CONDUCTIVITY / DEPTH
    thickness = 2.0 * DEPTH if faces is Faces.BOTH else DEPTH
    piece = StressPiece(
        "piece", CONSTANT, (StressSection("body", geometry, thickness, faces=faces),),
        first_state=FirstState(HOT, HOT, fictive=300.0),
        surroundings=Surroundings(emissivity=0.0, convection=0.0, fixed=film),
    )  # fmt: skip
    end = 2.0 * (1.0 + 1.0 / biot) * DEPTH**2 / CONSTANT_DIFFUSIVITY
    history = ChamberHistory(np.array([0.0, end]), np.array([COLD, COLD]))
    ours = stresses((piece,), history, accuracy=accuracy)[0].sections[0]
    fourier = CONSTANT_DIFFUSIVITY * ours.time / DEPTH**2
    exact = series(geometry, biot, 1.0 - ours.depth / DEPTH, fourier)
    found = (ours.temperature.T - COLD) / (HOT - COLD)
    return fourier, np.abs(found - exact).max(axis=0)


@pytest.mark.parametrize("geometry", list(Geometry))
@pytest.mark.parametrize("biot", BIOT)
def test_the_series_starts_even(geometry, biot):
    start = series(geometry, biot, np.array([0.0, 0.5, 0.9]), np.array([2e-3]))
    assert start[:2] == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("geometry", list(Geometry))
@pytest.mark.parametrize("biot", BIOT)
def test_every_node_follows_the_series(geometry, biot):
    """Within 0.3 % of the whole change once the core has begun to cool (Heisler's range)."""
    fourier, error = errors(geometry, biot, Accuracy())
    assert error[fourier > 0.2].max() <= 0.003
    assert error[fourier > 0.05].max() <= 0.015


@pytest.mark.parametrize("geometry", list(Geometry))
def test_the_error_falls_with_the_square_of_step_and_node_distance(geometry):
    accuracy, found = Accuracy(), []
    for _ in range(3):
        fourier, error = errors(geometry, 10.0, accuracy)
        found.append(error[fourier > 0.05].max())
        accuracy = accuracy.refined()
    order = np.log2(np.array(found[:-1]) / np.array(found[1:]))
    assert order == pytest.approx(2.0, abs=0.35)


def test_one_insulated_face_is_half_a_slab_of_twice_the_thickness():
    fourier, error = errors(Geometry.SLAB, 2.0, Accuracy(), Faces.OUTER)
    assert error[fourier > 0.2].max() <= 0.003
