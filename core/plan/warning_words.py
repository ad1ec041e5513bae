"""What a user must be told about a night, in sentences."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from core.glass.glass import GlassProperties
from core.load.load import Load
from core.load.reheating import ReheatKind
from core.plan.casting import hot_curve_of
from core.plan.sharing import SOFT_DECADE, nights_apart
from core.plan.slumping import slump
from core.plan.soak import STRESS_RELEASE, viscosity_decade_at
from core.plan.words import temperature_in_words
from core.units import UnitChoice, interval_to

MOULDS = (
    "Moulds of plaster and silica must be dry before they are heated (steam bursts them), and "
    "their dust harms the lungs: mask, wet cleaning, and the supplier's safety sheet first."
)


def warnings_of(
    load: Load,
    properties: Mapping[str, GlassProperties],
    soak: float,
    units: UnitChoice,
    hold: float = STRESS_RELEASE,
) -> tuple[str, ...]:
    """Everything a user must be told about a night, the worst first.

    Parameters
    ----------
    load : Load
    properties : mapping of str to GlassProperties
        Of the load's glasses by name.
    soak : float
        True soak temperature [K].
    units : UnitChoice
    hold : float
        How long it is held there [s].
    """
    # What could spoil the night comes before what only makes it less sure.
    warnings = [*_cold_start(load, properties, units), *_names_in_common(load)]
    cast = load.reheating is not None and load.reheating.kind is ReheatKind.CASTING
    if cast:
        warnings += [MOULDS, *_rough_viscosity(properties)]
    else:  # a mould holds what is soft
        for name, glass in properties.items():
            warnings += _sagging(name, glass, soak, units)
    warnings += _apart(load, properties)
    if not cast:
        warnings += _slumping(load, properties, soak, hold)
    for name, glass in properties.items():
        warnings += _uncertain(name, glass, units)
        warnings += [f"“{name}”: {text}" for text in glass.warnings]
    return tuple(dict.fromkeys(warnings))


def _rough_viscosity(properties: Mapping[str, GlassProperties]) -> Iterator[str]:
    for name, glass in properties.items():
        if hot_curve_of(glass) is None:
            yield (
                f"“{name}”: without softening and working point its squeeze and process "
                "temperatures are only guessed, and rather too low. Give them yourself."
            )


def _sagging(name: str, glass: GlassProperties, soak: float, units: UnitChoice) -> Iterator[str]:
    decade = viscosity_decade_at(glass.annealing_point.value, glass.strain_point.value, soak)
    if decade < SOFT_DECADE:
        yield (
            f"“{name}” is too soft for this night: at the soak of "
            f"{temperature_in_words(soak, units)} it has about 10^{decade:.1f} Pa s and may sag "
            "or stick. Anneal it on another night."
        )


def _slumping(
    load: Load, properties: Mapping[str, GlassProperties], soak: float, hold: float
) -> Iterator[str]:
    for piece in load.pieces:
        found = slump(piece, properties[piece.glass], soak, hold)
        if found.visible:
            way = "between supports" if found.lies else "in height"
            yield (
                f"“{piece.name}” may give {found.distance * 1000:.1f} mm under its own weight at "
                f"the soak ({way}, over {found.length * 1000:.0f} mm). Support it, or soak cooler."
            )


def _apart(load: Load, properties: Mapping[str, GlassProperties]) -> Iterator[str]:
    groups = nights_apart(load, properties)
    if len(groups) > 1:
        nights = "; then ".join(" with ".join(f"“{name}”" for name in group) for group in groups)
        yield f"These glasses should not share a night. One night each would do: {nights}."


def _uncertain(name: str, glass: GlassProperties, units: UnitChoice) -> Iterator[str]:
    point = glass.annealing_point
    if point.measured or point.plus_minus is None:
        return
    spread = interval_to(point.plus_minus, units.temperature)
    yield (
        f"“{name}”: its annealing point is computed, give or take {spread:.0f} "
        f"{units.temperature.symbol}. A measured point from the supplier makes the night surer."
    )


def _names_in_common(load: Load) -> Iterator[str]:
    for name, count in Counter(piece.name for piece in load.pieces).items():
        if count > 1:
            yield (
                f"{count} kinds of pieces are called “{name}”. All are planned for; give each its "
                "own name to see which one decides."
            )


def _cold_start(
    load: Load, properties: Mapping[str, GlassProperties], units: UnitChoice
) -> Iterator[str]:
    start = load.start_temperature if load.reheating is None else None
    strain = max(p.strain_point.value for p in properties.values())
    if start is not None and start < strain:
        yield (
            f"The lehr starts at {temperature_in_words(start, units)}, below the strain point: "
            "pieces straight from the pipe would crack in it. The heating rate is for cold pieces "
            "already inside."
        )
