"""The nearest composition with a wished property."""

import numpy as np
import pytest
from scipy.optimize import minimize

from core.batch.property_target import PropertyWish, nearest_with, oxides_in
from core.composition.composition import Composition
from core.errors import BatchError, CompositionError
from core.glass.glass import Glass
from core.glass.library import find_glass
from core.glass.properties import properties_of

CLEAR = find_glass("harbour clear").composition


def properties(composition):
    return properties_of(Glass("test", composition))


@pytest.mark.parametrize("expansion", [92e-7, 98e-7, 106e-7])
def test_the_expansion_is_met(expansion):
    found = nearest_with(CLEAR, PropertyWish(expansion=expansion))
    assert properties(found).expansion.value == pytest.approx(expansion, abs=0.05e-7)


@pytest.mark.parametrize("rise", [-12.0, 5.0, 15.0])
def test_the_annealing_point_is_moved(rise):
    found = nearest_with(CLEAR, PropertyWish(annealing_rise=rise))
    before, after = (properties(c).annealing_point.value for c in (CLEAR, found))
    assert after - before == pytest.approx(rise, abs=0.1)


def test_both_at_once():
    now = properties(CLEAR)
    wish = PropertyWish(expansion=now.expansion.value - 3e-7, annealing_rise=4.0)
    found = properties(nearest_with(CLEAR, wish))
    assert found.expansion.value == pytest.approx(wish.expansion, abs=0.05e-7)
    assert found.annealing_point.value - now.annealing_point.value == pytest.approx(4, abs=0.1)


def test_only_what_may_change_changes_and_the_whole_stays():
    change = ("SiO2", "Na2O", "CaO")
    found = nearest_with(CLEAR, PropertyWish(annealing_rise=6.0, change=change))
    for oxide in CLEAR.weight_percent:
        if oxide not in change:
            assert found.weight(oxide) == pytest.approx(CLEAR.weight(oxide), abs=1e-4)
    assert sum(found.weight_percent.values()) == pytest.approx(100.0)


def test_what_is_met_already_changes_nothing():
    found = nearest_with(CLEAR, PropertyWish(annealing_rise=0.0))
    assert dict(found.weight_percent) == pytest.approx(dict(CLEAR.weight_percent), abs=1e-3)


def test_an_independent_solver_finds_none_nearer():
    change = ("SiO2", "Na2O", "K2O", "CaO")
    aim = properties(CLEAR).expansion.value - 6e-7
    found = nearest_with(CLEAR, PropertyWish(expansion=aim, change=change))
    start = np.array([CLEAR.weight(o) for o in change])
    fixed = {o: w for o, w in CLEAR.weight_percent.items() if o not in change}

    def expansion(x):
        glass = Composition.from_percent(fixed | dict(zip(change, x, strict=True)))
        return properties(glass).expansion.value * 1e7

    other = minimize(
        lambda x: float(np.sum((x - start) ** 2)),
        start + 0.1,
        method="SLSQP",
        bounds=[(0.1, 90)] * 4,
        constraints=[
            {"type": "eq", "fun": lambda x: x.sum() - start.sum()},
            {"type": "eq", "fun": lambda x: expansion(x) - aim * 1e7},
        ],
        options={"maxiter": 200, "ftol": 1e-9},
    )
    ours = sum((found.weight(o) - CLEAR.weight(o)) ** 2 for o in change)
    assert ours == pytest.approx(other.fun, rel=0.01)


def test_a_wish_beyond_the_model_says_how_far_it_goes():
    with pytest.raises(BatchError, match=r"goes as far as \d+.*e-7 per K") as caught:
        nearest_with(CLEAR, PropertyWish(expansion=190e-7, change=("SiO2", "Na2O")))
    assert caught.value.field == "property"


def test_a_glass_unlike_any_behind_the_model_cannot_be_aimed_at():
    odd = Composition.from_percent({"SiO2": 30, "PbO": 69, "K2O": 1})
    with pytest.raises(BatchError, match="no glasses like this one"):
        nearest_with(odd, PropertyWish(expansion=90e-7))


@pytest.mark.parametrize(
    ("wish", "field"),
    [
        ({}, "property"),
        ({"expansion": 1e-3}, "expansion"),
        ({"annealing_rise": 1000.0}, "annealing_rise"),
        ({"annealing_rise": float("nan")}, "annealing_rise"),
    ],
)
def test_impossible_wishes_are_refused(wish, field):
    with pytest.raises(BatchError) as caught:
        PropertyWish(**wish)
    assert caught.value.field == field


def test_one_oxide_alone_cannot_change():
    with pytest.raises(BatchError, match="One oxide alone"):
        nearest_with(CLEAR, PropertyWish(annealing_rise=3.0, change=("CaO",)))


def test_oxides_are_listed_with_commas_or_spaces():
    assert oxides_in("na2o, CaO  sio2") == ("Na2O", "CaO", "SiO2")
    assert oxides_in(" ") == ()
    with pytest.raises(CompositionError):
        oxides_in("Na2O, salt")
