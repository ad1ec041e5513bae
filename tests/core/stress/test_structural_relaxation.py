"""Structure, step by step, against its own equations solved tightly and its limits."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from test_engine import GLASS, ROOM, SOAK, piece

from core.errors import StressError
from core.glass.fixed_points import ANNEALING, STRAIN
from core.stress.batch import lay_out
from core.stress.relaxation import SODA_LIME, Relaxation, liquid_of, log_rate
from core.stress.structure import Structure, carry, reduced_step

BATCH = lay_out([piece()], 5)
LIQUID = tuple(term[:, None] for term in BATCH.liquid)


def followed(rate_per_hour: float, steps: int, end: float = 450.0) -> float:
    """Fictive temperature after steady cooling in equal steps."""
    structure = Structure(BATCH, foretold=1e-9)
    now = np.full((1, 5), SOAK)
    state = structure.begin(now, now)
    step = np.array([(SOAK - end) / (rate_per_hour / 3600.0) / steps])
    none = np.zeros((1, 5))
    for cooler in np.linspace(SOAK, end, steps + 1)[1:]:
        new = np.full((1, 5), cooler)
        state = structure.step(state, now, new, none, step).state
        now = new
    return float(state.fictive[0, 0])


def solved(rate_per_hour: float, end: float = 450.0) -> float:
    """The same by an implicit Runge-Kutta method of scipy, in time."""
    shares, times = BATCH.structure_shares[:, 0], BATCH.structure_times[:, 0]
    per_second = rate_per_hour / 3600.0

    def slope(time, fictive):
        now = SOAK - per_second * time
        rate = log_rate(*LIQUID, SODA_LIME.non_linearity, now, shares @ fictive)
        return (now - fictive) / times * float(np.exp(rate)[0, 0])

    end_time = (SOAK - end) / per_second
    found = solve_ivp(slope, (0, end_time), np.full(6, SOAK), method="Radau", rtol=1e-9, atol=1e-8)
    return float(shares @ found.y[:, -1])


@pytest.mark.parametrize("rate", [3.0, 100.0, 3000.0])
def test_fictive_temperature_is_of_second_order_in_the_step(rate):
    exact = solved(rate)
    errors = [abs(followed(rate, steps) - exact) for steps in (100, 200, 400)]
    assert errors[0] < 0.02
    assert errors[1] < errors[0] / 3.0
    assert errors[2] < errors[1] / 3.0


def test_no_step_is_too_long_to_be_stable():
    for steps in (1, 2, 3, 7):
        assert 450.0 <= followed(30.0, steps) <= SOAK


def test_slow_cooling_ends_with_a_lower_fictive_temperature():
    ends = [followed(rate, 200) for rate in (1.0, 10.0, 100.0, 1000.0)]
    assert ends == sorted(ends)
    assert all(450.0 < end < SOAK for end in ends)


def test_at_rest_the_viscosity_is_the_liquids_own():
    liquid = liquid_of(GLASS)
    for point in (STRAIN, ANNEALING):
        at = liquid.temperature(point.log_viscosity)
        kelvin = np.full((1, 1), at)
        found = -log_rate(*LIQUID, SODA_LIME.non_linearity, kelvin, kelvin)[0, 0]
        seconds = 10.0**point.log_viscosity / BATCH.shear_modulus[0]
        assert math.exp(found) == pytest.approx(seconds, rel=1e-9)
    assert liquid.temperature(STRAIN.log_viscosity) == pytest.approx(GLASS.strain_point.value)
    assert liquid.temperature(ANNEALING.log_viscosity) == pytest.approx(GLASS.annealing_point.value)


def test_cold_glass_keeps_its_structure():
    structure = Structure(BATCH, foretold=1e-9)
    cold, frozen = np.full((1, 5), ROOM), np.full((1, 5), 780.0)
    state = structure.begin(cold, frozen)
    for _ in range(50):
        state = structure.step(state, cold, cold, 0.0 * cold, np.array([86400.0])).state
    assert state.fictive == pytest.approx(frozen, abs=1e-6)


@pytest.mark.parametrize("y", [0.0, 1e-12, 1e-5, 9e-5, 1.1e-4, 0.01, 1.0, 30.0, 1e4, 1e30])
def test_means_over_a_step(y):
    kept, even, odd = (float(v) for v in carry(np.array(y)))
    u = (np.polynomial.legendre.leggauss(60)[0] + 1.0) / 2.0
    weight = np.polynomial.legendre.leggauss(60)[1] / 2.0
    assert kept == pytest.approx(math.exp(-min(y, 700.0)), abs=1e-15)
    if y <= 30.0:
        left = np.exp(-y * (1.0 - u))
        assert even == pytest.approx(weight @ left, rel=1e-9)
        assert odd == pytest.approx(weight @ (left * (2.0 * u - 1.0)), abs=2e-5)
    else:
        assert even == pytest.approx(1.0 / y, rel=1e-9)
        assert odd == pytest.approx(1.0 / y, rel=1e-3)


def test_reduced_time_of_a_step_lies_between_the_rates_at_its_ends():
    start = np.linspace(-60.0, 20.0, 41)
    for change in (-30.0, -0.3, 0.0, 1e-9, 0.3, 30.0):
        reduced, skew, activity = reduced_step(start, start + change, np.array(100.0))
        ends = 100.0 * np.exp(start), 100.0 * np.exp(start + change)
        assert (reduced >= np.minimum(*ends) * (1 - 1e-12)).all()
        assert (reduced <= np.maximum(*ends) * (1 + 1e-12)).all()
        assert skew == pytest.approx(-math.tanh(change / 2.0), abs=2e-9)
        assert ((activity >= 0.0) & (activity <= 1.0)).all()


@pytest.mark.parametrize(
    ("shares", "times"),
    [
        ((0.5, 0.4), (1.0, 2.0)),
        ((1.0,), (1.0, 2.0)),
        ((1.0,), (0.0,)),
        ((1.0,), (math.nan,)),
        ((), ()),
    ],
)
def test_a_spectrum_that_is_none_is_refused(shares, times):
    with pytest.raises(StressError, match="spectrum"):
        Relaxation(shares, times, (1.0,), (1.0,))


@pytest.mark.parametrize("name", ["non_linearity", "liquid_expansion_ratio"])
@pytest.mark.parametrize("value", [-0.1, 1000.0, float("nan")])
def test_impossible_relaxation_is_refused(name, value):
    with pytest.raises(StressError, match="Non-linearity"):
        replace(SODA_LIME, **{name: value})
