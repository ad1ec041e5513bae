"""A night that begins cold: finished pieces annealed again, or cullet melted in a mould."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.errors import LoadError
from core.units import ZERO_CELSIUS


class ReheatKind(StrEnum):
    """What is brought up from cold."""

    AGAIN = "re-anneal"
    """Finished pieces, to be annealed again."""
    CASTING = "casting"
    """Cullet in a mould: melted in, let settle, held until it is one mass, cooled to the soak."""


REHEATING_LIMITS: dict[str, tuple[float, float]] = {
    "strain": (0.0, 50e6),
    "lump": (0.001, 0.3),
    "squeeze_temperature": (ZERO_CELSIUS + 300.0, ZERO_CELSIUS + 1200.0),
    "squeeze_time": (0.0, 48 * 3600.0),
    "process_temperature": (ZERO_CELSIUS + 400.0, ZERO_CELSIUS + 1300.0),
    "process_time": (0.0, 48 * 3600.0),
}
"""Lowest and highest value of each setting, in SI; common practice, no source."""
_WORDS = {
    "strain": "0 to 50 MPa",
    "lump": "1 to 300 mm",
    "squeeze_temperature": "300 to 1200 °C",
    "squeeze_time": "0 to 48 hours",
    "process_temperature": "400 to 1300 °C",
    "process_time": "0 to 48 hours",
}


@dataclass(frozen=True)
class Reheating:
    """How a cold load is brought up.

    Attributes
    ----------
    kind : ReheatKind
    strain : float
        Core tension [Pa] that cold pieces bring along from a poor anneal; it adds to what heating
        sets up. 0: annealed, or nothing is known.
    lump : float
        Thickness of the largest lump of cullet [m].
    squeeze_temperature, process_temperature : float or None
        True temperatures [K]; ``None``: from the viscosity of the glass.
    squeeze_time, process_time : float or None
        Holds there [s]; ``None``: from viscosity and lump.
    """

    kind: ReheatKind
    strain: float = 0.0
    lump: float = 0.020
    squeeze_temperature: float | None = None
    squeeze_time: float | None = None
    process_temperature: float | None = None
    process_time: float | None = None

    def __post_init__(self) -> None:
        for name, (low, high) in REHEATING_LIMITS.items():
            value = getattr(self, name)
            if value is not None and not low <= value <= high:
                words = name.replace("_", " ")
                raise LoadError(
                    f"Reheating with this {words} is not possible.",
                    field=name,
                    remedy=f"Use {_WORDS[name]}.",
                )
        low_end, high_end = self.squeeze_temperature, self.process_temperature
        if low_end is not None and high_end is not None and low_end >= high_end:
            raise LoadError(
                "Cullet cannot settle at a temperature above the one it is melted at.",
                field="squeeze_temperature",
                remedy="Give a squeeze cooler than the process hold.",
            )
