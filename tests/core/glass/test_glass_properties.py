import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.composition.composition import Composition
from core.errors import GlassError, LehrkeeperError
from core.glass.glass import Glass, GlassProperties, MeasuredPoints
from core.glass.library import find_glass
from core.glass.properties import properties_of, viscosity_curve_of
from core.units import ZERO_CELSIUS

FLOAT = find_glass("clear float").composition
POINTS = ("strain_point", "annealing_point", "softening_point", "working_point", "melting_point")


def measured(**celsius: float) -> MeasuredPoints:
    """Points given in °C; expansion, density and modulus in SI."""
    return MeasuredPoints(
        **{k: v + ZERO_CELSIUS if k.endswith("point") else v for k, v in celsius.items()},
        source="the sheet",
    )


def known(properties: GlassProperties) -> list[float]:
    estimates = (getattr(properties, name) for name in POINTS)
    return [e.value for e in estimates if e is not None]


def test_from_an_analysis_alone() -> None:
    properties = properties_of(Glass("float", FLOAT))
    assert known(properties) == sorted(known(properties))
    assert len(known(properties)) == 5
    assert [p.model for p in properties.models] == ["Fluegel 2007", "Lakatos 1976"]
    assert all(p.in_range for p in properties.models)
    assert not properties.annealing_point.measured
    # The strain point lies beyond the fitted viscosities: named, and no error claimed.
    assert "strain point" in properties.models[0].extrapolated
    assert properties.strain_point.plus_minus is None
    assert any("extrapolated: strain point" in w for w in properties.warnings)


def test_measured_values_win_and_move_the_curve() -> None:
    points = measured(
        strain_point=511, annealing_point=548, softening_point=715,
        expansion=8.31e-6, density=2500.0, youngs_modulus=72e9,
    )  # fmt: skip
    glass = Glass("float", FLOAT, points)
    properties = properties_of(glass)
    for name in (*POINTS[:3], "expansion", "density", "youngs_modulus"):
        estimate = getattr(properties, name)
        assert estimate.value == getattr(points, name)
        assert estimate.measured
        assert estimate.source == "the sheet"
    alone = properties_of(Glass("float", FLOAT))
    assert properties.working_point is not None
    assert alone.working_point is not None
    shift = properties.working_point.value - alone.working_point.value
    assert alone.softening_point is not None
    assert shift == pytest.approx(715 + ZERO_CELSIUS - alone.softening_point.value)
    assert "moved" in properties.working_point.source
    curve = viscosity_curve_of(glass)
    assert curve is not None
    assert curve.log_viscosity(548 + ZERO_CELSIUS) == pytest.approx(12.0)


@given(st.floats(-40.0, 40.0), st.floats(-40.0, 40.0))
def test_order_holds_whatever_is_measured(annealing: float, working: float) -> None:
    points = measured(annealing_point=546 + annealing, working_point=1026 + working)
    values = known(properties_of(Glass("float", FLOAT, points)))
    assert values == sorted(values)
    assert len(values) == 5


def test_without_an_analysis_only_what_was_measured_is_known() -> None:
    glass = Glass("sheet", None, measured(strain_point=511, annealing_point=548, expansion=8.31e-6))
    properties = properties_of(glass)
    assert properties.softening_point is None
    assert properties.working_point is None
    assert properties.melting_point is None
    assert properties.models == ()
    assert properties.density.value == 2500.0
    assert "assumed" in properties.density.source
    assert any("soda-lime" in w for w in properties.warnings)
    assert viscosity_curve_of(glass) is None


def test_three_close_points_do_not_reach_the_working_point() -> None:
    # ATS-129's strain, annealing and softening points: a VFT curve through them misses the
    # working point by 150 °C.
    glass = Glass(
        "sheet", None,
        measured(strain_point=511, annealing_point=548, softening_point=715, expansion=8.31e-6),
    )  # fmt: skip
    properties = properties_of(glass)
    assert properties.working_point is None
    assert properties.melting_point is None
    assert viscosity_curve_of(glass) is not None


