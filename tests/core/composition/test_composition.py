import copy
import dataclasses
import math
import pickle

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from core.composition.composition import Basis, Composition
from core.composition.oxides import MOLAR_MASS
from core.composition.parse import parse_composition
from core.errors import CompositionError

OTHERS = [o for o in MOLAR_MASS if o != "SiO2"]
FLOAT = {"SiO2": 72.6, "Na2O": 13.9, "CaO": 8.4, "MgO": 3.9, "Al2O3": 1.1}


@st.composite
def analyses(draw: st.DrawFn) -> dict[str, float]:
    """Silicate analyses with two-decimal amounts and a total between 98 and 102."""
    oxides = draw(st.lists(st.sampled_from(OTHERS), unique=True, min_size=1, max_size=8))
    parts = [draw(st.integers(1, 900)) / 100 for _ in oxides]
    total = draw(st.integers(9800, 10200)) / 100
    assume(sum(parts) < total - 1)
    return {"SiO2": round(total - sum(parts), 2), **dict(zip(oxides, parts, strict=True))}


def test_it_is_normalised_and_keeps_the_total() -> None:
    glass = Composition.from_percent({"SiO2": 72.0, "Na2O": 14.0, "CaO": 13.0})
    assert glass.original_total == pytest.approx(99.0)
    assert math.fsum(glass.weight_percent.values()) == pytest.approx(100.0)
    assert glass.weight_percent["SiO2"] == pytest.approx(7200 / 99)
    assert glass.warnings == ()


def test_disilicate_weight_and_mole_percent_by_hand() -> None:
    # Na2O.2SiO2: 61.979 and 2 x 60.083 g/mol (IUPAC 2021), by hand 34.03 wt% Na2O.
    glass = Composition.from_percent({"Na2O": 100 / 3, "SiO2": 200 / 3}, Basis.MOLE)
    assert glass.weight_percent["Na2O"] == pytest.approx(34.03, abs=0.01)
    assert glass.mole_percent["SiO2"] == pytest.approx(200 / 3)


@given(analyses())
def test_order_and_scale_make_no_difference(amounts: dict[str, float]) -> None:
    glass = Composition.from_percent(amounts)
    turned = Composition.from_percent(dict(reversed(amounts.items())))
    assert turned.weight_percent == glass.weight_percent
    assert hash(turned) == hash(glass)
    scaled = Composition.from_percent({o: 0.95 * a for o, a in amounts.items()})
    assert dict(scaled.weight_percent) == pytest.approx(dict(glass.weight_percent), rel=1e-12)


@given(analyses())
def test_entering_the_mole_percent_gives_the_same_glass(amounts: dict[str, float]) -> None:
    glass = Composition.from_percent(amounts)
    again = Composition.from_percent(glass.mole_percent, Basis.MOLE)
    assert dict(again.weight_percent) == pytest.approx(dict(glass.weight_percent), rel=1e-12)


@given(analyses(), st.sampled_from(Basis))
def test_text_is_read_back_to_the_same_composition(amounts: dict[str, float], basis: Basis) -> None:
    glass = Composition.from_percent(amounts, basis)
    again = parse_composition(glass.to_text())
    assert again.basis is basis
    assert again.original_total == pytest.approx(glass.original_total, abs=1e-3)
    assert dict(again.weight_percent) == pytest.approx(dict(glass.weight_percent), rel=1e-5)
    assert again.to_text() == glass.to_text()


@pytest.mark.parametrize(
    ("amounts", "field", "words"),
    [
        ({}, None, "empty"),
        ({"SiO2": 0.0}, None, "empty"),
        ({"SiO2": 70.0, "Kryptonite": 30.0}, "Kryptonite", "not an oxide"),
        ({"SiO2": 104.0, "Na2O": -4.0}, "Na2O", "negative"),
        ({"SiO2": 70.0, "Na2O": math.nan}, "Na2O", "not a number"),
        ({"SiO2": 70.0, "Na2O": math.inf}, "Na2O", "not a number"),
        ({"SiO2": 70.0, "Na2O": 1e308}, "Na2O", "more than a whole glass"),
        ({"SiO2": 50.0, "sio2": 50.0}, "SiO2", "twice"),
        ({"Na2O": 50.0, "CaO": 50.0}, "SiO2", "no glass former"),
        ({"SiO2": 60.0, "Na2O": 29.0}, "total", "adds up to 89"),
        ({"SiO2": 100.0, "Na2O": 11.0}, "total", "adds up to 111"),
    ],
)
def test_bad_analyses_are_refused(amounts: dict[str, float], field: str | None, words: str) -> None:
    with pytest.raises(CompositionError, match=words) as caught:
        Composition.from_percent(amounts)
    assert caught.value.field == field


@pytest.mark.parametrize(("total", "warned"), [(97.9, True), (98.0, False), (102.1, True)])
def test_a_total_far_from_100_is_said(total: float, warned: bool) -> None:
    glass = Composition.from_percent({"SiO2": total - 20.0, "Na2O": 20.0})
    assert bool(glass.warnings) is warned
    if warned:
        assert f"{total:g}" in glass.warnings[0]
        assert "scaled" in glass.warnings[0]


def test_it_cannot_be_changed_but_can_be_copied_and_pickled() -> None:
    glass = Composition.from_percent(FLOAT)
    with pytest.raises(TypeError):
        glass.weight_percent["SiO2"] = 1.0  # type: ignore[index]
    assert copy.deepcopy(glass) == glass
    assert pickle.loads(pickle.dumps(glass)) == glass  # noqa: S301 - our own bytes


def test_standard_errors_are_part_of_it_and_notes_are_not() -> None:
    exact = Composition.from_percent(FLOAT)
    vague = dataclasses.replace(exact, uncertainty={"CaO": 0.3, "SiO2": 0.5})
    assert vague != exact
    assert list(vague.uncertainty) == ["SiO2", "CaO"]
    assert copy.deepcopy(vague) == vague
    assert hash(copy.deepcopy(vague)) == hash(vague)
    assert pickle.loads(pickle.dumps(vague)).uncertainty == {"SiO2": 0.5, "CaO": 0.3}  # noqa: S301
    assert dataclasses.replace(vague, notes=("CaO was a range.",)) == vague
    with pytest.raises(TypeError):
        vague.uncertainty["CaO"] = 1.0  # type: ignore[index]


@pytest.mark.parametrize("errors", [{"Xx": 1.0}, {"CaO": 0.0}, {"CaO": -1.0}, {"CaO": math.nan}])
def test_an_impossible_standard_error_is_refused(errors: dict[str, float]) -> None:
    with pytest.raises(CompositionError, match="error of"):
        Composition({"SiO2": 100.0}, uncertainty=errors)


def test_the_constructor_takes_only_normalised_amounts() -> None:
    with pytest.raises(CompositionError, match="add up to 100"):
        Composition({"SiO2": 70.0})
    with pytest.raises(CompositionError, match="Xx"):
        Composition({"Xx": 100.0})
