"""Points, errors and trials in a TOML file: read into SI, faults named by line and key."""

from pathlib import Path

import pytest

from core.errors import LoadError
from core.glass.glass import Glass
from core.glass.properties import properties_of
from core.glass.trial import FibreTest, ObservedAnnealing, SagTest, Section
from core.load.load_file import read_glass
from core.units import ZERO_CELSIUS

HEAD = 'composition = "SiO2 72, Na2O 15, CaO 9, MgO 3, Al2O3 1"\n[measured]\n'
FIBRE = """
[[measured.trials]]
kind = "fibre"
temperature_C = 580
diameter_mm = 0.6
length_mm = 200
load_g = 100
elongation_mm = 1.6
duration_min = 10
load_error_g = 2
"""
SAG = """
[[measured.trials]]
kind = "sag"
section = "rod"
temperature_C = 600
temperature_error_C = 7
span_mm = 200
thickness_mm = 5
sag_mm = 4
duration_min = 30
"""


def glass_of(tmp_path: Path, text: str):
    file = tmp_path / "mine.toml"
    file.write_text(HEAD + text, encoding="utf-8")
    return read_glass(file)


def test_trials_become_the_viscosities_they_measured(tmp_path):
    text = FIBRE + SAG + '[[measured.trials]]\nkind = "annealing"\ntemperature_C = 541\n'
    text += '[[measured.trials]]\nkind = "viscosity"\ntemperature_C = 900\nlog10_Pa_s = 4.1\n'
    fibre, sag, annealing, viscosity = glass_of(tmp_path, text).measured.viscosities
    expected = FibreTest(
        580 + ZERO_CELSIUS, 0.6e-3, 0.2, 0.1, 1.6e-3, 600.0, load_error=2e-3
    ).viscosity()
    assert fibre.log_viscosity == pytest.approx(expected.log_viscosity)
    assert fibre.log_error == pytest.approx(expected.log_error)
    rod = SagTest(600 + ZERO_CELSIUS, 0.2, 5e-3, 4e-3, 1800.0, Section.ROD).viscosity()
    assert sag.log_viscosity == pytest.approx(rod.log_viscosity)
    assert sag.temperature_error == 7.0
    assert annealing == ObservedAnnealing(541 + ZERO_CELSIUS).viscosity()
    assert (viscosity.log_viscosity, viscosity.temperature) == (4.1, 900 + ZERO_CELSIUS)


def test_the_demo_glass_is_surer_for_its_trials():
    tried = read_glass(Path(__file__).parents[3] / "demo_data" / "quay_clear_tried.toml")
    assert len(tried.measured.viscosities) == 2
    known = properties_of(tried)
    alone = properties_of(Glass(tried.name, tried.composition))
    assert known.warnings == ()
    assert known.annealing_point.plus_minus < 0.9 * alone.annealing_point.plus_minus


def test_errors_are_read_beside_their_points(tmp_path):
    measured = glass_of(
        tmp_path,
        "annealing_point_C = 540\nannealing_point_error_C = 2\nexpansion_per_K = 9e-6\n"
        "expansion_error_per_K = 2e-7\nyoungs_modulus_GPa = 71\nyoungs_modulus_error_GPa = 1.5\n",
    ).measured
    assert measured.annealing_point == 540 + ZERO_CELSIUS
    assert measured.annealing_point_error == 2.0
    assert measured.expansion_error == 2e-7
    assert measured.youngs_modulus_error == pytest.approx(1.5e9)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("annealing_point_error_C = -1\nannealing_point_C = 540\n", 3, "more than nothing"),
        ("annealing_point_err_C = 1\n", 3, "annealing_point_error_C"),
        (FIBRE.replace("load_g = 100", "load_g = 0"), 9, "load"),
        (FIBRE.replace("load_g = 100\n", ""), 4, "load_g of the trial is missing"),
        (FIBRE.replace("load_g", "load_kg"), 9, "load_g"),
        (FIBRE.replace('"fibre"', '"stretch"'), 5, '"fibre"'),
        (FIBRE.replace('kind = "fibre"', ""), 4, "no kind"),
        (FIBRE + SAG.replace("sag_mm = 4", "sag_mm = 60"), 21, "too deep"),
        (
            '[[measured.trials]]\nkind = "viscosity"\ntemperature_C = 900\nlog10_Pa_s = 40\n',
            3,
            "40",
        ),
    ],
)
def test_faults_are_placed(tmp_path, text, line, words):
    with pytest.raises(LoadError) as caught:
        glass_of(tmp_path, text)
    assert words in str(caught.value)
    assert caught.value.place.line == line
