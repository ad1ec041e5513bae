import numpy as np
import pytest

from core.composition.composition import Composition
from core.errors import GlassError
from core.glass import material
from core.glass.density import density_of
from core.glass.elastic import elastic_of
from core.glass.expansion import expansion_of
from core.glass.glass import Glass, GlassProperties, MeasuredPoints
from core.glass.heat import (
    conductivity,
    heat_capacity,
    heat_capacity_terms_of,
    mean_heat_capacity,
    thermal_diffusivity,
)
from core.glass.library import find_glass
from core.glass.properties import properties_of
from core.glass.stress_optical import stress_optical_coefficient_of

SODA_LIME = Composition.from_percent({"SiO2": 74.0, "Na2O": 16.0, "CaO": 10.0})


@pytest.fixture(scope="module")
def float_glass() -> GlassProperties:
    return properties_of(Glass("float", find_glass("clear float").composition))


def test_expansion_by_hand() -> None:
    # mol%: 74/60.083, 16/61.979, 10/56.077 -> 73.64, 15.43, 10.66 less rounding; by hand
    # 0.7376 (38 - 6.76) + 0.1546 395 + 0.1068 130 = 98.0e-7 1/K.
    estimate, warnings = expansion_of(SODA_LIME)
    assert estimate.value == pytest.approx(98.0e-7, rel=2e-3)
    assert warnings == ()


def test_alkali_raises_the_expansion_and_silica_lowers_it() -> None:
    def at(na2o: float) -> float:
        return expansion_of(Composition.from_percent({"SiO2": 90 - na2o, "Na2O": na2o, "CaO": 10}))[
            0
        ].value

    assert at(12.0) < at(15.0) < at(18.0)


def test_an_expansion_below_silica_is_not_believed() -> None:
    estimate, warnings = expansion_of(Composition.from_percent({"SiO2": 30, "ZrO2": 70}))
    assert estimate.value == pytest.approx(5e-7)
    assert "Enter a measured one" in warnings[-1]


def test_density_by_hand() -> None:
    # Molar mass 59.83 g/mol over molar volume 24.05 cm3/mol.
    estimate, warnings = density_of(SODA_LIME)
    assert estimate.value == pytest.approx(2455.0, rel=0.02)
    assert warnings == ()


@pytest.mark.parametrize(
    ("amounts", "plus_minus"),
    [
        ({"SiO2": 74, "Na2O": 16, "CaO": 10}, 40.0),
        ({"SiO2": 58, "K2O": 12, "PbO": 30}, 60.0),
        ({"SiO2": 60, "K2O": 15, "BaO": 25}, 70.0),
        ({"SiO2": 81, "B2O3": 13, "Na2O": 4, "Al2O3": 2}, 80.0),
    ],
)
def test_the_density_error_depends_on_the_kind_of_glass(
    amounts: dict[str, float], plus_minus: float
) -> None:
    assert density_of(Composition.from_percent(amounts))[0].plus_minus == plus_minus


def test_oxides_without_factors_are_named() -> None:
    ceria = Composition.from_percent({"SiO2": 70, "Na2O": 15, "CaO": 9, "CeO2": 6})
    assert "CeO2" in expansion_of(ceria)[1][0]
    assert "CeO2" in density_of(ceria)[1][0]
    assert "CeO2" in heat_capacity_terms_of(ceria)[1][0]
    more = Composition.from_percent({"SiO2": 62, "Na2O": 15, "CaO": 9, "CeO2": 14})
    assert "CeO2" in elastic_of(more, 2700.0)[2][0]


def test_heat_capacity_is_the_derivative_of_the_heat_content(float_glass: GlassProperties) -> None:
    kelvin = np.linspace(280.0, 1300.0, 200)
    celsius = kelvin - 273.15
    step = 1e-3

    def heat_content(temperature: np.ndarray) -> np.ndarray:
        return (temperature - 273.15) * mean_heat_capacity(float_glass, temperature)

    slope = (heat_content(kelvin + step) - heat_content(kelvin - step)) / (2 * step)
    np.testing.assert_allclose(heat_capacity(float_glass, kelvin), slope, rtol=1e-6)
    assert (np.diff(slope[celsius > 0]) > 0).all()


def test_leaving_an_oxide_uncovered_does_not_lower_the_heat_capacity() -> None:
    # Shares are brought back to the covered oxides: barium for a tenth of everything changes
    # the warning, not the terms.
    plain = heat_capacity_terms_of(SODA_LIME)[0]
    with_barium = Composition.from_percent({"SiO2": 66.6, "Na2O": 14.4, "CaO": 9.0, "BaO": 10.0})
    terms, warnings = heat_capacity_terms_of(with_barium)
    assert terms == pytest.approx(plain)
    assert "10 wt%" in warnings[0]


def test_a_glass_of_none_of_the_known_oxides_still_has_a_heat_capacity() -> None:
    terms, warnings = heat_capacity_terms_of(Composition.from_percent({"P2O5": 60, "ZnO": 40}))
    assert terms[1] > 0
    assert "100 wt%" in warnings[0]


def test_diffusivity_takes_arrays_and_numbers(float_glass: GlassProperties) -> None:
    kelvin = np.array([[300.0, 500.0], [700.0, 900.0]])
    values = thermal_diffusivity(float_glass, kelvin)
    assert values.shape == kelvin.shape
    assert thermal_diffusivity(float_glass, 500.0) == pytest.approx(values[0, 1])
    by_hand = conductivity(float_glass, 500.0) / (
        float_glass.density.value * heat_capacity(float_glass, 500.0)
    )
    assert values[0, 1] == pytest.approx(by_hand)
    # Soda-lime glass about 4-5.5e-7 m2/s (general glass data, from memory, unverified).
    assert ((values > 4e-7) & (values < 5.5e-7)).all()


@pytest.mark.parametrize(
    ("lead", "expected"),
    # Optical glass sheets (from memory, unverified): LLF1, F2, SF6, SF57.
    [(0.0, 2.62), (30.0, 3.05), (46.0, 2.81), (70.0, 0.65), (75.0, 0.02)],
)
def test_stress_optical_coefficient_of_lead_glasses(lead: float, expected: float) -> None:
    glass = Composition.from_percent({"SiO2": 95.0 - lead, "K2O": 5.0, "PbO": lead})
    estimate, warnings = stress_optical_coefficient_of(glass)
    assert estimate.value == pytest.approx(expected * 1e-12, rel=1e-6)
    assert warnings == ()


def test_beyond_the_known_lead_content_no_coefficient_is_trusted() -> None:
    glass = Composition.from_percent({"SiO2": 20.0, "PbO": 80.0})
    assert "80 wt%" in stress_optical_coefficient_of(glass)[1][0]


def test_a_density_that_does_not_go_with_the_analysis_is_refused() -> None:
    with pytest.raises(GlassError, match="does not go with") as caught:
        elastic_of(SODA_LIME, 4500.0)
    assert caught.value.field == "density"


def test_a_density_nobody_entered_is_not_blamed_on_the_user(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Published elastic factors fail on the model's density: ours stand, without that opinion."""

    def refuse(*_: object) -> None:
        raise GlassError("A density of 4358 kg/m3 does not go with this analysis.")

    monkeypatch.setattr(material, "elastic_of", refuse)
    alone = properties_of(Glass("x", SODA_LIME))
    assert 60e9 < alone.youngs_modulus.value < 80e9
    assert {opinion.key for opinion in alone.opinions} == {"expansion", "density"}
    with pytest.raises(GlassError, match="density"):
        properties_of(Glass("x", SODA_LIME, measured=MeasuredPoints(density=2500.0)))
