import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from core.errors import GlassError
from core.glass.viscosity_curve import CorrectedCurve, VftCurve, ViscosityCurve, vft_through

FLOAT = VftCurve(a=-2.585, b=4215.0, t0=536.15)  # window glass, Seward and Vascott 2005


@st.composite
def curves(draw: st.DrawFn) -> VftCurve:
    return VftCurve(
        a=draw(st.floats(-6.0, 0.0)), b=draw(st.floats(1000.0, 12000.0)), t0=draw(st.floats(0, 800))
    )


@given(curves(), st.floats(0.5, 16.0))
def test_temperature_and_viscosity_undo_each_other(curve: VftCurve, log_viscosity: float) -> None:
    temperature = curve.temperature(log_viscosity)
    assert curve.log_viscosity(temperature) == pytest.approx(log_viscosity, abs=1e-9)


@given(
    curves(),
    st.lists(st.floats(0.5, 14.0), min_size=3, max_size=3, unique=True),
)
def test_three_points_give_the_curve_back(curve: VftCurve, logs: list[float]) -> None:
    # The points come in any order.
    assume(min(np.diff(sorted(logs))) > 0.5)
    again = vft_through([(log, curve.temperature(log)) for log in logs])
    assert again.a == pytest.approx(curve.a, abs=1e-4)
    assert again.b == pytest.approx(curve.b, rel=1e-4)
    assert again.t0 == pytest.approx(curve.t0, abs=0.1)


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([(12.0, 800.0), (6.6, 990.0)], "three points"),
        ([(12.0, 800.0), (6.6, 790.0), (1.5, 1600.0)], "must fall"),
        ([(12.0, 800.0), (6.6, 800.0), (1.5, 1600.0)], "must fall"),
        ([(12.0, 800.0), (12.0, 990.0), (1.5, 1600.0)], "must fall"),
        # Concave and straight: no VFT curve.
        ([(12.0, 800.0), (10.0, 1000.0), (1.5, 1200.0)], "No VFT curve"),
        ([(12.0, 800.0), (8.0, 1000.0), (4.0, 1200.0)], "No VFT curve"),
        ([(12.0, float("nan")), (6.6, 990.0), (1.5, 1600.0)], "not all numbers"),
    ],
)
def test_points_no_glass_has(points: list[tuple[float, float]], words: str) -> None:
    with pytest.raises(GlassError, match=words):
        vft_through(points)


@pytest.mark.parametrize("b", [0.0, -1.0, float("nan"), float("inf")])
def test_a_curve_must_fall(b: float) -> None:
    with pytest.raises(GlassError, match="not a viscosity curve"):
        VftCurve(a=-2.5, b=b, t0=500.0)


@pytest.mark.parametrize(
    "curve", [FLOAT, CorrectedCurve(FLOAT, [(12.0, 820.0), (6.6, 990.0)])], ids=["plain", "moved"]
)
def test_arrays_keep_their_shape_and_rigid_glass_is_infinite(curve: ViscosityCurve) -> None:
    kelvin = np.array([[300.0, 400.0, 800.0], [900.0, 1100.0, 1700.0]])
    logs = curve.log_viscosity(kelvin)
    assert logs.shape == kelvin.shape
    assert np.isposinf(logs[0, :2]).all()
    assert not np.isnan(logs).any()
    assert isinstance(curve.log_viscosity(900.0), float)
    assert curve.log_viscosity(900.0) == pytest.approx(logs[1, 0])
    np.testing.assert_allclose(curve.temperature(logs[1]), kelvin[1])


def test_a_viscosity_never_reached_is_refused() -> None:
    with pytest.raises(GlassError, match="never gets as thin"):
        FLOAT.temperature(-3.0)


@given(
    st.lists(
        st.tuples(st.sampled_from([13.5, 12.0, 6.6, 3.0, 1.0]), st.floats(-12.0, 12.0)),
        min_size=1,
        max_size=5,
        unique_by=lambda pair: pair[0],
    )
)
def test_a_corrected_curve_meets_its_points_and_still_falls(
    shifts: list[tuple[float, float]],
) -> None:
    points = [(log, FLOAT.temperature(log) + shift) for log, shift in shifts]
    try:
        curve = CorrectedCurve(FLOAT, points)
    except GlassError:
        # Only strain and annealing point lie near enough to turn the curve over.
        assert {13.5, 12.0} <= {log for log, _ in points}
        return
    for log, temperature in points:
        assert curve.temperature(log) == pytest.approx(temperature, abs=1e-9)
        assert curve.log_viscosity(temperature) == pytest.approx(log, abs=1e-7)
    logs = np.linspace(0.0, 15.0, 301)
    temperatures = curve.temperature(logs)
    assert (np.diff(temperatures) < 0).all()
    np.testing.assert_allclose(curve.log_viscosity(temperatures), logs, atol=1e-6)
    # Beyond the ends the shift stays what it was at the last point.
    last_log, last_shift = max(shifts)
    assert curve.temperature(14.5) - FLOAT.temperature(14.5) == pytest.approx(last_shift, abs=1e-9)
    assert last_log <= 13.5


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([], "No measured point"),
        ([(12.0, 820.0), (12.0, 821.0)], "same viscosity"),
        ([(13.5, 830.0), (12.0, 820.0)], "cannot belong to one glass"),
        ([(12.0, float("nan"))], "not a number"),
    ],
)
def test_corrections_no_glass_has(points: list[tuple[float, float]], words: str) -> None:
    with pytest.raises(GlassError, match=words):
        CorrectedCurve(FLOAT, points)
