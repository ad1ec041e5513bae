"""When the slowest piece, not just the lehr, is cool enough for the hand.

By the stress engine's own temperatures; the closed form only says about how long to follow them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Lehr
from core.load.load import Load
from core.piece.response import PieceResponse
from core.plan.corners import Margins, chamber_doubt
from core.stress.history import ChamberHistory
from core.stress.result import PieceStress

FloatArray = NDArray[np.float64]

LAG_UNSURE = 0.1
"""How much further behind the chamber a core may be than the engine says, as a share. Its film is
that of a piece 0.1 m high; convection goes as height to the power -1/4 (McAdams W.H. 1954, Heat
Transmission; from memory), a quarter less for 0.3 m, and is some two fifths of the film there."""


def core_temperatures(
    responses: tuple[PieceResponse, ...],
    time: FloatArray,
    chamber: FloatArray,
) -> FloatArray:
    """About the core temperature of each piece behind a chamber history.

    First-order lag dT/dt = (T_chamber - T)/tau with the constant-rate lag of the core as tau, which
    is exact for steady cooling; tau is taken at the chamber's temperature. It is late by up to half
    in brisk lehrs and a few minutes early in slow ones. Starts even with the chamber.

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


@dataclass(frozen=True)
class Warm:
    """The last piece to be cool enough.

    Attributes
    ----------
    time : float
        When its core is, on the history's clock [s].
    index : int
        Which of the answers.
    surface : float
        Of its surface then [K].
    """

    time: float
    index: int
    surface: float


def hotter_than_read(load: Load, margins: Margins) -> list[float]:
    """How much hotter [K] than the thermocouple reads it may be around each piece."""
    return [
        max(0.0, load.placing_of(piece).hotter) + chamber_doubt(load, piece, margins)
        for piece in load.pieces
    ]


def hand_warm_threshold(lehr: Lehr, hotter: float, bottom: float, hand_warm: float) -> float:
    """What a core must be below as believed [K] to be below hand-warm in the hottest place.

    Chamber and core fall towards the room together: a lehr hotter than it reads by d where the
    power goes off leaves both (T_off + d - room)/(T_off - room) times as far above the room. (A
    hotter surface gives off its heat a little better, so this is on the safe side.)

    Parameters
    ----------
    lehr : Lehr
    hotter : float
        By how much it may be hotter [K].
    bottom : float
        True chamber temperature where the power goes off [K].
    hand_warm : float
        [K].
    """
    warm, off = hand_warm - lehr.ambient, max(bottom, hand_warm) - lehr.ambient
    return lehr.ambient + warm * off / (off + hotter)


def last_warm(
    answers: Sequence[PieceStress], chamber: ChamberHistory, temperature: float
) -> Warm | None:
    """When the last core falls below a temperature [K] for good; ``None`` if one does not.

    Each core is taken to be a little further behind the chamber than the engine says, as the film
    of a large piece is poorer (``LAG_UNSURE``). Between the engine's steps a straight line, which
    lies above a temperature that levels off.
    """
    latest: Warm | None = None
    for index, answer in enumerate(answers):
        for section in answer.sections:
            around = np.interp(section.time, chamber.time, chamber.temperature)
            cores = around + (1.0 + LAG_UNSURE) * (section.core_temperature - around)
            warm = np.flatnonzero(cores > temperature)
            if warm.size == 0:
                continue
            late = int(warm[-1])
            if late + 1 == section.time.size:
                return None
            step = slice(late, late + 2)
            core, time = cores[step], section.time[step]
            moment = float(np.interp(-temperature, -core, time))
            if latest is None or moment > latest.time:
                surface = float(np.interp(moment, time, section.skin_temperature[step]))
                latest = Warm(moment, index, surface)
    if latest is None:
        start = max(float(a.sections[0].time[0]) for a in answers)
        return Warm(start, 0, temperature)
    return latest
