"""Trials of the studio's own: errors add up, and impossible trials are refused with the field."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import GlassError
from core.glass.glass import MeasuredPoints, MeasuredViscosity
from core.glass.trial import FibreTest, ObservedAnnealing, SagTest, Section

FIBRE = FibreTest(
    temperature=820.0, diameter=0.65e-3, length=0.2, load=0.2, elongation=1e-3, duration=300.0
)
SAG = SagTest(temperature=870.0, span=0.2, thickness=4e-3, sag=8e-3, duration=1800.0)


def without_errors(trial):
    zero = {name: 0.0 for name in vars(trial) if name.endswith("_error")}
    return dataclasses.replace(trial, **zero)


@pytest.mark.parametrize("trial", [FIBRE, SAG], ids=["fibre", "sag"])
@pytest.mark.parametrize("section", Section)
def test_the_error_is_what_a_thousand_repetitions_scatter(trial, section):
    if isinstance(trial, SagTest):
        trial = dataclasses.replace(trial, section=section)
    generator = np.random.default_rng(3)
    quantities = [n.removesuffix("_error") for n in vars(trial) if n.endswith("_error")]
    logs = []
    for _ in range(4000):
        moved = {
            name: getattr(trial, name)
            + getattr(trial, f"{name}_error") * generator.standard_normal()
            for name in quantities
        }
        logs.append(dataclasses.replace(trial, **moved).viscosity().log_viscosity)
    assert trial.viscosity().log_error == pytest.approx(float(np.std(logs)), rel=0.06)


@given(st.floats(0.5, 3.0), st.sampled_from(["diameter", "length", "elongation", "load"]))
def test_a_wider_error_never_makes_a_trial_surer(factor, name):
    field = f"{name}_error"
    wider = dataclasses.replace(FIBRE, **{field: factor * getattr(FIBRE, field)})
    ratio = wider.viscosity().log_error / FIBRE.viscosity().log_error
    assert (ratio >= 1.0) is (factor >= 1.0)


def test_errors_of_time_and_temperature_join_by_the_steepness():
    point = MeasuredViscosity(10.0, 850.0, temperature_error=3.0, log_error=0.1)
    assert point.standard_error(40.0) == pytest.approx(5.0)
    assert without_errors(SAG).viscosity().standard_error(40.0) == 0.0
    assert ObservedAnnealing(800.0).viscosity().standard_error(25.0) == 8.0


def test_a_hotter_glass_stretches_and_sags_faster_at_a_lower_viscosity():
    faster = dataclasses.replace(FIBRE, duration=FIBRE.duration / 10)
    assert faster.viscosity().log_viscosity == pytest.approx(FIBRE.viscosity().log_viscosity - 1)
    deeper = dataclasses.replace(SAG, sag=SAG.sag * 2)
    moved = SAG.viscosity().log_viscosity - deeper.viscosity().log_viscosity
    assert moved == pytest.approx(math.log10(2))


@pytest.mark.parametrize(
    ("trial", "field"),
    [
        (dataclasses.replace(FIBRE, load=0.0), "load"),
        (dataclasses.replace(FIBRE, temperature=float("nan")), "temperature"),
        (dataclasses.replace(FIBRE, elongation=0.02), "elongation"),
        (dataclasses.replace(FIBRE, load=2e-5, diameter=0.3e-3), "load"),
        (dataclasses.replace(FIBRE, diameter_error=-1e-6), "diameter_error"),
        (dataclasses.replace(FIBRE, duration_error=float("inf")), "duration_error"),
        (dataclasses.replace(SAG, sag=-1e-3), "sag"),
        (dataclasses.replace(SAG, sag=30e-3), "sag"),
        (dataclasses.replace(SAG, thickness=30e-3), "span"),
        (ObservedAnnealing(0.0), "temperature"),
    ],
)
def test_impossible_trials_name_the_quantity(trial, field):
    with pytest.raises(GlassError) as caught:
        trial.viscosity()
    assert caught.value.field == field
    assert caught.value.remedy


def test_a_trial_alone_is_something_measured():
    assert MeasuredPoints(source="a sheet", annealing_point_error=3.0).is_empty
    assert not MeasuredPoints(viscosities=(FIBRE.viscosity(),)).is_empty


def test_a_fault_is_told_without_a_number_in_other_units_than_were_typed():
    with pytest.raises(GlassError) as caught:
        dataclasses.replace(SAG, sag=-3e-3).viscosity()
    assert caught.value.message == "The sag of the sag test must be more than 0."
    assert caught.value.field == "sag"
