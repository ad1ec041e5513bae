"""Factors from the element to the oxide by weight, as geochemical tables print them.

Such tables have been printed to four decimals with atomic weights of their day for decades; these
are from memory, unverified, and good to two units of the last place.
"""

import pytest

from core.composition.names import component

PRINTED = {
    "Si": ("SiO2", 2.1393),
    "Al": ("Al2O3", 1.8895),
    "Ti": ("TiO2", 1.6683),
    "Fe": ("Fe2O3", 1.4297),
    "Mn": ("MnO", 1.2912),
    "Mg": ("MgO", 1.6583),
    "Ca": ("CaO", 1.3992),
    "Na": ("Na2O", 1.3480),
    "K": ("K2O", 1.2046),
    "P": ("P2O5", 2.2914),
    "Ba": ("BaO", 1.1165),
    "Pb": ("PbO", 1.0772),
    "S": ("SO3", 2.4972),
    "B": ("B2O3", 3.2199),
}


@pytest.mark.parametrize("element", PRINTED)
def test_factor(element: str) -> None:
    oxide, factor = PRINTED[element]
    found = component(element)
    assert found.oxide == oxide
    assert found.weight_factor == pytest.approx(factor, abs=2e-4)
