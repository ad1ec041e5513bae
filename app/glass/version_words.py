"""What changed between two versions of a glass, in words."""

from __future__ import annotations

from app.glass.words import short_name
from app.widgets.quantity import NOTHING, Quantity, format_quantity, number_text
from core.glass.fixed_points import FIXED_POINTS
from core.glass.glass_changes import GlassChange
from core.units import UnitChoice

_NUMBERS = {
    **{point.key: (short_name(point), Quantity.TEMPERATURE) for point in FIXED_POINTS},
    "expansion": ("Expansion", Quantity.EXPANSION),
    "density": ("Density", Quantity.DENSITY),
    "youngs_modulus": ("Young's modulus", Quantity.MODULUS),
}
_TEXTS = {
    "composition": "Analysis",
    "measured_source": "Sheet",
    "name": "Name",
    "source": "Source",
    "note": "Note",
}
_ERROR = "_error"


def change_words(change: GlassChange, units: UnitChoice) -> str:
    """One change, such as ``"Na2O 14.2 → 15 wt%"`` or ``"Annealing 545 → 552 °C"``."""
    if change.key == "composition_error":
        return "Error or total of the analysis changed"
    if change.key == "trials":
        return f"Own trials {_count(change.before)} → {_count(change.after)}"
    if change.key in _TEXTS:
        return _text(_TEXTS[change.key], change)
    if change.key in _NUMBERS:
        return _number(*_NUMBERS[change.key], change, units)
    of = change.key.removesuffix(_ERROR)
    if of in _NUMBERS:
        name, quantity = _NUMBERS[of]
        error = Quantity.INTERVAL if quantity is Quantity.TEMPERATURE else quantity
        return _number(f"{name} known to ±", error, change, units)
    before, after = (_amount(end) for end in (change.before, change.after))
    return f"{change.key} {before} → {after} wt%"


def _number(name: str, quantity: Quantity, change: GlassChange, units: UnitChoice) -> str:
    def shown(end: float | str | None, *, unit: bool) -> str:
        if not isinstance(end, float | int):
            return NOTHING
        return format_quantity(quantity, float(end), units, with_unit=unit)

    last = change.after is not None
    before, after = shown(change.before, unit=not last), shown(change.after, unit=last)
    return f"{name} {before} → {after}"


def _text(name: str, change: GlassChange) -> str:
    if change.before is None:
        return f"{name} added"
    return f"{name} removed" if change.after is None else f"{name} changed"


def _amount(end: float | str | None) -> str:
    return number_text(float(end), 2) if isinstance(end, float | int) else "0"


def _count(end: float | str | None) -> str:
    return f"{end:.0f}" if isinstance(end, float | int) else "0"
