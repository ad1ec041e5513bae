"""Which glass a material makes in the pot, in the studio's words for materials.

The same word may mean different things: "cullet" is one glass in one pot and another in the next,
and "batch" changes with the recipe. So an answer may hold for one pot only, and from a day on.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from core.composition.composition import Composition
from core.errors import FurnaceError
from core.furnace.ledger import Charge
from core.furnace.pot_events import WEIGHED_ERROR, MadeOf, plain_name


@dataclass(frozen=True)
class ChargedGlass:
    """What a material becomes.

    Attributes
    ----------
    material : str
        As charges name it; capitals and spaces around do not matter.
    glass : str or Composition
        Name of a glass, or the analysis itself.
    glass_yield : float
        Glass from one kg as charged [kg/kg], 0.1 to 1.
    relative_error : float
        Standard error of the glass from a charge, as a share of it, 0 to 1.
    pot : str
        The pot it holds for; ``""`` for all.
    since : datetime or None
        Aware; from when it holds, ``None`` from the beginning.

    Raises
    ------
    FurnaceError
        If the material or glass has no name, a number is impossible or a time has no zone.
    """

    material: str
    glass: str | Composition
    glass_yield: float = 1.0
    relative_error: float = WEIGHED_ERROR
    pot: str = ""
    since: datetime | None = None

    def __post_init__(self) -> None:
        if not self.material.strip():
            raise FurnaceError(
                "No material was named.", field="material", remedy="Say what is charged."
            )
        if isinstance(self.glass, str):
            if not self.glass.strip():
                raise FurnaceError(
                    f"Nothing is said of the glass that “{self.material}” makes.",
                    field="glass",
                    remedy="Choose a glass or give its analysis.",
                )
        else:
            self.made_of(self.glass)
        if not 0.1 <= self.glass_yield <= 1.0:
            raise FurnaceError(
                f"A glass yield of {self.glass_yield:g} is not possible.",
                field="glass_yield",
                remedy="Use 0.1 to 1: kg of glass from a kg of charge.",
            )
        if not 0.0 <= self.relative_error <= 1.0:
            raise FurnaceError(
                f"A relative error of {self.relative_error:g} is not possible.",
                field="relative_error",
                remedy="Use 0 to 1.",
            )
        if self.since is not None and self.since.tzinfo is None:
            raise FurnaceError("The time it holds from has no time zone.", field="since")

    def made_of(self, glass: Composition) -> MadeOf:
        """With its glass looked up, as the ledger is played with it."""
        return MadeOf(glass, self.glass_yield, self.relative_error)


def glass_charged(charge: Charge, known: Iterable[ChargedGlass]) -> ChargedGlass | None:
    """What holds for a charge: said of its pot before said of all, then the latest said."""
    holding = [
        one
        for one in known
        if plain_name(one.material) == plain_name(charge.material)
        and one.pot in ("", charge.pot)
        and (one.since is None or one.since <= charge.time)
    ]

    def rank(one: ChargedGlass) -> tuple[bool, bool, float]:
        since = one.since
        return bool(one.pot), since is not None, 0.0 if since is None else since.timestamp()

    return max(holding, key=rank, default=None)
