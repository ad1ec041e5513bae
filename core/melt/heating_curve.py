"""Heating a pot from cold without cracking it: rates and holds, each with its reason and source.

Sources: heating of new and filled pots: VanderLaan P., CraftWEB forum, a dealer in crucibles
(2012, 2017): 35 °F/h, 2 h at 538 °C, 538 to 593 °C in 4 h, then 35 °F/h until it glows for
clay-alumina pots; 50 °F/h, 4 h at 538 °C, 25 °F/h to 593 °C, 4 h there for new crucibles;
20 °F/h, 4 h at 538 °C, 5 h to 593 °C, 4 h there, then 40 °F/h for pots with glass left in;
charging from 1150 °C.
Large fireclay pots 5 to 10 °C/h below 600 °C, dense alumina 100 to 200 °C/h: general practice,
from memory, unverified. Inversion of quartz at 573 °C (0.45 % linear), of cristobalite at 220 to
270 °C: Dodd A., Murfin D. 1994, Dictionary of Ceramics. Drying at 110 °C: common practice, no
source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.errors import FurnaceError
from core.units import SECONDS_PER_HOUR, ZERO_CELSIUS

_DRYING = 110.0
_BEFORE_QUARTZ, _AFTER_QUARTZ = 538.0, 593.0
_GLOWING = 750.0
"""[°C] Clearly red: the end of the slow part; our reading of “until glowing”."""
CHARGING_FROM = 1150.0 + ZERO_CELSIUS
"""[K] No charge goes into a pot below this (same dealer, 2017)."""


class PotCare(StrEnum):
    """What the pot is, and so how it is heated."""

    CLAY_ALUMINA = "clay-alumina"
    NEW_CRUCIBLE = "new crucible"
    GLASS_LEFT_IN = "glass left in"
    FIRECLAY = "fireclay"
    DENSE_ALUMINA = "dense alumina"


@dataclass(frozen=True)
class HeatingStep:
    """One stretch of a heating curve: a ramp to ``target`` [K], then a hold.

    ``rate`` in K/s, ``hold`` in seconds; ``reason`` a plain sentence.
    """

    target: float
    rate: float
    hold: float
    reason: str


@dataclass(frozen=True)
class _Care:
    drying_hold: float
    to_quartz: float
    quartz_hold: float
    through: float
    after_hold: float
    to_glowing: float
    beyond: float


_CARE = {
    # hours and °C/h
    PotCare.CLAY_ALUMINA: _Care(2.0, 19.4, 2.0, 13.9, 0.0, 19.4, 60.0),
    PotCare.NEW_CRUCIBLE: _Care(4.0, 27.8, 4.0, 13.9, 4.0, 27.8, 60.0),
    PotCare.GLASS_LEFT_IN: _Care(0.0, 11.1, 4.0, 11.1, 4.0, 22.2, 60.0),
    PotCare.FIRECLAY: _Care(6.0, 7.5, 4.0, 7.5, 4.0, 10.0, 30.0),
    PotCare.DENSE_ALUMINA: _Care(1.0, 100.0, 0.0, 100.0, 0.0, 150.0, 150.0),
}


def heating_curve(care: PotCare, start: float, target: float) -> tuple[HeatingStep, ...]:
    """Steps from a temperature to another that the pot stands [K].

    Steps that end below ``start`` are left out: a furnace still hot goes on from where it is.
    Above the glow the rates are ours: pots stand them there (common practice, no source).

    Raises
    ------
    FurnaceError
        Unless ``target`` lies above ``start``.
    """
    if target <= start:
        raise FurnaceError(
            f"A furnace at {start - ZERO_CELSIUS:.0f} °C need not be heated to "
            f"{target - ZERO_CELSIUS:.0f} °C.",
            field="target",
            remedy="Give a higher temperature.",
        )
    c = _CARE[care]
    stretches = (
        (_DRYING, c.to_quartz, c.drying_hold, "drying: steam must get out of the pot and walls"),
        (
            _BEFORE_QUARTZ,
            c.to_quartz,
            c.quartz_hold,
            "cristobalite turns at 220 to 270 °C and swells; all is evened out before quartz turns",
        ),
        (_AFTER_QUARTZ, c.through, c.after_hold, "quartz turns at 573 °C and swells by 0.45 %"),
        (_GLOWING, c.to_glowing, 0.0, "slow until the pot glows"),
        (target - ZERO_CELSIUS, c.beyond, 0.0, "above red heat the pot stands more"),
    )
    steps = []
    at = start
    for celsius, rate, hold, reason in stretches:
        end = min(celsius + ZERO_CELSIUS, target)
        if end <= at:
            continue
        steps.append(
            HeatingStep(end, rate / SECONDS_PER_HOUR, hold * SECONDS_PER_HOUR, f"{reason}.")
        )
        at = end
    return tuple(steps)


def heating_time(steps: tuple[HeatingStep, ...], start: float) -> float:
    """Seconds a curve takes from a temperature [K]."""
    total, at = 0.0, start
    for step in steps:
        total += (step.target - at) / step.rate + step.hold
        at = step.target
    return total
