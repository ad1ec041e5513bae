"""The five temperatures a glass is known by, and the viscosities that define them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class FixedPoint:
    """A named viscosity.

    Attributes
    ----------
    key : str
        Attribute of the same name in glass types, e.g. ``"strain_point"``.
    name : str
        Name in the trade.
    log_viscosity : float
        log10 of the viscosity [Pa s] (one less than in poise).
    standard : str
        Where it is defined, or how it is measured.
    meaning : str
        What the glass does there, as a sentence.
    """

    key: str
    name: str
    log_viscosity: float
    standard: str
    meaning: str


STRAIN = FixedPoint(
    "strain_point",
    "strain point",
    13.5,
    "ASTM C336, C598; ISO 7884-7",
    "Stress is relieved in hours; cooled below it, no new permanent stress sets in.",
)
ANNEALING = FixedPoint(
    "annealing_point",
    "annealing point",
    12.0,
    "ASTM C336, C598; ISO 7884-7",
    "Stress is relieved in minutes.",
)
SOFTENING = FixedPoint(
    "softening_point",
    "softening point",
    6.6,
    "ASTM C338; ISO 7884-6",
    "A thin fibre stretches under its own weight (Littleton); pieces slump.",
)
WORKING = FixedPoint(
    "working_point",
    "working point",
    3.0,
    "ASTM C965; ISO 7884-2",
    "The glass is gathered and worked.",
)
MELTING = FixedPoint(
    "melting_point",
    "melting temperature",
    1.0,
    "ASTM C965; common practice",
    "Batch melts and bubbles rise out.",
)

FIXED_POINTS: tuple[FixedPoint, ...] = (STRAIN, ANNEALING, SOFTENING, WORKING, MELTING)
"""All five, from cold to hot."""

FIXED_POINT: dict[str, FixedPoint] = {point.key: point for point in FIXED_POINTS}
"""By key."""
