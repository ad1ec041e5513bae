"""Lakatos T., Johansson L.-G., Simmingskold B. (1976), Updated factors for calculation of
viscosity, Glasteknisk Tidskrift: the paper's own check glasses (wt%) and calculated temperatures.
"""

import pytest
from lakatos_glasses import GLASSES

from core.composition.composition import Composition
from core.glass.lakatos_1976 import LAKATOS_1976, vft_curve
from core.units import ZERO_CELSIUS


@pytest.mark.parametrize("name", GLASSES)
def test_the_papers_calculated_temperatures(name: str) -> None:
    weight, temperatures = GLASSES[name]
    curve = vft_curve(weight)
    within = 1.5 if name == "F2-10" else 0.3
    for log_viscosity, celsius in zip((1.0, 3.0, 5.0), temperatures, strict=True):
        assert curve.temperature(log_viscosity) - ZERO_CELSIUS == pytest.approx(celsius, abs=within)


@pytest.mark.parametrize("name", GLASSES)
def test_the_papers_own_glasses_are_inside_its_range(name: str) -> None:
    evaluation = LAKATOS_1976.evaluate(Composition.from_percent(GLASSES[name][0]))
    assert evaluation.outside == ()
