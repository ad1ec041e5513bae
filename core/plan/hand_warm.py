"""When the slowest piece, not just the lehr, is cool enough for the hand."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.piece.response import PieceResponse

FloatArray = NDArray[np.float64]


def core_temperatures(
    responses: tuple[PieceResponse, ...],
    time: FloatArray,
    chamber: FloatArray,
) -> FloatArray:
    """Core temperature of each piece behind a chamber history.

    First-order lag dT/dt = (T_chamber - T)/tau(T) with the constant-rate lag of the core as
    tau, which is exact for steady cooling. Starts even with the chamber.

    Parameters
    ----------
    responses : tuple of PieceResponse
        m pieces.
    time : ndarray, shape (n,)
        Seconds, evenly spaced.
    chamber : ndarray, shape (n,)
        True chamber temperature [K].

    Returns
    -------
    ndarray, shape (n, m)
        [K].
    """
    grid = np.linspace(float(chamber.min()) - 1.0, float(chamber.max()) + 1.0, 80)
    lag_time = np.stack([response.core_lag_time(grid) for response in responses])  # (m, 80)
    step = float(time[1] - time[0])
    spacing = float(grid[1] - grid[0])
    core = np.empty((time.size, len(responses)))
    core[0] = chamber[0]
    now = core[0].copy()
    rows = np.arange(len(responses))
    for i in range(1, time.size):
        place = (now - grid[0]) / spacing
        left = np.clip(place.astype(int), 0, grid.size - 2)
        part = place - left
        tau = lag_time[rows, left] * (1.0 - part) + lag_time[rows, left + 1] * part
        middle = 0.5 * (chamber[i - 1] + chamber[i])
        now = middle + (now - middle) * np.exp(-step / tau)
        core[i] = now
    return core


def first_time_below(
    time: FloatArray, core: FloatArray, temperature: float
) -> tuple[float, int] | None:
    """When the last piece is below a temperature [K] for good, and its index; ``None`` if never.

    Parameters
    ----------
    time : ndarray, shape (n,)
        [s].
    core : ndarray, shape (n, m)
        [K].
    """
    warm = core > temperature
    if warm[-1].any():
        return None
    last_warm = np.where(warm.any(axis=0), warm.shape[0] - 1 - np.argmax(warm[::-1], axis=0), -1)
    slowest = int(np.argmax(last_warm))
    return float(time[int(last_warm[slowest]) + 1]), slowest
