"""What a plan takes for granted, written down with it so that it can be read years later."""

from __future__ import annotations

from core.glass.glass import GlassProperties
from core.load.load import Load
from core.load.reheating import ReheatKind
from core.plan.corners import Margins
from core.units import UnitChoice, format_duration, interval_to, kelvin_to
from core.version import VERSION

ENGINE = ("stress engine", "one-dimensional, structural and viscoelastic relaxation, 1")
"""Name and version of what a plan is replayed through."""


def made_with(properties: dict[str, GlassProperties]) -> tuple[tuple[str, str], ...]:
    """Versions of the program, the engine, and every model behind the glasses."""
    models = [model for glass in properties.values() for model in glass.model_versions]
    return tuple(dict.fromkeys([("Lehrkeeper", VERSION), ENGINE, *models]))


def assumptions_of(
    load: Load, properties: dict[str, GlassProperties], margins: Margins, units: UnitChoice
) -> tuple[str, ...]:
    """Sentences; temperatures are true ones, without the thermocouple's offset."""
    degree = units.temperature

    def size(kelvin: float) -> str:
        return f"{interval_to(kelvin, degree):.3g} {degree.symbol}"

    lehr, limits = load.lehr, load.limits
    sentences = []
    for name, glass in properties.items():
        point = glass.annealing_point
        between = ""
        if margins.glass and point.low is not None and point.high is not None:
            low, high = (kelvin_to(t, degree) for t in (point.low, point.high))
            between = f", between {low:.0f} and {high:.0f} {degree.symbol} nine times in ten"
        sentences.append(
            f"“{name}”: annealing point {kelvin_to(point.value, degree):.0f} {degree.symbol}"
            f"{between} ({point.source})."
        )
    unsure = []
    if margins.thermocouple:
        unsure.append(f"the thermocouple within {size(lehr.thermocouple_error)}")
    if margins.unevenness:
        unsure.append(f"the lehr even within {size(lehr.unevenness)}")
    if unsure:
        sentences.append(
            f"Held to be true, after an offset of {size(lehr.thermocouple_offset)}: "
            f"{' and '.join(unsure)}; every piece is replayed with all of it either way."
        )
    else:
        sentences.append("Everything is taken as believed: no margin for thermocouple or lehr.")
    sentences.append(
        f"Power off, the lehr loses heat with a time constant of "
        f"{format_duration(lehr.cooling_time_constant)} in a room at "
        f"{kelvin_to(lehr.ambient, degree):.0f} {degree.symbol}."
    )
    sentences.append(
        f"Left for good: {limits.permanent_tension / 1e6:.3g} MPa of core tension and "
        f"{limits.permanent_wall_base / 1e6:.3g} MPa between wall and base. On the way: "
        f"{limits.temporary_tension / 1e6:.3g} and {limits.temporary_wall_base / 1e6:.3g} MPa, "
        f"over a safety factor of {limits.safety_factor:.3g}."
    )
    sentences += _beginning(load)
    return tuple(sentences)


def _beginning(load: Load) -> list[str]:
    """How the pieces are there when the cooling begins."""
    depth_alone = "Stress varies with depth alone (no feet, handles or edges)."
    reheating = load.reheating
    if reheating is not None and reheating.kind is ReheatKind.CASTING:
        return [
            "The castings are followed from the end of the process hold, even and a liquid then.",
            "Their cullet is taken as round lumps until then.",
            depth_alone,
        ]
    placed = [load.placing_of(piece) for piece in load.pieces]
    followed = sum(p.put_in is not None or p.came_hot_or_cold for p in placed)
    sentences = []
    if followed < len(placed):
        sentences.append(
            "Pieces go in before the button is pressed and are even at the soak when it ends."
        )
    if followed:
        sentences.append("Pieces of which it is known are followed from when they went in.")
    if reheating is not None:
        sentences.append(
            f"Cold pieces bring {reheating.strain / 1e6:.2g} MPa of core tension along."
        )
    return [*sentences, depth_alone]
