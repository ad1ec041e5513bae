"""A published worked batch calculation, and mineral formulas' molar masses as tabulated.

The worked example (seven oxides from sand, trona, lime, albite, orthoclase, dolomite and borax,
with its matrix and molar masses) is that of the encyclopaedia article "Glass batch calculation"
(Wikipedia, read in copies at liquisearch.com and iiab.live), which refers to Khaimovich and others'
method. Its own answer (moles of each material) is quoted where it was readable and otherwise
worked out here from its matrix by exact fractions.

Molar masses of minerals and gases: compiled enthalpy tables of cementkilns.co.uk (read).
"""

from fractions import Fraction

import numpy as np
import pytest

from core.batch.formula import GAS_MOLAR_MASS, decompose
from core.batch.material import Material, MaterialList
from core.batch.reckon import make_batch
from core.batch.request import BatchRequest
from core.composition.composition import Composition

WANTED = {"SiO2": 67, "Na2O": 12, "CaO": 10, "Al2O3": 5, "K2O": 1, "MgO": 2, "B2O3": 3}
OXIDE_MASS = {
    "SiO2": "60.0843",
    "Na2O": "61.9789",
    "CaO": "56.0774",
    "Al2O3": "101.9613",
    "K2O": "94.1960",
    "MgO": "40.3044",
    "B2O3": "69.6202",
}
# Name: formula as we write it, molar mass, moles of each oxide per mole, all as printed there.
MATERIALS = {
    "sand": ("SiO2", "60.0843", {"SiO2": "1"}),
    "trona": ("Na3H(CO3)2.2H2O", "226.0262", {"Na2O": "1.5"}),
    "lime": ("CaCO3", "100.0872", {"CaO": "1"}),
    "albite": ("Na2O.Al2O3.6SiO2", "524.4460", {"SiO2": "6", "Na2O": "1", "Al2O3": "1"}),
    "orthoclase": ("K2O.Al2O3.6SiO2", "556.6631", {"SiO2": "6", "K2O": "1", "Al2O3": "1"}),
    "dolomite": ("MgCa(CO3)2", "184.4014", {"CaO": "1", "MgO": "1"}),
    "borax": ("Na2B4O7.10H2O", "381.3721", {"Na2O": "1", "B2O3": "2"}),
}
# The article's answer, in moles per 100 g of glass; from memory, unverified.
MOLES = {
    "sand": 0.82087,
    "trona": 0.08910,
    "lime": 0.12870,
    "albite": 0.03842,
    "orthoclase": 0.01062,
    "dolomite": 0.04962,
    "borax": 0.02155,
}


def exact_moles():
    """Solve the article's square system in exact fractions, oxide by oxide."""
    need = {o: Fraction(w) / Fraction(OXIDE_MASS[o]) for o, w in WANTED.items()}
    borax = need["B2O3"] / 2
    dolomite = need["MgO"]
    orthoclase = need["K2O"]
    albite = need["Al2O3"] - orthoclase
    return {
        "borax": borax,
        "dolomite": dolomite,
        "orthoclase": orthoclase,
        "albite": albite,
        "lime": need["CaO"] - dolomite,
        "trona": (need["Na2O"] - albite - borax) / Fraction("1.5"),
        "sand": need["SiO2"] - 6 * albite - 6 * orthoclase,
    }


def test_the_answer_quoted_is_that_of_the_matrix():
    for name, moles in exact_moles().items():
        assert float(moles) == pytest.approx(MOLES[name], abs=6e-6)


def test_the_worked_batch_is_ours():
    materials = MaterialList(
        tuple(Material.from_formula(name, formula) for name, (formula, _, _) in MATERIALS.items())
    )
    target = Composition.from_percent(WANTED)
    batch = make_batch(
        BatchRequest("example", target, materials, 100.0, division=1e-3, fine_division=1e-3)
    )
    assert not batch.shortfalls
    weighed = {line.material: line.exact for line in batch.weighings}
    # The wanted percentages add up to 100, so moles per 100 g are kilograms per 100 kg / M.
    for name, moles in exact_moles().items():
        expected = float(moles) * float(MATERIALS[name][1])
        assert weighed[name] == pytest.approx(expected, rel=3e-4), name
    total = sum(float(m) * float(MATERIALS[n][1]) for n, m in exact_moles().items())
    assert batch.glass_yield == pytest.approx(100 / total, rel=3e-4)


@pytest.mark.parametrize("name", MATERIALS)
def test_the_matrix_is_that_of_our_formulas(name):
    formula, mass, moles = MATERIALS[name]
    parts = decompose(formula)
    # The article takes older atomic weights.
    assert parts.molar_mass == pytest.approx(float(mass), rel=1e-4)
    assert set(parts.oxides) == set(moles)
    for oxide, count in moles.items():
        share = float(count) * float(OXIDE_MASS[oxide]) / float(mass)
        assert parts.oxides[oxide] == pytest.approx(share, rel=2e-4)


@pytest.mark.parametrize(
    ("formula", "mass"),
    [
        ("SiO2", 60.0843),
        ("CaCO3", 100.087),
        ("CaMg(CO3)2", 184.402),
        ("NaAlSi3O8", 262.223),
        ("KAlSi3O8", 278.332),
        ("Na2SO4", 142.045),
    ],
)
def test_molar_masses_of_minerals_as_tabulated(formula, mass):
    assert decompose(formula).molar_mass == pytest.approx(mass, rel=1e-4)


@pytest.mark.parametrize(("gas", "mass"), [("CO2", 44.0098), ("H2O", 18.0153)])
def test_molar_masses_of_gases_as_tabulated(gas, mass):
    assert GAS_MOLAR_MASS[gas] == pytest.approx(mass, rel=1e-4)


def test_gas_volume_is_codata_molar_volume_at_room_temperature():
    # CODATA 2018: molar volume of an ideal gas 22.413 969 54e-3 m3/mol at 273.15 K, 101.325 kPa.
    batch = make_batch(
        BatchRequest(
            "lime glass",
            Composition.from_percent({"SiO2": 60, "CaO": 40}),
            MaterialList(
                (Material.from_formula("sand", "SiO2"), Material.from_formula("lime", "CaCO3"))
            ),
            10.0,
        )
    )
    gas = batch.gases[0]
    moles = 1000 * gas.mass / 44.0095
    assert gas.volume == pytest.approx(moles * 22.41396954e-3 * 293.15 / 273.15, rel=1e-4)
    # One mole of gas for each mole of lime in the glass.
    assert moles == pytest.approx(1000 * batch.balance.glass * 0.4 / 56.0774, rel=2e-3)
    assert np.isclose(batch.balance.gas, gas.mass)