def test_points_between_measured_ones_are_derived() -> None:
    # DGG standard glass I (Richet 2021): strain, annealing and working point give the
    # softening point, 716.8 °C, and the melting temperature, 1448.8 °C.
    glass = Glass(
        "DGG I", None,
        measured(strain_point=515.1, annealing_point=542.7, working_point=1019.3, expansion=9e-6),
    )  # fmt: skip
    properties = properties_of(glass)
    assert properties.softening_point is not None
    assert properties.softening_point.value - ZERO_CELSIUS == pytest.approx(716.8, abs=2.0)
    assert not properties.softening_point.measured
    with_softening = dataclasses.replace(
        glass, measured=dataclasses.replace(glass.measured, softening_point=716.8 + ZERO_CELSIUS)
    )
    melting = properties_of(with_softening).melting_point
    assert melting is not None
    assert melting.value - ZERO_CELSIUS == pytest.approx(1448.8, abs=2.0)


@pytest.mark.parametrize(
    ("points", "field"),
    [
        (measured(strain_point=560, annealing_point=548, expansion=9e-6), "strain_point"),
        (measured(strain_point=548, annealing_point=548, expansion=9e-6), "strain_point"),
        (measured(annealing_point=548, strain_point=511, working_point=540, expansion=9e-6),
         "annealing_point"),
        (measured(strain_point=511, annealing_point=548), "expansion"),
        (measured(strain_point=511, annealing_point=548, expansion=9.0), "expansion"),
        (measured(strain_point=511, annealing_point=548, expansion=-9e-7), "expansion"),
        (measured(strain_point=511, annealing_point=5480, expansion=9e-6), "annealing_point"),
        (measured(strain_point=float("nan"), annealing_point=548, expansion=9e-6), "strain_point"),
        (measured(strain_point=511, annealing_point=548, expansion=9e-6, density=2.5), "density"),
        (measured(strain_point=511, annealing_point=548, expansion=9e-6, youngs_modulus=72.0),
         "youngs_modulus"),
        (measured(strain_point=511, annealing_point=548, softening_point=549, working_point=1020,
                  expansion=9e-6), "softening_point"),
        (measured(strain_point=150, annealing_point=1500, expansion=9e-6), "annealing_point"),
        (measured(strain_point=500, annealing_point=540, softening_point=541, working_point=542,
                  melting_point=543, expansion=9e-6), "softening_point"),
        (measured(strain_point=511, annealing_point=548, expansion=1e-308), "expansion"),
    ],
)  # fmt: skip
def test_measured_values_no_glass_has_name_their_field(points: MeasuredPoints, field: str) -> None:
    with pytest.raises(GlassError) as caught:
        properties_of(Glass("sheet", None, points))
    assert caught.value.field == field
    assert caught.value.remedy


def test_points_too_close_for_one_glass_are_refused_with_an_analysis_too() -> None:
    points = measured(strain_point=547.9, annealing_point=548)
    with pytest.raises(GlassError, match="cannot belong to one glass") as caught:
        properties_of(Glass("float", FLOAT, points))
    assert caught.value.field == "annealing_point"


def test_a_glass_no_model_covers_is_said_loudly_and_without_an_error() -> None:
    properties = properties_of(find_glass("forest glass, north-west Europe"))
    assert any("No published model covers this glass" in w for w in properties.warnings)
    assert any("P2O5" in w for w in properties.warnings)
    assert properties.annealing_point.plus_minus is None
    assert not any(p.in_range for p in properties.models)


def test_an_analysis_no_model_can_reckon_needs_measured_points() -> None:
    borate = Composition.from_percent({"B2O3": 60.0, "BaO": 40.0})
    with pytest.raises(GlassError, match="no physical viscosity curve") as caught:
        properties_of(Glass("borate", borate))
    assert caught.value.field == "composition"
    points = measured(strain_point=570, annealing_point=590)
    properties = properties_of(Glass("borate", borate, points))
    assert properties.annealing_point.measured
    assert any("no physical viscosity curve" in w for w in properties.warnings)


@pytest.mark.parametrize(
    ("amounts", "words", "plus_minus"),
    [
        ({"SiO2": 58, "K2O": 12, "PbO": 30}, "lead glasses", 40.0),
        ({"SiO2": 68, "K2O": 18, "CaO": 14}, "potash-lime glasses", 70.0),
        ({"SiO2": 70, "Na2O": 10, "K2O": 6, "BaO": 14}, "barium glasses", 50.0),
        ({"SiO2": 79, "B2O3": 14, "Na2O": 5, "Al2O3": 2}, "borosilicate glasses", 55.0),
        ({"SiO2": 74, "Na2O": 15, "CaO": 11}, "", 17.0),
    ],
)
def test_where_measured_glasses_belie_the_stated_error_that_is_said(
    amounts: dict[str, float], words: str, plus_minus: float
) -> None:
    properties = properties_of(Glass("glass", Composition.from_percent(amounts)))
    assert properties.annealing_point.plus_minus == plus_minus
    assert any("On measured" in w and words in w for w in properties.warnings) is bool(words)


