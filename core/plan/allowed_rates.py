"""How fast tonight's load may be cooled at each temperature, and which piece says so."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.load.load import Load
from core.piece.response import PieceResponse, StressCause

FloatArray = NDArray[np.float64]
_Causes = Callable[[PieceResponse, FloatArray], tuple[StressCause, ...]]

CHAMBER_BELOW_STRAIN = 30.0
"""The chamber is about this far [K] below the strain point when a thick base passes it."""


@dataclass(frozen=True)
class Bound:
    """The largest safe rate at one temperature.

    Attributes
    ----------
    rate : float
        [K/s].
    piece : str
        Name of the piece that sets it.
    words : str
        The stress that sets it, in plain words.
    stress : float
        That stress's allowed value [Pa] (limit over safety factor).
    """

    rate: float
    piece: str
    words: str
    stress: float


@dataclass(frozen=True)
class _Candidate:
    rate: FloatArray
    piece: str
    words: str
    stress: float


@dataclass(frozen=True)
class RateLimits:
    """Safe rates of a whole load as functions of the true chamber temperature [K].

    Attributes
    ----------
    load : Load
    responses : tuple of PieceResponse
        One a piece, in the order of the load.
    """

    load: Load
    responses: tuple[PieceResponse, ...]

    def permanent(self) -> Bound:
        """Largest rate through the transformation range.

        Each piece is judged with its constants at its own annealing point.
        """
        candidates = []
        for response in self.responses:
            temperature = np.asarray([response.properties.annealing_point.value])
            coefficient = response.properties.stress_optical_coefficient.value
            limits = self.load.limits_of(response.piece, coefficient)
            candidates += _judged(
                response,
                response.permanent(temperature),
                _worst_joint(response),
                limits.permanent_tension,
                limits.permanent_wall_base,
                limits.safety_factor,
            )
        return _lowest(candidates)

    def temporary(self, temperature: FloatArray) -> list[Bound]:
        """Largest cooling rate below the strain point, one bound a temperature.

        Parameters
        ----------
        temperature : ndarray, shape (n,)
            [K].
        """
        return self._while_stiff(temperature, PieceResponse.temporary)

    def heating(self, temperature: FloatArray) -> list[Bound]:
        """Largest heating rate of cold (stiff) pieces, one bound a temperature."""
        return self._while_stiff(temperature, PieceResponse.heating)

    def _while_stiff(self, temperature: FloatArray, causes: _Causes) -> list[Bound]:
        candidates = []
        for response in self.responses:
            coefficient = response.properties.stress_optical_coefficient.value
            limits = self.load.limits_of(response.piece, coefficient)
            candidates += _judged(
                response,
                causes(response, temperature),
                response.joint(temperature),
                limits.temporary_tension,
                limits.temporary_wall_base,
                limits.safety_factor,
            )
        return _lowest_of_each(candidates, temperature.size)


def _worst_joint(response: PieceResponse) -> StressCause | None:
    """Stress between wall and base where it is largest while it can still be left for good.

    The film is poorer the cooler the lehr, so the base trails most at the end of the slow range.
    """
    glass = response.properties
    lowest = glass.strain_point.value - CHAMBER_BELOW_STRAIN
    cause = response.joint(np.linspace(lowest, glass.annealing_point.value, 6))
    if cause is None:
        return None
    return StressCause(np.max(cause.per_rate, keepdims=True), cause.words)


def _judged(
    response: PieceResponse,
    section_causes: tuple[StressCause, ...],
    joint: StressCause | None,
    section_limit: float,
    joint_limit: float,
    safety_factor: float,
) -> list[_Candidate]:
    """Rates at which each stress of a piece reaches its limit over the safety factor."""
    judged = [(cause, section_limit) for cause in section_causes]
    if joint is not None:
        judged.append((joint, joint_limit))
    name = response.piece.name
    least = 1.0  # Pa per K/s; wall and base alike have no stress between them, so no bound
    return [
        _Candidate(
            limit / safety_factor / np.maximum(cause.per_rate, least),
            name,
            cause.words,
            limit / safety_factor,
        )
        for cause, limit in judged
    ]


def _lowest(candidates: list[_Candidate]) -> Bound:
    return _lowest_of_each(candidates, 1)[0]


def _lowest_of_each(candidates: list[_Candidate], size: int) -> list[Bound]:
    rates = np.stack([np.broadcast_to(c.rate, (size,)) for c in candidates])
    winners = np.argmin(rates, axis=0)
    bounds = []
    for column, row in enumerate(winners):
        winner = candidates[int(row)]
        rate = float(rates[row, column])
        bounds.append(Bound(rate, winner.piece, winner.words, winner.stress))
    return bounds
