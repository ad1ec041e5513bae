"""Holding through the day, giving under own weight, and glasses that should not share a night.

Viscous sag of a strip on two supports: source Timoshenko & Goodier 1951 for the elastic beam, with
three times the viscosity for Young's modulus (Trouton 1906); numbers here worked by hand.
"""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from studio_loads import CLEAR, SOFT, ball, decanter, lehr, load, plate

from core.glass.properties import properties_of
from core.plan.day_hold import day_hold
from core.plan.planner import make_plan
from core.plan.sharing import nights_apart
from core.plan.slumping import slump, viscosity_at

GLASS = properties_of(CLEAR)


def test_viscosity_is_that_of_the_fixed_points():
    """10^12 Pa s at the annealing point, 10^13.5 at the strain point (ISO 7884)."""
    assert viscosity_at(GLASS, GLASS.annealing_point.value) == pytest.approx(1e12, rel=1e-3)
    assert viscosity_at(GLASS, GLASS.strain_point.value) == pytest.approx(10**13.5, rel=1e-3)


def test_a_pane_over_two_rails_sags_as_worked_by_hand():
    """rho 2500, L 0.1 m, h 5 mm, 10^12 Pa s: 5.1 micrometres in 1000 s."""
    pane = plate(5.0)
    density = GLASS.density.value
    found = slump(pane, GLASS, GLASS.annealing_point.value, 1000.0)
    by_hand = 5 * density * 9.80665 * 0.1**4 / (96 * 1e12 * 0.005**2) * 1000.0
    assert found.distance == pytest.approx(by_hand, rel=2e-3)
    assert found.distance == pytest.approx(5.1e-6 * density / 2500, rel=0.01)


def test_hold_is_the_soak_where_nothing_gives_and_lower_where_something_would():
    sturdy = load(decanter(), ball(60.0))
    held = day_hold(sturdy)
    soak = make_plan(sturdy).soak_temperature
    assert held.temperature == pytest.approx(soak, abs=0.51)
    assert held.piece == "ball"
    assert 0 < held.wait < held.wait_without_soak
    thin = replace(plate(2.0), height=0.3)
    lower = day_hold(load(thin))
    assert lower.temperature < make_plan(load(thin)).soak_temperature - 5.0
    assert lower.temperature >= GLASS.strain_point.value
    assert any("own weight" in sentence for sentence in lower.said)


@settings(max_examples=10, deadline=None)
@given(st.floats(3.0, 60.0), st.floats(1.1, 2.0))
def test_a_thicker_last_piece_never_needs_less_waiting(mm, thicker):
    assert day_hold(load(plate(mm * thicker))).wait >= day_hold(load(plate(mm))).wait


def test_glasses_far_apart_are_told_apart_with_the_split_that_works():
    tonight = load(plate(3.0), plate(3.0, name="crystal", glass=SOFT))
    properties = {g.name: properties_of(g) for g in (CLEAR, SOFT)}
    assert nights_apart(tonight, properties) == ((SOFT.name,), (CLEAR.name,))
    warnings = make_plan(tonight).warnings
    assert any("should not share a night" in text and SOFT.name in text for text in warnings)
    near = replace(
        SOFT,
        measured=replace(
            SOFT.measured, annealing_point=273.15 + 505.0, strain_point=273.15 + 465.0
        ),
    )
    alike = {CLEAR.name: GLASS, SOFT.name: properties_of(near)}
    assert len(nights_apart(tonight, alike)) == 1


def test_one_glass_alone_is_never_told_apart():
    for piece in (plate(2.0), decanter(), ball(80.0)):
        assert not any("share a night" in t for t in make_plan(load(piece, oven=lehr())).warnings)
