"""By how much the glass in a pot has changed over a while."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

_LOOK_BACK = (("since yesterday", timedelta(days=1)), ("in a week", timedelta(days=7)))


@dataclass(frozen=True)
class Drift:
    """By how much the glass changed over a while.

    Attributes
    ----------
    words : str
        Over what, such as “since yesterday”.
    since : datetime
    annealing, expansion : float
        Change of the annealing point [K] and of the expansion [1/K].
    """

    words: str
    since: datetime
    annealing: float
    expansion: float


def drift_of(
    zone: tzinfo | None, time: FloatArray, annealing: FloatArray, expansion: FloatArray
) -> tuple[Drift, ...]:
    """Changes up to the last moment: since yesterday, in a week, since the pot was new.

    Parameters
    ----------
    zone : tzinfo or None
        Of the moments handed out.
    time : ndarray, shape (n,)
        UTC epoch seconds, rising.
    annealing, expansion : ndarray, shape (n,)
        [K] and [1/K]; NaN where the pot was empty.
    """
    known = np.flatnonzero(np.isfinite(annealing))
    if not len(known) or known[-1] != len(time) - 1:
        return ()
    end = float(time[-1])
    back = [(words, end - span.total_seconds()) for words, span in _LOOK_BACK]
    back.append(("since the pot was new", float(time[known[0]])))
    found = []
    for words, since in back:
        if since < time[known[0]]:
            continue
        i = known[max(0, int(np.searchsorted(time[known], since, side="right")) - 1)]
        if end - time[i] < 600.0:
            continue
        found.append(
            Drift(
                words,
                datetime.fromtimestamp(float(time[i]), zone).astimezone(zone),
                float(annealing[-1] - annealing[i]),
                float(expansion[-1] - expansion[i]),
            )
        )
    return tuple(found)
