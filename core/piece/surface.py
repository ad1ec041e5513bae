"""Heat from the surface of a piece to the lehr: radiation and natural convection."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

STEFAN_BOLTZMANN = 5.670374419e-8
"""[W/(m2 K4)], CODATA 2018 (exact in the SI)."""

EMISSIVITY = 0.84
"""Hemispherical emissivity of float glass, Pilkington ATS-129 (2013). Inside a lehr, which is much
larger than the piece and of rough brick, the exchange is that of the glass alone."""

NATURAL_CONVECTION = 3.0
"""Still air on a piece some 0.1 m high and a few kelvin off: h = 1.42 (dT/L)^(1/4) W/(m2 K)
(McAdams W.H. 1954, Heat Transmission; from memory) is 3.0 at 2 K; larger differences give more,
so this errs towards a slow piece."""


def radiation_coefficient(temperature: FloatArray, emissivity: float = EMISSIVITY) -> FloatArray:
    """Radiative coefficient 4 eps sigma T^3 [W/(m2 K)] for a small difference about T [K].

    Parameters
    ----------
    temperature : ndarray
        [K], more than 0.
    emissivity : float
        0 to 1.
    """
    return np.asarray(4.0 * emissivity * STEFAN_BOLTZMANN * np.asarray(temperature) ** 3)


def surface_coefficient(temperature: FloatArray) -> FloatArray:
    """Radiation and natural convection together [W/(m2 K)] at a temperature [K]."""
    return radiation_coefficient(temperature) + NATURAL_CONVECTION


def biot_number(
    surface_coefficient: FloatArray, length: float, conductivity: FloatArray
) -> FloatArray:
    """Biot number h a / k [-]: below 0.1 the piece is nearly even, above 10 the core decides."""
    return np.asarray(surface_coefficient * length / conductivity)
