"""What measurements and errors of the analysis do to a glass: never the wrong way."""

import dataclasses
import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.composition.composition import Composition
from core.composition.parse import parse_composition
from core.errors import GlassError
from core.glass.fitted_curve import FittedCurve
from core.glass.fixed_points import FIXED_POINTS
from core.glass.glass import Glass, GlassProperties, MeasuredPoints, MeasuredViscosity
from core.glass.library import find_glass
from core.glass.properties import properties_of, viscosity_curve_of
from core.glass.trial import FibreTest, ObservedAnnealing, SagTest
from core.units import ZERO_CELSIUS

GLASSES = {
    "soda-lime": Composition.from_percent({"SiO2": 72, "Na2O": 15, "CaO": 9, "MgO": 3, "Al2O3": 1}),
    "lead": Composition.from_percent({"SiO2": 57, "PbO": 30, "K2O": 11, "Na2O": 2}),
    "potash": Composition.from_percent({"SiO2": 62, "K2O": 17, "CaO": 15, "MgO": 4, "P2O5": 2}),
}
SODA_LIME = GLASSES["soda-lime"]
INTERVALS = (
    *(point.key for point in FIXED_POINTS),
    *("glass_transition", "temperature_log2"),
)
OTHERS = ("expansion", "density", "youngs_modulus", "poissons_ratio", "refractive_index")
ALONG = np.linspace(1.0, 13.5, 26)


def widths(properties: GlassProperties, names: tuple[str, ...] = INTERVALS) -> list[float]:
    return [getattr(properties, name).high - getattr(properties, name).low for name in names]


def curve_widths(glass: Glass) -> np.ndarray:
    curve = viscosity_curve_of(glass)
    assert isinstance(curve, FittedCurve)
    low, high = curve.interval(ALONG)
    return high - low


def expected(glass: Glass) -> dict[str, float]:
    properties = properties_of(glass)
    return {point.key: getattr(properties, point.key).value for point in FIXED_POINTS}


FIXED = st.dictionaries(
    st.sampled_from([point.key for point in FIXED_POINTS]),
    st.tuples(st.floats(-25.0, 25.0), st.floats(1.0, 40.0)),
    min_size=1,
    max_size=4,
)


@settings(deadline=None, max_examples=40)
@given(st.sampled_from(sorted(GLASSES)), FIXED, st.booleans())
def test_more_data_never_widens_an_interval(kind, given_points, trial):
    plain = Glass("x", GLASSES[kind])
    middle = expected(plain)
    fields = {}
    steps = [plain]
    if trial:
        viscosity = MeasuredViscosity(9.0, middle["softening_point"] - 90.0, 8.0, 0.1, "trial")
        fields["viscosities"] = (viscosity,)
        steps.append(Glass("x", GLASSES[kind], MeasuredPoints(**fields)))
    for key, (shift, error) in given_points.items():
        fields |= {key: middle[key] + shift, f"{key}_error": error}
        steps.append(Glass("x", GLASSES[kind], MeasuredPoints(**fields)))
    try:
        reckoned = [properties_of(glass) for glass in steps]
        along = [curve_widths(glass) for glass in steps]
    except GlassError:  # points that cannot belong to one glass
        return
    for before, after in itertools.pairwise(reckoned):
        assert all(b <= a + 1e-9 for a, b in zip(widths(before), widths(after), strict=True))
    for before, after in itertools.pairwise(along):
        assert (after <= before + 1e-9).all()
    for properties in reckoned:
        for name in INTERVALS:
            estimate = getattr(properties, name)
            assert estimate.low < estimate.value < estimate.high
        values = [getattr(properties, point.key).value for point in FIXED_POINTS]
        assert values == sorted(set(values))


