"""The stress of a piece in plain sentences."""

from __future__ import annotations

from datetime import tzinfo

from app.local_time import clock_text
from app.widgets.quantity import Quantity, format_quantity, number_text
from core.load.load import StressLimits
from core.load.load_stress import judge_by
from core.stress.result import PieceStress, SectionStress
from core.stress.words import NOT_SETTLED
from core.units import UnitChoice


def section_name(stress: PieceStress, section: SectionStress) -> str:
    """The piece, and which part of it where it has several."""
    if len(stress.sections) == 1:
        return stress.name
    return f"{stress.name}, {section.section.part}"


def is_within(stress: PieceStress, limits: StressLimits) -> bool:
    """True when every stress of the piece is at or below its limit."""
    return judge_by(limits, stress).within_limits


def left_words(stress: PieceStress, section: SectionStress, limits: StressLimits) -> str:
    """What stays in the glass for good."""
    text = (
        f"Stays for good: {megapascal(section.permanent_core)} in the core, "
        f"{megapascal(section.permanent_surface)} in the skin "
        f"(limit {megapascal(limits.permanent_tension)})."
    )
    if len(stress.sections) > 1:
        text += (
            f" Between wall and base {megapascal(abs(section.permanent_joint))}, if neither can "
            f"give way at all (limit {megapascal(limits.permanent_wall_base)}; dash-dotted)."
        )
    return text


def peak_words(
    section: SectionStress, limits: StressLimits, units: UnitChoice, zone: tzinfo | None
) -> str:
    """The moment of greatest danger."""
    peak = section.peak
    if peak.stress <= 0.0:
        return "No tension on the way."
    at = format_quantity(Quantity.TEMPERATURE, peak.temperature, units)
    return (
        f"Greatest danger at {clock_text(peak.time, zone)}: {megapascal(peak.stress)} of tension "
        f"{place_words(section)}, the glass there at {at} "
        f"({megapascal(limits.allowed_temporary_tension)} allowed: "
        f"{megapascal(limits.temporary_tension)} over a safety factor of "
        f"{number_text(limits.safety_factor, 1)})."
    )


def place_words(section: SectionStress) -> str:
    """Where the greatest tension was: in the skin, in the core, or how deep."""
    depth, deepest = section.peak.depth, float(section.depth.max())
    if depth <= 0.02 * deepest:
        return "in the skin"
    if depth >= 0.98 * deepest:
        return "in the core"
    return f"{number_text(depth * 1000.0, 1)} mm deep"


def seen_words(section: SectionStress) -> str:
    """What a polariscope should show."""
    shown = section.retardation
    return (
        f"A polariscope should show {number_text(shown.value * 1e9, 0)} nm {shown.direction} "
        f"({number_text(shown.per_length * 1e7, 1)} nm/cm)."
    )


def settled_words(stress: PieceStress) -> str:
    """Said of a night that ends too soon; empty otherwise."""
    return "" if stress.settled else f"{NOT_SETTLED[:1].upper()}{NOT_SETTLED[1:]}"


def megapascal(stress: float) -> str:
    """A stress with two decimals and the sign of a minus, ``"−0.36 MPa"``."""
    return f"{number_text(stress / 1e6, 2).replace('-', '−')} MPa"
