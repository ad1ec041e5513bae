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

    First-order lag dT/dt = (T_chamber - T)/tau with the constant-rate lag of the core as tau, which
    is exact for steady cooling. tau is taken at the chamber's temperature; the piece is a little
    hotter and its film a little better, so it is held to be slower than it is. Starts even with
    the chamber.

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
    middle = 0.5 * (chamber[1:] + chamber[:-1])
    step = float(time[1] - time[0])
    cores = []
    for response in responses:
        kept = np.exp(-step / response.core_lag_time(middle))
        core = [float(chamber[0])]
        for towards, share in zip(middle.tolist(), kept.tolist(), strict=True):
            core.append(towards + (core[-1] - towards) * share)
        cores.append(core)
    return np.asarray(cores).T


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
