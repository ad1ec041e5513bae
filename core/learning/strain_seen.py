"""What the polariscope showed against what the engine said it would."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import t as student

from core.learning.proportion import LEVEL
from core.run.run_event import Outcome
from core.verdict.verdict import RunVerdict

FEWEST = 4
"""Readings below which nothing is said; common practice, no source."""
_FAINTEST = 1e-7
"""[-] 1 nm/cm: below it a polariscope and an engine both say nothing."""


@dataclass(frozen=True)
class Seen:
    """A polariscope reading beside its prediction: retardation over the light's path [-]."""

    piece: str
    seen: float
    predicted: float


@dataclass(frozen=True)
class SeenReport:
    """All readings together.

    Attributes
    ----------
    count : int
    ratio, low, high : float or None
        Seen over predicted, the geometric mean and its interval; ``None`` of too few.
    """

    count: int
    ratio: float | None
    low: float | None
    high: float | None

    @property
    def sentence(self) -> str:
        """What it says, in a sentence."""
        if self.ratio is None or self.low is None or self.high is None:
            return (
                f"{self.count} polariscope reading{'s' if self.count != 1 else ''} to lay beside "
                f"the prediction: too few to learn from, {FEWEST} are the least."
            )
        text = (
            f"The polariscope shows {self.ratio:.2g} times what is predicted "
            f"({self.low:.2g} to {self.high:.2g}, {self.count} readings)"
        )
        if self.low > 1.0:
            return f"{text}: more strain than reckoned. Check thermocouple and annealing point."
        if self.high < 1.0:
            return f"{text}: less strain than reckoned; the reckoning is on the safe side."
        return f"{text}: no difference to be told."


def seen_of(verdict: RunVerdict, outcomes: Sequence[Outcome]) -> tuple[Seen, ...]:
    """Polariscope readings of a run with a light path, beside their predictions."""
    found = []
    for outcome in outcomes:
        seen = outcome.retardation_per_length
        piece = next((p for p in verdict.pieces if p.piece == outcome.piece), None)
        if seen is None or piece is None:
            continue
        if seen > _FAINTEST and piece.per_length > _FAINTEST:
            found.append(Seen(outcome.piece, seen, piece.per_length))
    return tuple(found)


def seen_against_predicted(readings: Sequence[Seen]) -> SeenReport:
    """Geometric mean of seen over predicted, with Student's interval of its logarithm."""
    count = len(readings)
    if count < FEWEST:
        return SeenReport(count, None, None, None)
    logs = np.log([r.seen / r.predicted for r in readings])
    mean = float(logs.mean())
    error = float(logs.std(ddof=1)) / math.sqrt(count)
    half = float(student.ppf(0.5 + LEVEL / 2.0, count - 1)) * error
    return SeenReport(count, math.exp(mean), math.exp(mean - half), math.exp(mean + half))
