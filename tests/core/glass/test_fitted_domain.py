"""Whether a glass lies among those behind the model, and what is said when it does not."""

import numpy as np
import pytest

from core.composition.composition import Composition
from core.glass.library import shipped_glasses
from core.glass.open_data.reading import read_open_data
from core.glass.property_fit.domain import domain_statement, in_range
from core.glass.property_fit.fitted_points import weight_rows


def statement(**amounts):
    return domain_statement(Composition.from_percent(amounts))


def test_usual_glasses_are_inside_and_nothing_is_said():
    for amounts in (
        {"SiO2": 72.0, "Na2O": 14.0, "CaO": 10.0, "MgO": 4.0},
        {"SiO2": 55.0, "PbO": 30.0, "K2O": 13.0, "Na2O": 2.0},
        {"SiO2": 60.0, "K2O": 18.0, "CaO": 16.0, "MgO": 4.0, "P2O5": 2.0},
    ):
        found = statement(**amounts)
        assert found.in_range
        assert found.sentences == ()
        assert found.oxides == ()


def test_more_lead_than_any():
    found = statement(SiO2=40.0, PbO=55.0, K2O=5.0)
    assert not found.in_range
    assert found.oxides[0] == "PbO"
    assert found.sentences[0].startswith("More lead oxide than any glass behind this model: 55 wt%")


def test_a_combination_that_nobody_measured():
    # Each amount alone is usual; the nearest measured glass is 12 mol% away.
    found = statement(SiO2=55.0, PbO=20.0, ZnO=15.0, Li2O=6.0, Na2O=4.0)
    assert not found.in_range
    assert found.sentences[0].startswith("No glass like this combination")
    assert set(found.oxides) <= {"PbO", "ZnO", "Li2O", "Na2O"}
    assert found.oxides


def test_more_alkali_than_any_blames_the_largest():
    found = statement(SiO2=56.0, Na2O=28.0, K2O=16.0)
    assert not found.in_range
    assert found.oxides == ("Na2O",)
    assert found.sentences[0].startswith("More alkali than any glass behind this model: 44 wt%")


def test_other_valencies_are_counted_atom_for_atom():
    # 86.94 g of MnO2 and 70.94 g of MnO hold the same manganese.
    one = weight_rows([Composition.from_percent({"SiO2": 91.3064, "MnO2": 8.6936})])
    other = weight_rows([Composition.from_percent({"SiO2": 92.7888, "MnO": 7.0937 / 0.98366})])
    assert one[0] / one.sum() == pytest.approx(other[0] / other.sum(), abs=2e-4)


def test_what_the_model_does_not_know_is_named():
    found = statement(SiO2=71.0, Na2O=15.0, CaO=11.0, La2O3=3.0)
    assert not found.in_range
    assert found.oxides == ("La2O3",)
    assert "La2O3 3 wt%" in found.sentences[0]
    trace = statement(SiO2=72.0, Na2O=15.0, CaO=12.9, V2O5=0.1)
    assert trace.in_range
    assert "V2O5" in trace.sentences[0]


def test_nothing_but_unknown_oxides():
    found = statement(GeO2=100.0)
    assert not found.in_range
    assert found.oxides


@pytest.mark.parametrize("amounts", [{"SiO2": 100.0}, {"SiO2": 75.0, "CaO": 14.0, "Al2O3": 11.0}])
def test_glasses_without_alkali_are_outside(amounts):
    assert not statement(**amounts).in_range


def test_one_answer_a_row_and_nearly_all_of_the_data_inside():
    rows = read_open_data().weight_percent
    inside = in_range(rows)
    assert inside.shape == (len(rows),)
    assert 0.98 < inside.mean() < 1.0


def test_statement_and_flag_agree_on_the_library():
    for glass in shipped_glasses().values():
        if glass.composition is None:
            continue
        row = weight_rows([glass.composition])
        found = domain_statement(glass.composition)
        if found.in_range:
            assert bool(in_range(row)[0])
        else:
            assert found.sentences
        assert bool(np.all(row >= 0.0))
