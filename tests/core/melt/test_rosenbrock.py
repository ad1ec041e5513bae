"""The integrator against exact solutions and, on a stiff problem, scipy's Radau."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from core.melt.rosenbrock import rosenbrock_step


def run(rate, jacobian, by_time, state, end, steps):
    time, step = 0.0, end / steps
    for _ in range(steps):
        state, _ = rosenbrock_step(
            rate, time, state, step, rate(time, state), jacobian(time, state), by_time(time, state)
        )
        time += step
    return state


def cooling(time, y):  # a body that radiates into surroundings which change with time
    return np.array([-(y[0] ** 4) + np.sin(time)])


def test_halving_the_step_cuts_the_error_to_an_eighth():
    exact = solve_ivp(cooling, (0, 2), [1.5], method="Radau", rtol=1e-12, atol=1e-13).y[0, -1]
    errors = []
    for steps in (20, 40, 80):
        found = run(
            cooling,
            lambda _t, y: np.array([[-4 * y[0] ** 3]]),
            lambda t, _y: np.array([np.cos(t)]),
            np.array([1.5]),
            2.0,
            steps,
        )
        errors.append(abs(found[0] - exact))
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert orders == pytest.approx(3.0, abs=0.4)


def test_a_stiff_system_takes_large_steps_and_keeps_its_sum():
    # Two stores that exchange a million times faster than they drain into a third.
    flow = np.array([[-1e6, 1e6, 0.0], [1e6, -1e6 - 1.0, 0.0], [0.0, 1.0, 0.0]])
    start = np.array([1.0, 0.0, 0.0])
    found = run(lambda _t, y: flow @ y, lambda _t, _y: flow, lambda _t, y: 0.0 * y, start, 2.0, 40)
    assert found.sum() == pytest.approx(1.0, abs=1e-9)
    assert found[2] == pytest.approx(1.0 - np.exp(-1.0), abs=1e-4)


def test_a_singular_system_is_refused_not_solved():
    found = rosenbrock_step(
        lambda _t, y: 0.0 * y,
        0.0,
        np.array([1.0]),
        1.0,
        np.array([0.0]),
        np.array([[2.0]]),
        np.array([0.0]),
    )
    assert found is None
