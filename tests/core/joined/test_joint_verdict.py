"""Two glasses in one piece: contraction, tension, verdict, advice."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.composition.composition import Composition
from core.errors import GlassError
from core.glass.glass import Estimate, Glass, MeasuredPoints
from core.glass.library import find_glass
from core.glass.properties import properties_of
from core.joined.advice import advise
from core.joined.contraction import (
    ROOM,
    Partner,
    contract,
    free_contraction,
    mole_percent_apart,
    set_temperature,
)
from core.joined.cylinders import Cylinders
from core.joined.joint import join
from core.joined.layers import Layers
from core.joined.strength import ALLOWED_TENSION, FRACTURE_TENSION, Verdict, judge
from core.units import ZERO_CELSIUS

CANE = Cylinders(0.005, 0.007)
SHEET = Layers(0.004, 0.001)
THREAD = Cylinders(0.0005, float("inf"))
FORMS = (CANE, SHEET, THREAD, replace(SHEET, both_faces=True), replace(SHEET, free_to_bend=False))


def _bar(name: str, expansion: float, strain: float = 510.0, error: float = 0.2e-7) -> Glass:
    """A bought glass known by its sheet: points in °C, expansion in 1e-7/K."""
    return Glass(
        name,
        measured=MeasuredPoints(
            strain_point=strain + ZERO_CELSIUS,
            annealing_point=strain + 38.0 + ZERO_CELSIUS,
            expansion=expansion * 1e-7,
            expansion_error=error,
            source="sheet",
        ),
    )


@pytest.mark.parametrize("form", FORMS)
def test_equal_glasses_are_without_stress(form):
    joint = join(find_glass("harbour clear"), find_glass("harbour clear"), form)
    assert joint.contraction.difference.value == 0.0
    assert joint.core_tension.value == joint.casing_tension.value == 0.0
    assert joint.in_tension is None
    assert joint.verdict is Verdict.SAFE
    assert advise(joint) is None


def test_the_softer_glass_sets_the_temperature():
    hard, soft = _bar("hard", 90.0, 540.0), _bar("soft", 90.0, 470.0)
    one = contract(_partner(hard), _partner(soft))
    other = contract(_partner(soft), _partner(hard))
    assert one.set_temperature.value == pytest.approx(475.0 + ZERO_CELSIUS)
    assert one.set_temperature == other.set_temperature
    assert one.sets_first == other.sets_first == "hard"


def _partner(glass: Glass) -> Partner:
    return Partner(glass, properties_of(glass))


def test_a_casing_that_shrinks_more_is_the_one_in_tension():
    joint = join(_bar("clear", 90.0), _bar("blue", 92.0), CANE)
    assert joint.in_tension == "blue"
    assert joint.casing_tension.value > 0.0
    assert joint.core_tension.value == 0.0
    swapped = join(_bar("blue", 92.0), _bar("clear", 90.0), CANE)
    assert swapped.in_tension == "blue"
    assert swapped.core_tension.value > swapped.casing_tension.value


def _analysed(name: str, expansion: float) -> Glass:
    """Near kin of the studio's clear with a well measured expansion [1e-7/K]."""
    points = MeasuredPoints(expansion=expansion * 1e-7, expansion_error=0.2e-7, source="sheet")
    return Glass(name, find_glass("harbour clear").composition, points)


def test_classes_by_mismatch():
    """A pair within a careful maker's tolerance is safe; 300e-6 breaks (ASTM F14, F144 scope)."""
    clear = _analysed("clear", 95.0)
    assert join(clear, _analysed("blue", 95.3), CANE).verdict is Verdict.SAFE
    assert join(clear, _analysed("blue", 97.5), CANE).verdict is Verdict.DOUBTFUL
    assert join(clear, _analysed("blue", 104.0), CANE).verdict is Verdict.WILL_CRACK


def test_expansion_of_one_range_alone_is_never_enough():
    """Makers judge by seals and threads, not by a dilatometer's 20-300 °C (common practice)."""
    joint = join(_bar("clear", 90.0), _bar("blue", 90.0), CANE)
    assert joint.contraction.difference.value == 0.0
    assert joint.verdict is Verdict.DOUBTFUL


def test_a_wide_interval_is_never_called_safe():
    clear, blue = _bar("clear", 90.0, error=3e-7), _bar("blue", 90.0, error=3e-7)
    joint = join(clear, blue, CANE)
    assert joint.peak.high > ALLOWED_TENSION
    assert joint.verdict is Verdict.DOUBTFUL
    assert any("thread" in warning for warning in joint.warnings)


def test_a_tension_without_interval_is_doubtful():
    assert judge(Estimate(0.0, "")) is Verdict.DOUBTFUL
    assert judge(Estimate(2 * FRACTURE_TENSION, "")) is Verdict.DOUBTFUL