@settings(deadline=None)
@given(
    st.sampled_from(sorted(GLASSES)),
    st.sampled_from(["SiO2", "Na2O", "K2O", "CaO", "Al2O3"]),
    st.floats(0.0, 3.0),
    st.floats(0.01, 3.0),
    st.booleans(),
)
def test_a_worse_analysis_never_narrows_an_interval(kind, oxide, error, more, measured):
    points = MeasuredPoints()
    if measured:
        points = MeasuredPoints(
            annealing_point=expected(Glass("x", GLASSES[kind]))["annealing_point"]
        )

    def glass(uncertainty):
        return Glass("x", dataclasses.replace(GLASSES[kind], uncertainty=uncertainty), points)

    better = glass({oxide: error} if error else {})
    worse = glass({oxide: error + more})
    names = (*INTERVALS, *OTHERS)
    before = widths(properties_of(better), names)
    after = widths(properties_of(worse), names)
    assert all(b >= a * (1.0 - 1e-9) for a, b in zip(before, after, strict=True))
    assert (curve_widths(worse) >= curve_widths(better) - 1e-9).all()


@pytest.mark.parametrize("key", ["expansion", "density", "youngs_modulus"])
def test_a_measured_property_is_shown_and_a_poor_one_widens_nothing(key) -> None:
    alone = getattr(properties_of(Glass("x", SODA_LIME)), key)

    def measured(error: float):
        points = MeasuredPoints(**{key: 1.01 * alone.value, f"{key}_error": error * alone.value})
        return getattr(properties_of(Glass("x", SODA_LIME, points)), key)

    sure, poor = measured(0.001), measured(0.5)
    assert sure.value == poor.value == 1.01 * alone.value
    assert sure.plus_minus == pytest.approx(1.645 * 0.001 * alone.value)
    assert poor.plus_minus == pytest.approx(alone.plus_minus)


@pytest.mark.parametrize("key", ["density", "expansion", "melting_point"])
def test_a_range_in_the_analysis_goes_through_as_trying_its_ends_says(key) -> None:
    # 20 to 30 % lead, as likely anywhere between: these three follow it in nearly straight lines,
    # and the standard deviation is their change from end to end over sqrt(12).
    def at(lead: float) -> float:
        amounts = {"SiO2": 59.0, "K2O": 13.0, "Na2O": 3.0, "PbO": lead}
        total = sum(amounts.values())
        scaled = Composition.from_percent({o: 100 * a / total for o, a in amounts.items()})
        return getattr(properties_of(Glass("x", scaled)), key).value

    unsure = parse_composition("SiO2 59, K2O 13, Na2O 3, PbO 20 to 30")
    sure = dataclasses.replace(unsure, uncertainty={})
    wide, narrow = (getattr(properties_of(Glass("x", c)), key) for c in (unsure, sure))
    assert wide.value == narrow.value
    added = np.sqrt(wide.plus_minus**2 - narrow.plus_minus**2) / 1.645
    assert added == pytest.approx(abs(at(30) - at(20)) / np.sqrt(12), rel=0.1)


def test_the_curve_runs_through_measured_fixed_points_and_near_trials() -> None:
    middle = expected(Glass("x", SODA_LIME))
    alone = viscosity_curve_of(Glass("x", SODA_LIME))
    trial = MeasuredViscosity(9.0, alone.temperature(9.0) + 5.0, 4.0, 0.0, "a trial")
    points = MeasuredPoints(
        annealing_point=middle["annealing_point"] + 6.0,
        softening_point=middle["softening_point"] + 4.0,
        viscosities=(trial,),
    )
    glass = Glass("x", SODA_LIME, points)
    curve = viscosity_curve_of(glass)
    assert curve.temperature(12.0) == pytest.approx(points.annealing_point, abs=1e-6)
    assert abs(curve.temperature(9.0) - trial.temperature) < 4.0
    properties = properties_of(glass)
    assert properties.annealing_point.value == points.annealing_point
    assert properties.annealing_point.measured
    assert properties.softening_point.value == points.softening_point
    assert not properties.working_point.measured
    kelvin = np.linspace(700.0, 1800.0, 60)
    assert curve.temperature(curve.log_viscosity(kelvin)) == pytest.approx(kelvin, abs=1e-6)


