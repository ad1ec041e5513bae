"""Coefficients, report and open data belong together and can be had again."""

import hashlib
import re
from pathlib import Path

import numpy as np
import pytest

from core.glass.open_data.reading import FILE as DATA
from core.glass.open_data.reading import read_open_data
from core.glass.property_fit.coefficients import FILE, MODEL_NAME, model
from core.glass.property_fit.features import features, tens_of_mole_percent
from core.glass.property_fit.fitted_viscosity import model_version
from core.glass.property_fit.fitting import fit_value, space_of
from core.glass.property_fit.value_forms import VALUE_FORM

REPORT = FILE.with_name("REPORT.md")


def test_report_is_of_these_coefficients_and_this_data():
    stated = re.search(r"Model ([0-9a-f]+), data ([0-9a-f]+)\.", REPORT.read_text("utf-8"))
    assert stated is not None
    assert stated[1] == hashlib.sha256(FILE.read_bytes()).hexdigest()[:8] == model_version()
    assert stated[2] == hashlib.sha256(DATA.read_bytes()).hexdigest()[:12]
    assert MODEL_NAME == "fitted to open data"


def test_files_are_small():
    files = [path for path in Path(FILE).parent.iterdir() if path.suffix == ".npz"]
    assert files == [FILE]
    assert FILE.stat().st_size <= 300_000


@pytest.mark.parametrize("name", ["poissons_ratio"])
def test_fitting_again_gives_the_stored_coefficients(name):
    data = read_open_data()
    everything = np.ones(len(data.year), dtype=bool)
    space = space_of(data, everything)
    assert space.centres == pytest.approx(model().space.centres, abs=1e-5)
    phi = features(tens_of_mole_percent(data.weight_percent), space)
    _, again = fit_value(data, everything, space, phi, VALUE_FORM[name])
    with np.load(FILE) as stored:
        assert again.beta == pytest.approx(stored[f"{name}.beta"], rel=1e-3, abs=1e-6)
