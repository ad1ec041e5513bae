"""A fitted parameter with its interval; apart from the fitting, which takes long to import."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Fitted:
    """A fitted parameter.

    Attributes
    ----------
    name : str
    value, low, high : float
        Best value and interval, nine times in ten.
    determined : bool
        False when the log leaves it open within a factor of 1.5 either way, or it ran into its
        bounds.
    """

    name: str
    value: float
    low: float
    high: float
    determined: bool
