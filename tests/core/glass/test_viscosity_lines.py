"""Curves handed out for drawing: the right ones, dashed where nothing is known."""

import numpy as np
import pytest

from core.composition.composition import Basis
from core.composition.parse import named_basis, parse_composition
from core.glass.fitted_curve import point_log_viscosity
from core.glass.fixed_points import FIXED_POINTS
from core.glass.glass import Glass, MeasuredPoints
from core.glass.library import shipped_glasses
from core.glass.properties import properties_of
from core.glass.viscosity_lines import viscosity_lines
from core.units import ZERO_CELSIUS

SODA_LIME = Glass("test", parse_composition("SiO2 72, Na2O 14, CaO 10, MgO 3, Al2O3 1"))


@pytest.mark.parametrize("name", list(shipped_glasses()))
def test_curves_of_every_shipped_glass_fall_and_meet_its_points(name):
    glass = shipped_glasses()[name]
    lines = viscosity_lines(glass)
    assert sum(line.used for line in lines) <= 1
    for line in lines:
        assert np.isfinite(line.temperature).all()
        assert (np.diff(line.temperature) < 0).all()
        assert (np.diff(line.log_viscosity) > 0).all()
        if line.low is not None:
            assert (line.low < line.temperature).all()
            assert (line.temperature < line.high).all()
    properties = properties_of(glass)
    used = next((line for line in lines if line.used), None)
    if used is None:
        return
    for point in FIXED_POINTS:
        estimate = getattr(properties, point.key)
        if estimate is None or not (
            used.log_viscosity[0] <= point.log_viscosity <= used.log_viscosity[-1]
        ):
            continue
        # The open data have softening points at another viscosity than the defined one.
        fitted = glass.composition is not None
        log = point_log_viscosity(point.key) if fitted else point.log_viscosity
        drawn = np.interp(log, used.log_viscosity, used.temperature)
        assert drawn == pytest.approx(estimate.value, abs=0.3)


def test_each_model_is_known_only_where_it_was_fitted():
    lines = {line.name: line for line in viscosity_lines(SODA_LIME)}
    # Fluegel (2007): 10^1.5 to 10^12 Pa s; Lakatos et al. (1976): 10^2 to 10^6 poise.
    for name, low, high in (("Fluegel 2007", 1.5, 12.0), ("Lakatos 1976", 1.0, 5.0)):
        line = lines[name]
        known = line.log_viscosity[line.known]
        assert known[0] == pytest.approx(low)
        assert known[-1] == pytest.approx(high)
        assert not line.used
        assert line.low is None
    fitted = lines["Fitted to open data"]
    assert fitted.used
    assert fitted.low is not None
    assert fitted.log_viscosity[fitted.known][[0, -1]] == pytest.approx([1.0, 13.5])


def test_a_glass_outside_a_model_is_nowhere_known_to_it():
    lead = Glass("lead", parse_composition("SiO2 57, PbO 29, K2O 11, Na2O 2.5, Al2O3 0.5"))
    lines = {line.name: line for line in viscosity_lines(lead)}
    assert not lines["Lakatos 1976"].known.any()


def test_measured_points_make_a_curve_of_their_own():
    measured = MeasuredPoints(annealing_point=ZERO_CELSIUS + 560.0)
    lines = viscosity_lines(Glass("test", SODA_LIME.composition, measured))
    assert [line.used for line in lines] == [True, False, False]
    drawn = np.interp(12.0, lines[0].log_viscosity, lines[0].temperature)
    assert drawn == pytest.approx(ZERO_CELSIUS + 560.0, abs=0.1)


def test_without_an_analysis_the_curve_ends_with_the_measured_points():
    two = MeasuredPoints(
        strain_point=ZERO_CELSIUS + 475, annealing_point=ZERO_CELSIUS + 515, expansion=95e-7
    )
    assert viscosity_lines(Glass("two", measured=two)) == ()
    three = MeasuredPoints(
        strain_point=ZERO_CELSIUS + 475,
        annealing_point=ZERO_CELSIUS + 515,
        softening_point=ZERO_CELSIUS + 700,
        expansion=95e-7,
    )
    (line,) = viscosity_lines(Glass("three", measured=three))
    assert (line.log_viscosity[0], line.log_viscosity[-1]) == (6.6, 13.5)
    assert line.known.all()


@pytest.mark.parametrize(
    ("text", "basis"),
    [
        ("SiO2 70, Na2O 30", None),
        ("SiO2 70, Na2O 30 wt%", Basis.WEIGHT),
        ("mol% SiO2 70; Na2O 30", Basis.MOLE),
    ],
)
def test_basis_a_text_names(text, basis):
    assert named_basis(text) is basis