@pytest.mark.parametrize(
    "trial",
    [
        # Chosen so that the glass has about the viscosity the trial gives at that temperature.
        FibreTest(ZERO_CELSIUS + 580, 0.6e-3, 0.2, 0.1, 1.6e-3, 600.0),
        SagTest(ZERO_CELSIUS + 600, 0.2, 5e-3, 4e-3, 1800.0),
        ObservedAnnealing(ZERO_CELSIUS + 540),
    ],
    ids=lambda trial: type(trial).__name__,
)
def test_each_trial_narrows_the_annealing_point(trial) -> None:
    alone = properties_of(Glass("x", SODA_LIME))
    points = MeasuredPoints(viscosities=(trial.viscosity(),))
    tried = properties_of(Glass("x", SODA_LIME, points))
    assert tried.warnings == ()
    assert tried.annealing_point.plus_minus < 0.95 * alone.annealing_point.plus_minus
    assert not tried.annealing_point.measured
    assert "moved" in tried.annealing_point.source


def test_contradicting_measurements_are_named() -> None:
    middle = expected(Glass("x", SODA_LIME))
    points = MeasuredPoints(
        annealing_point=middle["annealing_point"] + 25.0,
        viscosities=(
            MeasuredViscosity(12.0, middle["annealing_point"] - 25.0, 3.0, 0.0, "fibre test"),
        ),
    )
    warnings = properties_of(Glass("x", SODA_LIME, points)).warnings
    assert any("measured annealing point" in w and "contradicts" in w for w in warnings)
    assert any("fibre test" in w and "contradicts" in w for w in warnings)
    agreeing = dataclasses.replace(points, annealing_point=middle["annealing_point"] - 22.0)
    assert properties_of(Glass("x", SODA_LIME, agreeing)).warnings == ()


def test_a_trial_far_from_the_analysis_is_questioned_or_refused() -> None:
    middle = expected(Glass("x", SODA_LIME))["annealing_point"]

    def with_trial(kelvin: float) -> Glass:
        trial = MeasuredViscosity(12.0, kelvin, 3.0, 0.0, "sag test")
        return Glass("x", SODA_LIME, MeasuredPoints(viscosities=(trial,)))

    (warning,) = properties_of(with_trial(middle + 90.0)).warnings
    assert "sag test lies 90 °C above" in warning
    with pytest.raises(GlassError, match="sag test") as caught:
        properties_of(with_trial(middle + 400.0))
    assert caught.value.field == "viscosities"


@pytest.mark.parametrize(
    ("points", "field"),
    [
        (MeasuredPoints(annealing_point=820.0, annealing_point_error=0.0), "annealing_point_error"),
        (MeasuredPoints(density=2500.0, density_error=float("nan")), "density_error"),
        (MeasuredPoints(viscosities=(MeasuredViscosity(30.0, 800.0),)), "viscosities"),
        (MeasuredPoints(viscosities=(MeasuredViscosity(12.0, 80.0),)), "viscosities"),
        (MeasuredPoints(viscosities=(MeasuredViscosity(12.0, 800.0, 0.0),)), "viscosities"),
        (MeasuredPoints(viscosities=(MeasuredViscosity(12.0, 800.0, 5.0, -1.0),)), "viscosities"),
    ],
)
def test_impossible_errors_and_trials_are_refused(points, field) -> None:
    with pytest.raises(GlassError) as caught:
        properties_of(Glass("x", SODA_LIME, points))
    assert caught.value.field == field


def test_trials_without_an_analysis_are_said_to_count_for_nothing() -> None:
    points = MeasuredPoints(
        strain_point=780.0,
        annealing_point=815.0,
        expansion=9.5e-6,
        viscosities=(MeasuredViscosity(9.0, 900.0),),
    )
    properties = properties_of(Glass("sheet", None, points))
    assert any("only together with an analysis" in w for w in properties.warnings)
    assert properties.annealing_point.plus_minus == pytest.approx(1.645 * 3.0)


def test_a_shipped_standard_needs_no_more_data_than_its_own() -> None:
    # With five certified points the intervals are those of the points themselves.
    properties = properties_of(find_glass("DGG standard glass I"))
    assert [getattr(properties, p.key).measured for p in FIXED_POINTS] == [True] * 5
    assert properties.warnings == ()
    assert max(widths(properties)[:3]) < 15.0


def test_points_too_close_are_named_in_rounded_degrees():
    points = MeasuredPoints(strain_point=793.974, annealing_point=794.198, expansion=9e-6)
    with pytest.raises(GlassError, match=r"the strain point \(520\.8 °C\) and the annealing point"):
        properties_of(Glass("x", measured=points))
