"""How long the fitted properties of glasses take, beside plain numpy doing comparable arithmetic.

Run ``python -m pytest tests/benchmarks --benchmark-only``; figures in brackets are the ratios
within each group. Wanted: 10,000 compositions with all intervals within a second on one core, one
within a millisecond.
"""

import numpy as np
import pytest

from core.composition.composition import Composition
from core.glass.open_data.reading import OXIDES
from core.glass.property_fit.domain import in_range
from core.glass.property_fit.fitted_points import weight_rows
from core.glass.property_fit.fitted_values import fitted_values
from core.glass.property_fit.fitted_viscosity import fitted_viscosity, point_values

MANY = 10_000
CLEAR = {"SiO2": 72.0, "Na2O": 14.0, "CaO": 10.0, "MgO": 4.0}


def many_rows():
    generator = np.random.default_rng(0)
    row = weight_rows([Composition.from_percent(CLEAR)])
    return row + 5.0 * generator.random((MANY, len(OXIDES)))


def everything(rows):
    return point_values(fitted_viscosity(rows)), fitted_values(rows), in_range(rows)


@pytest.mark.benchmark(group="10,000 glasses with intervals against a matrix product by numpy")
def test_ten_thousand_glasses(benchmark):
    points, values, inside = benchmark(everything, many_rows())
    assert points["annealing_point"].low.shape == inside.shape == (MANY,)
    assert np.isfinite(values["density"].high).all()


@pytest.mark.benchmark(group="10,000 glasses with intervals against a matrix product by numpy")
def test_peer_matrix_product(benchmark):
    # As many features, numbers and samples as the model has, without anything else around them.
    generator = np.random.default_rng(0)
    features = generator.random((MANY, 382))
    coefficients = generator.random((382, 576))
    assert benchmark(np.matmul, features, coefficients).shape == (MANY, 576)


@pytest.mark.benchmark(group="one glass with intervals against a matrix product by numpy")
def test_one_glass(benchmark):
    row = weight_rows([Composition.from_percent(CLEAR)])
    points, _, _ = benchmark(everything, row)
    assert points["annealing_point"].value.shape == (1,)


@pytest.mark.benchmark(group="one glass with intervals against a matrix product by numpy")
def test_peer_one_matrix_product(benchmark):
    generator = np.random.default_rng(0)
    features = generator.random((1, 382))
    coefficients = generator.random((382, 576))
    assert benchmark(np.matmul, features, coefficients).shape == (1, 576)
