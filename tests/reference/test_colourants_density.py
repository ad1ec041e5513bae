"""Colouring oxides in small amounts against Appen's molar volumes and the oxides' own densities.

* Appen A.A. 1974, Khimiya stekla: molar volumes, CuO 13, CoO 12, MnO 14, FeO 13 cm3/mol (from
  memory, unverified).
* Densities of the crystals, 6.3 (CuO), 6.4 (CoO), 5.4 (MnO), 6.7 (NiO), 5.2 (Cr2O3) g/cm3:
  handbooks of chemistry and physics (from memory, unverified). All are far denser than glass, and
  so a glass that takes them up gets denser.
"""

import pytest

from core.composition.composition import Composition
from core.composition.oxides import MOLAR_MASS
from core.glass.property_fit.fitted_points import weight_rows
from core.glass.property_fit.fitted_values import fitted_values

CLEAR = {"SiO2": 72.0, "Na2O": 15.0, "CaO": 10.0, "Al2O3": 3.0}
LEAD = {"SiO2": 57.0, "K2O": 12.0, "Na2O": 1.0, "PbO": 30.0}
APPEN = {"CuO": 13.0, "CoO": 12.0, "MnO": 14.0, "FeO": 13.0}


def density(amounts):
    total = sum(amounts.values())
    glass = Composition.from_percent({oxide: 100.0 * w / total for oxide, w in amounts.items()})
    return float(fitted_values(weight_rows([glass]))["density"].value[0])


@pytest.mark.parametrize("base", [CLEAR, LEAD], ids=["clear", "lead"])
@pytest.mark.parametrize("oxide", ["CuO", "CoO", "MnO", "FeO", "NiO", "Cr2O3"])
def test_a_glass_that_takes_up_a_colourant_gets_denser(base, oxide):
    assert density({**base, oxide: 1.0}) > density(base)


@pytest.mark.parametrize(("oxide", "volume"), APPEN.items())
def test_the_rise_is_about_what_appens_volume_makes_it(oxide, volume):
    plain = density(CLEAR)
    moles = 1.0 / MOLAR_MASS[oxide]
    expected = 1e3 * (100.0 + 1.0) / (1e3 * 100.0 / plain + moles * volume)
    # A third: what fits of other data differ from these round volumes by.
    assert density({**CLEAR, oxide: 1.0}) - plain == pytest.approx(expected - plain, rel=0.34)
