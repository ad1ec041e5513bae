"""What two versions of a glass differ by."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from core.composition.composition import Composition
from core.glass.glass import Glass, MeasuredPoints, MeasuredViscosity
from core.glass.glass_changes import GlassChange, changes_between

CLEAR = Glass(
    "quay clear",
    Composition.from_percent({"SiO2": 72.0, "Na2O": 15.0, "CaO": 10.0, "MgO": 3.0}),
    MeasuredPoints(annealing_point=820.0, strain_point=780.0, source="sheet"),
)
shares = st.fixed_dictionaries(
    {"Na2O": st.floats(1.0, 20.0), "CaO": st.floats(0.0, 12.0), "PbO": st.floats(0.0, 30.0)}
)


def glass_of(amounts):
    silica = 100.0 - sum(amounts.values())
    return Glass("float glass", Composition.from_percent({"SiO2": silica, **amounts}))


def test_nothing_changed():
    assert changes_between(CLEAR, CLEAR) == ()


def test_oxides_that_changed_came_and_went_are_named_with_their_amounts():
    after = replace(
        CLEAR,
        composition=Composition.from_percent({"SiO2": 72, "Na2O": 14.5, "CaO": 10, "K2O": 3.5}),
    )
    assert {c.key: (c.before, c.after) for c in changes_between(CLEAR, after)} == {
        "Na2O": (15.0, 14.5),
        "MgO": (3.0, None),
        "K2O": (None, 3.5),
    }


def test_measured_points_trials_and_words_are_told_apart():
    trial = MeasuredViscosity(10.0, 900.0)
    after = replace(
        CLEAR,
        measured=replace(
            CLEAR.measured, annealing_point=825.0, annealing_point_error=3.0, viscosities=(trial,)
        ),
        note="softer sand",
    )
    assert changes_between(CLEAR, after) == (
        GlassChange("annealing_point", 820.0, 825.0),
        GlassChange("annealing_point_error", None, 3.0),
        GlassChange("trials", 0.0, 1.0),
        GlassChange("note", None, "softer sand"),
    )


def test_an_analysis_that_came_is_one_change():
    bare = replace(CLEAR, composition=None)
    assert changes_between(bare, CLEAR) == (GlassChange("composition", None, "analysis"),)


@given(before=shares, after=shares)
def test_there_and_back_is_the_same_change_turned(before, after):
    there = changes_between(glass_of(before), glass_of(after))
    back = changes_between(glass_of(after), glass_of(before))
    turned = {(c.key, c.after, c.before) for c in back}
    assert {(c.key, c.before, c.after) for c in there} == turned
