"""Match by property: the smallest change that makes one glass shrink like another."""

from __future__ import annotations

import numpy as np
import pytest

from core.composition.composition import Composition
from core.errors import CompositionError, GlassError
from core.glass.glass import Glass, MeasuredPoints
from core.glass.library import find_glass
from core.glass.properties import properties_of
from core.joined.matching import TOLERANCE, match
from core.units import ZERO_CELSIUS

OXIDES = ("SiO2", "Na2O", "K2O", "CaO")


@pytest.fixture(scope="module")
def clear() -> Glass:
    return find_glass("harbour clear")


@pytest.fixture(scope="module")
def other() -> Glass:
    return find_glass("clear float")


def _computed(glass: Glass) -> Glass:
    return Glass(glass.name, glass.composition)


def test_expansion_comes_within_tolerance(clear, other):
    found = match(clear, other, OXIDES)
    target = properties_of(other).expansion.value
    assert abs(found.expansion.value - target) <= TOLERANCE * 1.03
    assert properties_of(found.glass).expansion.value == pytest.approx(found.expansion.value)
    assert sum(found.change.values()) == pytest.approx(0.0, abs=0.01)


def test_other_oxides_keep_their_amounts(clear, other):
    found = match(clear, other, OXIDES)
    for oxide, weight in clear.composition.weight_percent.items():
        if oxide not in OXIDES:
            assert found.glass.composition.weight(oxide) == pytest.approx(weight, abs=0.01)


def test_annealing_point_comes_too_when_asked(clear, other):
    found = match(clear, other, OXIDES, annealing_tolerance=5.0)
    assert abs(found.annealing_point.value - found.target_annealing_point) <= 5.2
    free = match(clear, other, OXIDES)
    size = sum(by**2 for by in free.change.values())
    assert sum(by**2 for by in found.change.values()) >= size - 1e-3


def test_no_smaller_change_does_it(clear, other):
    """Any other exchange of the same size or less, tried at random, misses the tolerance more."""
    found = match(clear, other, OXIDES)
    x = np.array([found.change.get(oxide, 0.0) for oxide in OXIDES])
    target = properties_of(other).expansion.value
    missed = abs(found.expansion.value - target)
    generator = np.random.default_rng(3)
    for _ in range(40):
        step = generator.normal(size=4)
        step -= step.mean()
        tried = 0.97 * np.linalg.norm(x) * step / np.linalg.norm(step)
        amounts = dict(clear.composition.weight_percent)
        for oxide, by in zip(OXIDES, tried, strict=True):
            amounts[oxide] = amounts.get(oxide, 0.0) + by
        if min(amounts.values()) < 0:
            continue
        got = properties_of(Glass("try", Composition.from_percent(amounts))).expansion.value
        assert abs(got - target) > missed


def test_a_match_of_itself_changes_nothing(clear):
    found = match(clear, clear, OXIDES)
    assert dict(found.change) == {}


def test_lower_by_leaves_the_casing_in_compression(clear):
    found = match(clear, clear, OXIDES, lower_by=2e-7)
    own = properties_of(clear).expansion.value
    assert found.expansion.value < own - 1.4e-7


def test_what_was_measured_is_carried_over(clear, other):
    computed = properties_of(clear).expansion.value
    measured = Glass(
        "measured", clear.composition, MeasuredPoints(expansion=computed + 3e-7, source="sheet")
    )
    found = match(measured, clear, OXIDES)
    assert abs(found.expansion.value - computed) <= TOLERANCE * 1.03
    assert properties_of(found.glass).expansion.value < computed - 2e-7


def test_out_of_reach_is_said(clear):
    with pytest.raises(GlassError, match="nearest is") as caught:
        match(clear, find_glass("cristallo"), ("Al2O3", "SiO2"), tolerance=1e-9,
              annealing_tolerance=0.01)  # fmt: skip
    assert caught.value.field == "adjustable"


def test_bad_requests_are_refused(clear, other):
    bar = Glass(
        "bar",
        measured=MeasuredPoints(
            strain_point=510 + ZERO_CELSIUS, annealing_point=550 + ZERO_CELSIUS, expansion=9e-6
        ),
    )
    with pytest.raises(GlassError, match="no analysis"):
        match(bar, other, OXIDES)
    with pytest.raises(GlassError, match="at least two"):
        match(clear, other, ("Na2O", "na2o"))
    with pytest.raises(CompositionError, match="not an oxide"):
        match(clear, other, ("Na2O", "Xx"))
    with pytest.raises(GlassError, match="tolerance"):
        match(clear, other, OXIDES, tolerance=0.0)
