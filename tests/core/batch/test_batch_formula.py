"""Formulas of compounds: what they leave and give off."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.batch.formula import decompose
from core.errors import BatchError

FORMULAS = (
    "SiO2",
    "Na2CO3",
    "CaMg(CO3)2",
    "Na2B4O7.10H2O",
    "K2CO3.1.5H2O",
    "Ca5(PO4)3OH",
    "Pb3O4",
    "KNO3",
    "Na2SO4",
    "NaAlSi3O8",
)


@pytest.mark.parametrize("formula", FORMULAS)
def test_nothing_of_a_compound_is_lost(formula):
    parts = decompose(formula)
    total = math.fsum((*parts.oxides.values(), *parts.gases.values()))
    assert total == pytest.approx(1.0, abs=1e-12)


def test_carbon_water_nitrogen_and_oxygen_leave_as_gas():
    assert set(decompose("CaMg(CO3)2").gases) == {"CO2"}
    assert set(decompose("K2CO3.1.5H2O").gases) == {"CO2", "H2O"}
    assert set(decompose("KNO3").gases) == {"NO2", "O2"}
    assert set(decompose("Na2SO4").gases) == {"SO2", "O2"}
    assert set(decompose("Pb3O4").gases) == {"O2"}
    assert not decompose("NaAlSi3O8").gases


def test_the_same_compound_in_other_words():
    albite, in_oxides = decompose("NaAlSi3O8"), decompose("Na2O.Al2O3.6SiO2")
    assert in_oxides.molar_mass == pytest.approx(2 * albite.molar_mass)
    for oxide, share in albite.oxides.items():
        assert in_oxides.oxides[oxide] == pytest.approx(share, rel=1e-12)
    assert decompose("Na2B4O7·10H2O") == decompose("Na2B4O7*10 H2O") == decompose("Na2B4O7.10H2O")


@pytest.mark.parametrize(
    ("formula", "says"),
    [
        ("", "not a chemical formula"),
        ("soda", "not a chemical formula"),
        ("Na2CO3.", "not a chemical formula"),
        ("Ca(CO3", "not a chemical formula"),
        ("Ca)CO3(", "not a chemical formula"),
        ("Ca0", "not a chemical formula"),
        ("CO2", "nothing in the glass"),
        ("XyO2", "not an element"),
        ("CaF2", "F forms no oxide"),
        ("Fe3O4", "take up oxygen"),
        ("Si", "take up oxygen"),
    ],
)
def test_what_is_no_raw_material_is_refused(formula, says):
    with pytest.raises(BatchError, match=says) as caught:
        decompose(formula)
    assert caught.value.field == "formula"
    assert caught.value.remedy


@given(st.text(alphabet="NaCO3SiHPb()[].*·12 0xK", max_size=40))
def test_any_text_is_read_or_refused(text):
    try:
        parts = decompose(text)
    except BatchError:
        return
    assert math.fsum((*parts.oxides.values(), *parts.gases.values())) == pytest.approx(1.0)