def test_far_apart_strain_points_are_warned_of():
    joint = join(_bar("clear", 90.0, 520.0), _bar("soft", 90.0, 440.0), CANE)
    assert any("80 °C apart" in warning for warning in joint.warnings)


def test_a_glass_outside_the_model_is_never_safe_unmeasured():
    strange = Glass("strange", Composition.from_percent({"SiO2": 40, "PbO": 58, "K2O": 2}))
    assert not properties_of(strange).domain.in_range
    joint = join(strange, strange, CANE)
    assert joint.verdict is Verdict.DOUBTFUL
    assert "measure its expansion" in joint.warnings[0]


def test_one_house_knows_the_difference_better():
    clear, other = find_glass("harbour clear"), find_glass("cristallo")
    apart = join(clear, other, CANE).contraction.difference
    alike = join(clear, other, CANE, same_house=True).contraction.difference
    assert alike.value == apart.value
    assert alike.high - alike.low < apart.high - apart.low


def test_one_house_changes_nothing_for_measured_expansions():
    one, other = _bar("clear", 90.0, error=1e-7), _bar("blue", 92.0, error=1e-7)
    assert join(one, other, CANE).contraction == join(one, other, CANE, same_house=True).contraction


def test_impossible_set_temperature_is_refused():
    glass = properties_of(find_glass("harbour clear"))
    cold = replace(glass, strain_point=replace(glass.strain_point, value=300.0))
    with pytest.raises(GlassError, match="would set"):
        set_temperature(cold, glass)


def test_share_exchanged():
    clear = find_glass("harbour clear")
    assert mole_percent_apart(clear, clear) == 0.0
    assert mole_percent_apart(clear, _bar("bar", 90.0)) is None
    assert 0.0 < mole_percent_apart(clear, find_glass("cristallo")) < 50.0


def test_advice_turns_the_mismatch_to_nothing():
    clear, other = find_glass("harbour clear"), find_glass("cristallo")
    joint = join(other, clear, Cylinders(0.010, 0.011), same_house=True)
    advice = advise(joint)
    assert advice.partner == "harbour clear"  # there is less of it
    for swap in advice.swaps:
        amounts = dict(clear.composition.weight_percent)
        amounts[swap.less] -= swap.weight_percent
        amounts[swap.more] = amounts.get(swap.more, 0.0) + swap.weight_percent
        mended = replace(clear, composition=Composition.from_percent(amounts))
        after = join(other, mended, Cylinders(0.010, 0.011)).contraction.difference
        assert abs(after.value) < 0.1 * abs(joint.contraction.difference.value)
    assert advice.sentence.startswith("Lower" if advice.expansion_change < 0 else "Raise")
    assert "wt%" in advice.sentence


def test_advice_without_analysis_says_how_much_only():
    advice = advise(join(_bar("clear", 90.0), _bar("blue", 93.0), CANE))
    assert advice.partner == "blue"
    assert advice.expansion_change == pytest.approx(-3e-7)
    assert advice.swaps == ()
    assert advice.sentence == "Lower the expansion of “blue” by 3.0e-7 per K."
    thread = advise(join(_bar("thread", 90.0), _bar("body", 93.0), THREAD))
    assert thread.partner == "thread"
    assert thread.expansion_change == pytest.approx(3e-7)


@settings(max_examples=60, deadline=None)
@given(
    one=st.floats(60, 120),
    other=st.floats(60, 120),
    form=st.sampled_from(FORMS),
    error=st.floats(0.1e-7, 3e-7),
)
def test_intervals_hold_their_values(one, other, form, error):
    joint = join(_bar("one", one, error=error), _bar("other", other, error=error), form)
    for estimate in (
        joint.contraction.core,
        joint.contraction.casing,
        joint.contraction.difference,
        joint.core_tension,
        joint.casing_tension,
    ):
        assert estimate.low <= estimate.value <= estimate.high


@settings(max_examples=40, deadline=None)
@given(one=st.floats(60, 110), more=st.floats(0.1, 10), further=st.floats(1.01, 3))
def test_more_mismatch_more_stress(one, more, further):
    for form in FORMS:
        near = join(_bar("a", one), _bar("b", one + more), form)
        far = join(_bar("a", one), _bar("b", one + further * more), form)
        assert far.casing_tension.value > near.casing_tension.value
        assert far.casing_tension.high > near.casing_tension.high


@given(expansion=st.floats(30e-7, 130e-7), celsius=st.floats(100.0, 550.0))
def test_contraction_is_the_integral_of_the_true_expansion(expansion, celsius):
    """alpha(t) = m (1 + s (t - 160)), summed by the trapezoidal rule, which is exact for it."""
    hot = celsius + ZERO_CELSIUS
    ends = [expansion * (1 + 6.0e-4 * (t - 160.0)) for t in (20.0, celsius)]
    assert float(free_contraction(expansion, hot)) == pytest.approx(0.5 * sum(ends) * (hot - ROOM))
