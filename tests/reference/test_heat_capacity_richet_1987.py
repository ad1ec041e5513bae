"""Richet P. (1987), Heat capacity of silicate glasses, Chem. Geol. 62, 111: a second source for
the heat capacity, c = a + b T + c/T^2 + d/sqrt(T) [J/(mol K)], T in K, below the transformation
range. Coefficients from memory, unverified: a plausibility band, since ours are too.
"""

import numpy as np
import pytest

from core.composition.oxides import MOLAR_MASS
from core.glass.glass import Glass
from core.glass.heat import heat_capacity
from core.glass.library import find_glass
from core.glass.properties import properties_of

RICHET = {
    "SiO2": (127.2, -0.010777, 431270.0, -1463.9),
    "Al2O3": (175.491, -0.005839, -1.347e6, -1370.0),
    "MgO": (46.704, 0.01122, -1.328e6, 0.0),
    "CaO": (39.159, 0.01865, -152300.0, 0.0),
    "Na2O": (70.884, 0.02611, -358200.0, 0.0),
    "K2O": (84.323, 0.000731, -829800.0, 0.0),
    "Fe2O3": (135.25, 0.012311, -3.8677e6, 0.0),
    "TiO2": (64.111, 0.02259, -2.302e6, 0.0),
}


@pytest.mark.parametrize("name", ["clear float", "container glass", "bottle green potash"])
def test_both_sources_agree_below_the_transformation_range(name: str) -> None:
    composition = find_glass(name).composition
    assert composition is not None
    mole = {o: x for o, x in composition.mole_percent.items() if o in RICHET}
    kelvin = np.linspace(290.0, 780.0, 50)
    molar = sum(
        x * (a + b * kelvin + c / kelvin**2 + d / np.sqrt(kelvin))
        for x, (a, b, c, d) in ((x, RICHET[o]) for o, x in mole.items())
    )
    mass = sum(x * MOLAR_MASS[o] for o, x in mole.items()) / 1000.0
    ours = heat_capacity(properties_of(Glass(name, composition)), kelvin)
    # 7 %: the means from 0 °C agree within 3 %, their slopes less well.
    np.testing.assert_allclose(ours, molar / mass, rtol=0.07)
