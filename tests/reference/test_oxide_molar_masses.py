"""Molar masses against values tabulated independently of our atomic weights."""

import pytest

from core.composition.oxides import MOLAR_MASS

# Compiled data of cement chemistry (cementkilns.co.uk, enthalpies of formation), older atomic
# weights; and CRC Handbook of Chemistry and Physics (from memory, unverified).
TABULATED = {
    "SiO2": 60.0843,
    "CaO": 56.0774,
    "MgO": 40.3049,
    "Na2O": 61.979,
    "K2O": 94.196,
    "Al2O3": 101.961,
    "B2O3": 69.62,
    "PbO": 223.2,
    "Fe2O3": 159.69,
    "BaO": 153.33,
    "P2O5": 141.945,
    "Sb2O5": 323.52,
    "SO3": 80.06,
    "UO2": 270.03,
}


@pytest.mark.parametrize("oxide", TABULATED)
def test_molar_mass(oxide: str) -> None:
    assert MOLAR_MASS[oxide] == pytest.approx(TABULATED[oxide], rel=1e-4)
