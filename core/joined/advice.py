"""Which partner of a joint to change, and by how much."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from scipy.optimize import brentq

from core.composition.composition import Composition
from core.errors import LehrkeeperError
from core.glass.glass import Glass, GlassProperties, MeasuredPoints
from core.glass.properties import properties_of
from core.joined.contraction import Partner, free_contraction
from core.joined.cylinders import Cylinders
from core.joined.joint import Joint

_ALKALI = ("Na2O", "K2O", "Li2O")
_STIFFENERS = ("SiO2", "CaO")
"""What alkali is exchanged for; silica first, lime changes the working most."""
_MOST = 12.0
"""[wt%] A larger exchange is another glass, not a correction (our choice)."""
_NOTHING = 0.05e-7
"""[1/K] A change of expansion nobody could measure."""


@dataclass(frozen=True)
class Swap:
    """An exchange of oxides that brings the needed change of expansion.

    Attributes
    ----------
    less, more : str
        Oxide taken out and oxide put in.
    weight_percent : float
        How much [wt%].
    annealing_change : float
        What it does to the annealing point [K].
    """

    less: str
    more: str
    weight_percent: float
    annealing_change: float


@dataclass(frozen=True)
class Advice:
    """What to change so that both shrink alike.

    Attributes
    ----------
    partner : str
        Name of the glass to change: the one there is less of.
    expansion_change : float
        [1/K], 20-300 °C; negative means lower.
    swaps : tuple of Swap
        Exchanges that bring it, by the property model's sensitivity; empty when the glass has no
        analysis or none of the usual exchanges reaches.
    """

    partner: str
    expansion_change: float
    swaps: tuple[Swap, ...]

    @property
    def sentence(self) -> str:
        """The advice in words."""
        way = "Lower" if self.expansion_change < 0 else "Raise"
        text = (
            f"{way} the expansion of “{self.partner}” by {abs(self.expansion_change) * 1e7:.1f}e-7 "
            "per K"
        )
        ways = [
            f"replacing {swap.weight_percent:.1f} wt% of its {swap.less} by {swap.more} (annealing "
            f"point {swap.annealing_change:+.0f} °C)"
            for swap in self.swaps
        ]
        return f"{text}, for instance by {', or by '.join(ways)}." if ways else f"{text}."


def advise(joint: Joint) -> Advice | None:
    """Say which partner to change and by how much; ``None`` when they shrink alike.

    The partner there is less of is changed, as the studio keeps its main glass; with equal amounts
    the casing.
    """
    at = joint.contraction.set_temperature.value
    needed = -joint.contraction.difference.value / float(free_contraction(1.0, at))
    if abs(needed) < _NOTHING:
        return None
    partner = smaller_partner(joint)
    if partner is joint.core:
        needed = -needed
    return Advice(partner.name, needed, tuple(_swaps(partner, needed)))


def smaller_partner(joint: Joint) -> Partner:
    """The partner there is less of in the piece; with equal amounts the casing."""
    form = joint.form
    if isinstance(form, Cylinders):
        core_is_less = form.area_ratio < 1.0
    else:
        core_is_less = form.base < form.layer * (2.0 if form.both_faces else 1.0)
    return joint.core if core_is_less else joint.casing


def unmeasured(glass: Glass) -> Glass:
    """The glass by its analysis alone, for sensitivities."""
    return replace(glass, measured=MeasuredPoints())


def with_exchange(composition: Composition, change: Mapping[str, float]) -> Composition:
    """A composition with oxides changed by so many wt%; a total of 0 is kept at 100.

    Raises
    ------
    CompositionError
        If an oxide would become negative.
    """
    amounts = dict(composition.weight_percent)
    for oxide, by in change.items():
        amounts[oxide] = amounts.get(oxide, 0.0) + by
        if abs(amounts[oxide]) < 1e-9:
            amounts[oxide] = 0.0
    return Composition.from_percent(amounts)


def _swaps(partner: Partner, needed: float) -> Iterator[Swap]:
    composition = partner.glass.composition
    if composition is None:
        return
    bare = unmeasured(partner.glass)
    before = properties_of(bare)
    moles = composition.mole_percent
    alkali = max(_ALKALI, key=lambda oxide: moles.get(oxide, 0.0))
    for stiffener in _STIFFENERS:
        less, more = (alkali, stiffener) if needed < 0 else (stiffener, alkali)
        swap = _swap(bare, composition, before, less, more, needed)
        if swap is not None:
            yield swap


def _swap(
    bare: Glass,
    composition: Composition,
    before: GlassProperties,
    less: str,
    more: str,
    needed: float,
) -> Swap | None:
    def after(weight: float) -> GlassProperties:
        changed = with_exchange(composition, {less: -weight, more: weight})
        return properties_of(replace(bare, composition=changed))

    def short_by(weight: float) -> float:
        return (after(weight).expansion.value - before.expansion.value - needed) * 1e7

    most = min(0.95 * composition.weight(less), _MOST)
    try:
        if most <= 0.0 or short_by(0.0) * short_by(most) > 0.0:
            return None
        weight = float(brentq(short_by, 0.0, most, xtol=1e-3))
        end = after(weight)
    except LehrkeeperError:  # the exchange leads out of all glasses
        return None
    change = end.annealing_point.value - before.annealing_point.value
    return Swap(less, more, weight, change)
