"""The nearest composition to an analysis that has a wanted expansion or annealing point.

“Nearest” is the least change of :mod:`core.glass.least_change`. A change goes only as far as there
are glasses like it behind the model.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.batch.request import COLOURING
from core.composition.composition import Composition
from core.composition.oxides import canonical_oxide
from core.errors import BatchError, LehrkeeperError
from core.glass.least_change import Wanted, changed, least_change, values_after
from core.glass.property_fit.domain import domain_statement
from core.units import ZERO_CELSIUS

EXPANSION_LIMITS = (5e-7, 200e-7)
"""[1/K] Silica to the softest lead and alkali glasses, with room."""
GREATEST_RISE = 200.0
"""[K]"""
LEAST_CHANGEABLE = 0.5
"""[wt%] What a glass has less of is left as it is, unless asked for."""
_HALVINGS = 6
"""How often the way to a wish that cannot be had is halved: told to a sixty-fourth of it."""
_CLOSE = {"expansion": 0.05e-7, "annealing_point": 0.1}
"""[1/K, K] What counts as met."""


@dataclass(frozen=True)
class PropertyWish:
    """What the glass should do.

    Attributes
    ----------
    expansion : float or None
        Mean linear expansion 20-300 °C [1/K].
    annealing_rise : float or None
        [K] above (or, negative, below) the annealing point computed from the analysis.
    change : tuple of str
        Oxides that may change; empty for all above 0.5 wt% that do not colour.

    Raises
    ------
    BatchError
        If nothing or something impossible is wished.
    """

    expansion: float | None = None
    annealing_rise: float | None = None
    change: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.expansion is None and self.annealing_rise is None:
            raise BatchError(
                "No property is asked for.",
                field="property",
                remedy="Give an expansion or a rise of the annealing point.",
            )
        low, high = EXPANSION_LIMITS
        if self.expansion is not None and not low <= self.expansion <= high:
            raise BatchError(
                f"An expansion of {self.expansion * 1e7:.4g}e-7 per K is not possible.",
                field="expansion",
                remedy=f"Use {low * 1e7:g} to {high * 1e7:g} (1e-7/K).",
            )
        rise = self.annealing_rise
        if rise is not None and not (math.isfinite(rise) and abs(rise) <= GREATEST_RISE):
            raise BatchError(
                f"Moving the annealing point by {rise:g} °C is not possible.",
                field="annealing_rise",
                remedy=f"Use {GREATEST_RISE:g} °C at most, up or down.",
            )
        object.__setattr__(self, "change", tuple(canonical_oxide(one) for one in self.change))


def oxides_in(text: str) -> tuple[str, ...]:
    """Oxides listed with commas or spaces between them.

    Raises
    ------
    CompositionError
        If one is unknown.
    """
    return tuple(canonical_oxide(one) for one in re.split(r"[,;\s]+", text.strip()) if one)


def nearest_with(composition: Composition, wish: PropertyWish) -> Composition:
    """The nearest composition that has the wished properties.

    Parameters
    ----------
    composition : Composition
    wish : PropertyWish

    Returns
    -------
    Composition
        Adds up to 100; expansion within 0.05e-7 1/K and annealing point within 0.1 K of the wish,
        as computed.

    Raises
    ------
    BatchError
        If fewer than two oxides may change; if the glass lies outside the model's range to begin
        with; if the wish cannot be met inside it: the message says how far it can.
    """
    changing = _changing(composition, wish)
    statement = domain_statement(composition)
    if not statement.in_range:
        raise BatchError(
            "There are no glasses like this one behind the model, so its properties cannot be "
            f"aimed at. {' '.join(statement.sentences)}".rstrip(),
            field="composition",
            remedy="Use an analysis inside the model's range.",
        )
    start = _Start.of(composition, changing)
    found = _solve(start, wish, 1.0)
    if found is not None:
        return found
    reach = _reach(start, wish)
    raise BatchError(
        f"{_wished(wish)} cannot be had by changing {', '.join(changing)} inside the model's "
        f"range: {_reached(start, wish, reach)}.",
        field="property",
        remedy="Ask for less, or let more oxides change.",
    )


@dataclass(frozen=True)
class _Start:
    """Where the search begins; ``now`` are the properties there."""

    composition: Composition
    changing: tuple[str, ...]
    now: dict[str, float]

    @classmethod
    def of(cls, composition: Composition, changing: tuple[str, ...]) -> _Start:
        wanted = [Wanted(key, 0.0, 0.0, close) for key, close in _CLOSE.items()]
        none = np.zeros((1, len(changing)))
        values = values_after(composition, changing, none, wanted)[0]
        now = dict(zip(_CLOSE, values.tolist(), strict=True))
        return cls(composition, changing, now)


def _changing(composition: Composition, wish: PropertyWish) -> tuple[str, ...]:
    changing = tuple(dict.fromkeys(wish.change)) or tuple(
        oxide
        for oxide, weight in composition.weight_percent.items()
        if weight >= LEAST_CHANGEABLE and oxide not in COLOURING
    )
    if len(changing) < 2:
        raise BatchError(
            "One oxide alone cannot change: the whole stays 100 wt%.",
            field="change",
            remedy="Let two or more oxides change.",
        )
    return changing


def _wants(start: _Start, wish: PropertyWish, share: float) -> list[tuple[str, float]]:
    """Attribute and aim of each wish, ``share`` of the way from where the glass is."""
    wants = []
    if wish.expansion is not None:
        now = start.now["expansion"]
        wants.append(("expansion", now + share * (wish.expansion - now)))
    if wish.annealing_rise is not None:
        now = start.now["annealing_point"]
        wants.append(("annealing_point", now + share * wish.annealing_rise))
    return wants


def _solve(start: _Start, wish: PropertyWish, share: float) -> Composition | None:
    """The nearest composition, or ``None`` if there is none the model has seen the like of."""
    wanted = [Wanted(key, aim, aim, _CLOSE[key]) for key, aim in _wants(start, wish, share)]
    try:
        change = least_change(start.composition, start.changing, wanted)
        values = values_after(start.composition, start.changing, change[None, :], wanted)[0]
        composition = changed(start.composition, start.changing, change)
    except LehrkeeperError:
        return None
    met = all(abs(v - one.low) <= one.close for v, one in zip(values, wanted, strict=True))
    return composition if met and domain_statement(composition).in_range else None


def _reach(start: _Start, wish: PropertyWish) -> float:
    """Greatest share of the way to the wish that can be gone."""
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if _solve(start, wish, middle) is None:
            high = middle
        else:
            low = middle
    return low


def _wished(wish: PropertyWish) -> str:
    parts = []
    if wish.expansion is not None:
        parts.append(f"an expansion of {wish.expansion * 1e7:.4g}e-7 per K")
    if wish.annealing_rise is not None:
        parts.append(f"an annealing point moved by {wish.annealing_rise:+g} °C")
    text = " with ".join(parts)
    return text[0].upper() + text[1:]


def _reached(start: _Start, wish: PropertyWish, share: float) -> str:
    parts: Sequence[str] = [
        f"{aim * 1e7:.4g}e-7 per K" if name == "expansion" else f"{aim - ZERO_CELSIUS:.0f} °C"
        for name, aim in _wants(start, wish, share)
    ]
    return f"it goes as far as {' with '.join(parts)}"
