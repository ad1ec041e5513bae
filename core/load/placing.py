"""How a piece stands in the lehr tonight: its place, the shelf under it, how it went in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.errors import LoadError
from core.units import ZERO_CELSIUS

BRICK_HEAT_CONTENT = 25e3 / 0.030
"""[J/(m3 K)] of light firebrick, 25 kJ/(m2 K) for 30 mm; common practice, no source."""

PLACING_LIMITS: dict[str, tuple[float, float]] = {
    "hotter": (-60.0, 60.0),
    "within": (0.0, 60.0),
    "core": (ZERO_CELSIUS, ZERO_CELSIUS + 1300.0),
    "skin": (ZERO_CELSIUS, ZERO_CELSIUS + 1300.0),
    "shelf": (0.003, 0.3),
}
"""Lowest and highest value of each setting, in SI; common practice, no source."""
_WORDS = {
    "hotter": "-60 to 60 °C",
    "within": "0 to 60 °C",
    "core": "0 to 1300 °C",
    "skin": "0 to 1300 °C",
    "shelf": "3 to 300 mm",
}


@dataclass(frozen=True)
class Placing:
    """What is known of where pieces of one kind stand and how they came there.

    Attributes
    ----------
    hotter : float
        How much hotter its place is than at the thermocouple [K]; negative: cooler, as near a door
        or on the floor.
    within : float or None
        How far that may still be wrong either way [K]; ``None``: by the lehr's own unevenness.
    put_in : datetime or None
        When it went in, aware; ``None``: it was there, and even, when the button was pressed.
    core, skin : float or None
        Temperature of its middle and its surface as it went in [K], straight from the pipe; one
        alone is taken for both, neither for the lehr's own.
    shelf : float or None
        Thickness [m] of the light firebrick that a vessel's base, cooled from one side, stands on;
        ``None``: no heat goes that way.
    """

    hotter: float = 0.0
    within: float | None = None
    put_in: datetime | None = None
    core: float | None = None
    skin: float | None = None
    shelf: float | None = None

    def __post_init__(self) -> None:
        for name, (low, high) in PLACING_LIMITS.items():
            value = getattr(self, name)
            if value is not None and not low <= value <= high:
                raise LoadError(
                    f"The setting “{name}” of a piece's place in the lehr is not possible.",
                    field=name,
                    remedy=f"Use {_WORDS[name]}.",
                )
        if self.put_in is not None and self.put_in.tzinfo is None:
            raise LoadError(
                "The time a piece went in has no time zone.",
                field="put_in",
                remedy="Give it one, such as UTC.",
            )

    @property
    def came_hot_or_cold(self) -> bool:
        """True where it went in at another temperature than the lehr's."""
        return self.core is not None or self.skin is not None

    @property
    def usual(self) -> bool:
        """True where nothing special is known."""
        return self == Placing()
