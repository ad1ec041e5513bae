"""One step of a stiffly accurate Rosenbrock method of order 3 with an error estimate.

RODAS3 of Sandu A., Verwer J.G., Blom J.G., Spee E.J., Carmichael G.R., Potra F.A. (1997),
Benchmarking stiff ODE solvers for atmospheric chemistry problems II: Rosenbrock solvers, Atmos.
Environ. 31, 3459: four stages, L-stable, embedded order 2. A linear invariant of the equations,
such as the balance of energy, is one of every step as well: each stage lies in the span of right
sides and Jacobian, both of which it annuls.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dgetrf, dgetrs

FloatArray = NDArray[np.float64]

ORDER_OF_ERROR = 3
"""The local error estimate falls with the third power of the step."""
_GAMMA = 0.5


def rosenbrock_step(
    rate: Callable[[float, FloatArray], FloatArray],
    time: float,
    state: FloatArray,
    step: float,
    first: FloatArray,
    jacobian: FloatArray,
    time_derivative: FloatArray,
) -> tuple[FloatArray, FloatArray] | None:
    """State after one step, and the estimated error of it.

    Parameters
    ----------
    rate : callable
        (time, state) to its rate of change, shape (n,).
    time, step : float
        [s].
    state, first, time_derivative : ndarray, shape (n,)
        State, its rate there, and the partial derivative of the rate by time.
    jacobian : ndarray, shape (n, n)
        Partial derivatives of the rate by the state, exact but for rounding.

    Returns
    -------
    tuple of ndarray, shape (n,), or None
        ``None`` if the equations cannot be solved: try a shorter step.
    """
    matrix = -jacobian
    matrix.flat[:: len(state) + 1] += 1.0 / (step * _GAMMA)
    factors, pivots, info = dgetrf(matrix, overwrite_a=True)
    if info != 0:
        return None

    def solved(right: FloatArray) -> FloatArray:
        found: FloatArray = dgetrs(factors, pivots, right)[0]
        return found

    inverse = 1.0 / step
    k1 = solved(first + 0.5 * step * time_derivative)
    k2 = solved(first + 4.0 * inverse * k1 + 1.5 * step * time_derivative)
    third = rate(time + step, state + 2.0 * k1)
    k3 = solved(third + inverse * (k1 - k2))
    fourth = rate(time + step, state + 2.0 * k1 + k3)
    k4 = solved(fourth + inverse * (k1 - k2 - (8.0 / 3.0) * k3))
    return state + 2.0 * k1 + k3 + k4, k4
