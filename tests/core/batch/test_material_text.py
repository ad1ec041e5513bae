"""A material's analysis as typed, and what is said of it."""

import pytest

from core.batch.material import Material
from core.batch.material_text import analysis_percent, analysis_words, yields_words
from core.errors import BatchError


def test_an_analysis_need_not_be_a_glass() -> None:
    # Limestone: no glass former, and the oxides are 56 % of it.
    assert analysis_words("CaO 55.3; MgO 0.35; Fe2O3 300 ppm") == pytest.approx(
        {"CaO": 55.3, "MgO": 0.35, "Fe2O3": 0.03}
    )
    assert analysis_words("lime 55.3, silica 0.4") == {"CaO": 55.3, "SiO2": 0.4}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "oxides are missing"),
        ("CaO 55, CaO 1", "given twice"),
        ("CaO 55, sugar 3", "sugar"),
        ("CaO 55, MgO -2", "MgO"),
        ("CaO 55 mol%", "by moles"),
    ],
)
def test_what_cannot_be_read_is_refused_at_its_field(text: str, told: str) -> None:
    with pytest.raises(BatchError, match=told) as caught:
        analysis_words(text)
    assert caught.value.field == "oxides"


def test_the_percentages_make_the_same_material_again() -> None:
    first = Material.from_analysis(
        "whiting", {"CaO": 55.3, "SiO2": 0.7}, 43.7, {"CO2": 98.0}, moisture=0.02
    )
    told = analysis_percent(first)
    again = Material.from_analysis("whiting", told.oxides, told.loss, told.gases, moisture=0.02)
    assert dict(again.oxides) == pytest.approx(dict(first.oxides))
    assert dict(again.gases) == pytest.approx(dict(first.gases))


def test_what_a_kilogram_leaves_and_gives_off() -> None:
    # 100.087 g of CaCO3 are 56.077 g of CaO and 44.009 g of CO2 (standard atomic weights).
    words = yields_words(Material.from_formula("whiting", "CaCO3", moisture=0.1))
    assert "CaO 504 g" in words
    assert "CO2 396 g" in words
    assert "moisture 100 g" in words
