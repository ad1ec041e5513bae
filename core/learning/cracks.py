"""Do pieces above a stress crack? What was found of pieces against what the engine says of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import fisher_exact

from core.learning.proportion import LEVEL, Logistic, Share, logistic_fit, share_of
from core.plan.stress_check import Limit
from core.run.run_event import Outcome, OutcomeKind
from core.verdict.verdict import RunVerdict

FloatArray = NDArray[np.float64]

FEWEST = 3
"""Cracked pieces below which nothing can be said, nor with fewer sound ones; common practice, no
source."""
ENOUGH = 10
"""Cracked (or sound) pieces from which a curve is drawn: ten events for each thing that is fitted
(Peduzzi P. et al. 1996, J. Clin. Epidemiol. 49, 1373)."""
_NIGHTS = 4
"""Pieces of fewer nights share their fate too much; common practice, no source."""


@dataclass(frozen=True)
class Found:
    """Pieces of one kind in one night, alike in what was found of them.

    Attributes
    ----------
    night : str
        Whatever tells nights apart.
    piece : str
    limit : Limit
        Which stress.
    stress, allowed : float
        As believed, and what it is held to [Pa].
    cracked : bool
    count : int
    """

    night: str
    piece: str
    limit: Limit
    stress: float
    allowed: float
    cracked: bool
    count: int = 1

    @property
    def share(self) -> float:
        """Stress over what is allowed."""
        return self.stress / self.allowed


@dataclass(frozen=True)
class CrackReport:
    """What all nights together say of one stress.

    Attributes
    ----------
    limit : Limit
    nights : int
    within, over : Share
        Cracked, of the pieces within and over what is allowed.
    chance : float or None
        How often chance alone would crack so many more of those over it (Fisher's exact test, one
        side); ``None`` without pieces on either side.
    curve : Logistic or None
        Share cracked against stress over what is allowed; ``None`` with too little to go by.
    enough : bool
        True where a curve can be drawn.
    """

    limit: Limit
    nights: int
    within: Share
    over: Share
    chance: float | None
    curve: Logistic | None
    enough: bool

    @property
    def sentences(self) -> tuple[str, ...]:
        """What it says, in plain sentences."""
        cracked, seen = self.within.some + self.over.some, self.within.many + self.over.many
        if seen == 0:
            return (
                "Nothing has been noted yet of what became of pieces: note the sound ones too.",
            )
        counted = (
            f"{self.over.some} of {self.over.many} pieces over the limit for {self.limit} cracked"
            f"{_interval(self.over)}, {self.within.some} of {self.within.many} within it"
            f"{_interval(self.within)}."
        )
        told = [counted]
        if cracked < FEWEST or seen - cracked < FEWEST or self.nights < _NIGHTS:
            told.append(
                f"That is too little to learn from ({cracked} cracked, {seen - cracked} sound, "
                f"{self.nights} night{'s' if self.nights != 1 else ''}): it takes at least "
                f"{FEWEST} of each from {_NIGHTS} nights, better {ENOUGH}."
            )
            return tuple(told)
        if self.chance is not None:
            told.append(
                "Pieces over it crack more often: chance alone would do that "
                f"{_times(self.chance)}."
                if self.chance < 1.0 - LEVEL
                else "That pieces over it crack more often cannot be told from chance yet."
            )
        if self.curve is not None and self.curve.rises:
            value, low, high = self.curve.share_at(1.0)
            told.append(
                f"At the limit itself about {_percent(value)} crack ({_percent(low)} to "
                f"{_percent(high)}), at twice the limit {_percent(self.curve.share_at(2.0)[0])}."
            )
        elif self.enough:
            told.append("The share that cracks does not surely grow with this stress.")
        return tuple(told)


def found_of(
    night: str, verdict: RunVerdict, outcomes: Sequence[Outcome], limit: Limit
) -> tuple[Found, ...]:
    """What was found of a run's pieces beside one of their stresses.

    Outcomes of names the run does not have, and of pieces without that stress, are passed over; so
    is strain seen, which is neither sound nor cracked.

    Parameters
    ----------
    night : str
    verdict : RunVerdict
    outcomes : sequence of Outcome
    limit : Limit
    """
    found = []
    for outcome in outcomes:
        if outcome.kind is OutcomeKind.STRAIN_SEEN:
            continue
        piece = next((p for p in verdict.pieces if p.piece == outcome.piece), None)
        stress = None if piece is None else piece.range_of(limit)
        if stress is None:
            continue
        found.append(
            Found(
                night=night,
                piece=outcome.piece,
                limit=limit,
                stress=max(stress.believed, 0.0),
                allowed=stress.allowed,
                cracked=outcome.kind is OutcomeKind.CRACKED,
                count=outcome.count,
            )
        )
    return tuple(found)


def cracks_against_stress(found: Sequence[Found], limit: Limit) -> CrackReport:
    """What all that was found says of one stress.

    Parameters
    ----------
    found : sequence of Found
        Of any stresses; only those of ``limit`` count.
    limit : Limit
    """
    mine = [f for f in found if f.limit is limit]
    within = _count([f for f in mine if f.share <= 1.0])
    over = _count([f for f in mine if f.share > 1.0])
    cracked = within.some + over.some
    sound = within.many + over.many - cracked
    nights = len({f.night for f in mine})
    chance = None
    if within.many and over.many:
        table = np.array([[s.some, s.many - s.some] for s in (over, within)])
        chance = float(fisher_exact(table, alternative="greater")[1])
    enough = min(cracked, sound) >= ENOUGH and nights >= _NIGHTS
    curve = _curve(mine) if enough else None
    return CrackReport(limit, nights, within, over, chance, curve, enough)


def _count(found: Sequence[Found]) -> Share:
    return share_of(sum(f.count for f in found if f.cracked), sum(f.count for f in found))


def _curve(found: Sequence[Found]) -> Logistic | None:
    x = np.array([f.share for f in found])
    many = np.array([float(f.count) for f in found])
    some = np.array([float(f.count) if f.cracked else 0.0 for f in found])
    return logistic_fit(x, some, many)


def _interval(share: Share) -> str:
    if share.many == 0:
        return ""
    return f" ({_percent(share.low)} to {_percent(share.high)})"


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %"


def _times(chance: float) -> str:
    if chance < 0.001:
        return "less than once in a thousand times"
    return f"once in {1.0 / chance:.0f} times"