def test_lead_and_ignored_oxides_and_a_scaled_total_are_said() -> None:
    glass = Composition.from_percent({"SiO2": 55, "K2O": 11, "PbO": 30, "Sb2O3": 0.5})
    warnings = properties_of(Glass("lead", glass)).warnings
    assert any("adds up to 96.5" in w for w in warnings)
    assert any("contains lead" in w and "safety sheet" in w for w in warnings)
    assert any("no term for Sb2O3" in w for w in warnings)
    assert len(set(warnings)) == len(warnings)


def test_a_measured_point_far_from_the_model_is_questioned() -> None:
    # 100 °C too high, as a slipped digit makes it.
    warnings = properties_of(Glass("float", FLOAT, measured(annealing_point=648))).warnings
    assert any("102 °C above" in w and "unit" in w for w in warnings)
    quiet = properties_of(Glass("float", FLOAT, measured(annealing_point=555))).warnings
    assert not any("above" in w for w in quiet)


def test_models_that_disagree_beyond_their_errors_are_said() -> None:
    # Much alumina and boric oxide, at the edge of both ranges.
    edge = {"SiO2": 54.0, "Al2O3": 8.0, "B2O3": 13.5, "Na2O": 10.5, "CaO": 11.0, "MgO": 3.0}
    properties = properties_of(Glass("edge", Composition.from_percent(edge)))
    assert all(p.in_range for p in properties.models)
    assert any("models disagree" in w for w in properties.warnings)
    assert not any("disagree" in w for w in properties_of(Glass("float", FLOAT)).warnings)


def test_everything_known_is_a_finite_number() -> None:
    for name in ("clear float", "harbour lead crystal", "forest glass, north-west Europe"):
        properties = properties_of(find_glass(name))
        for field in dataclasses.fields(properties):
            value = getattr(properties, field.name)
            if hasattr(value, "value"):
                assert 0 < value.value < 1e13


def test_a_measured_point_that_makes_nonsense_of_the_analysis_is_refused() -> None:
    # 190 °C for a softening point: it moves the whole curve below any glass.
    with pytest.raises(GlassError, match="no glass has") as caught:
        properties_of(Glass("float", FLOAT, measured(softening_point=190)))
    assert caught.value.field == "softening_point"


_PERCENT = st.dictionaries(
    st.sampled_from(["Na2O", "K2O", "CaO", "MgO", "PbO", "BaO", "B2O3", "Al2O3", "Fe2O3", "MnO"]),
    st.floats(0.0, 40.0),
    max_size=6,
)
_MAYBE = {
    "annealing_point": st.floats(100.0, 900.0),
    "strain_point": st.floats(100.0, 900.0),
    "softening_point": st.floats(300.0, 1100.0),
    "working_point": st.floats(500.0, 1500.0),
    "expansion": st.floats(-1e-6, 3e-5),
    "density": st.floats(1000.0, 8000.0),
}


@given(_PERCENT, st.fixed_dictionaries({}, optional=_MAYBE))
def test_any_glass_has_finite_properties_in_order_or_a_plain_error(
    percent: dict[str, float], points: dict[str, float]
) -> None:
    try:
        silica = 100.0 - sum(percent.values())
        composition = Composition.from_percent({"SiO2": silica, **percent})
        properties = properties_of(Glass("any", composition, measured(**points)))
    except LehrkeeperError:
        return
    values = known(properties)
    assert values == sorted(set(values))
    assert all(math.isfinite(v) for v in values)
    for estimate in (properties.density, properties.youngs_modulus, properties.expansion):
        assert math.isfinite(estimate.value)
    assert 0.0 < properties.poissons_ratio.value < 0.5


@given(st.fixed_dictionaries({}, optional=_MAYBE))
def test_any_measured_points_alone_give_points_in_order_or_a_plain_error(
    points: dict[str, float],
) -> None:
    try:
        values = known(properties_of(Glass("any", None, measured(**points))))
    except LehrkeeperError:
        return
    assert values == sorted(set(values))
    assert all(math.isfinite(v) for v in values)
