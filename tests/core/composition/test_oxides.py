import pytest

from core.composition.oxides import MOLAR_MASS, canonical_oxide, find_oxide, molar_mass
from core.errors import CompositionError


@pytest.mark.parametrize("text", ["SiO2", "sio2", "SIO2", "SiO₂", "  SiO2 ", "ＳｉＯ２"])
def test_any_spelling_of_silica_is_silica(text: str) -> None:
    assert canonical_oxide(text) == "SiO2"


def test_every_oxide_finds_itself_in_any_case() -> None:
    for formula in MOLAR_MASS:
        assert find_oxide(formula.lower()) == formula
        assert find_oxide(formula.upper()) == formula


def test_oxides_that_differ_only_in_a_digit_or_letter_stay_apart() -> None:
    assert len({find_oxide(o) for o in ("FeO", "Fe2O3", "CuO", "Cu2O", "CoO", "SnO", "SnO2")}) == 7


def test_unknown_oxide_names_itself() -> None:
    with pytest.raises(CompositionError, match="Unobtainium") as caught:
        molar_mass("Unobtainium")
    assert caught.value.field == "Unobtainium"
