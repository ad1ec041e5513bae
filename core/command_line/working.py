"""Working properties as a table and as JSON, for every command that shows a glass."""

from __future__ import annotations

from typing import Any

from core.command_line.table import columns, estimate_json
from core.glass.glass import Estimate
from core.units import ZERO_CELSIUS
from core.working.working_properties import (
    LONG,
    REFERENCE_GLASS,
    WORKING_TEMPERATURES,
    Length,
    WorkingProperties,
)


def working_json(working: WorkingProperties) -> dict[str, Any]:
    """Working properties as plain values: °C, seconds, millimetres; ``None`` where not known."""
    values: dict[str, Any] = {}
    for point in WORKING_TEMPERATURES:
        estimate = getattr(working, point.key)
        values |= estimate_json(f"{point.key}_C", estimate, shift=-ZERO_CELSIUS, digits=1)
    values |= estimate_json("working_range_C", working.working_range, digits=1)
    values |= estimate_json("setting_time_s", working.setting_time, digits=1)
    values |= estimate_json("relative_time", working.relative_time, digits=3)
    return {
        **values,
        "length": None if working.length is None else working.length.value,
        "length_may_be": [length.value for length in working.other_lengths],
        "reference_glass": REFERENCE_GLASS,
        "wall_mm": working.wall.thickness * 1000.0,
        "wall_faces": working.wall.faces,
        "room_C": round(working.wall.room - ZERO_CELSIUS, 1),
        "emissivity": working.wall.emissivity,
        "biot_number": None if working.biot_number is None else round(working.biot_number, 3),
        "definitions": {
            f"{point.key}_C": f"10^{point.log_viscosity:g} Pa s: {point.standard}"
            for point in WORKING_TEMPERATURES
        }
        | {
            "working_range_C": "working point (10^3 Pa s) less softening point (10^6.6 Pa s)",
            "setting_time_s": "from working to softening point, wall in still air",
            "relative_time": "setting time over the reference glass's in the same wall",
            "length": f"long from {LONG:g} of the reference's time, short below 1/{LONG:g}",
        },
        "warnings": list(working.warnings),
    }


def working_table(working: WorkingProperties) -> str:
    """Working properties as lines of text with their definitions."""
    rows = [
        (
            point.name,
            *_shown(getattr(working, point.key), "°C", shift=-ZERO_CELSIUS),
            f"10^{point.log_viscosity:g} Pa s; {point.meaning}",
        )
        for point in WORKING_TEMPERATURES
    ]
    wall = working.wall
    faces = "both faces" if wall.faces == 2 else "one face"
    room = f"room {wall.room - ZERO_CELSIUS:.0f} °C"
    described = f"wall {wall.thickness * 1000:g} mm, {faces} open, {room}"
    rows += [
        (
            "working range",
            *_shown(working.working_range, "°C"),
            "working point less softening point",
        ),
        (
            "setting time",
            *_shown(working.setting_time, "s"),
            f"working to softening point, {described}",
        ),
        (
            "against standard",
            *_shown(working.relative_time, "times", digits=2),
            f"time of {REFERENCE_GLASS} in the same wall",
        ),
    ]
    lines = [columns(rows, right=(1, 2))]
    if working.length is not None:
        lines.append(_length_sentence(working.length, working.other_lengths))
    return "\n".join([*lines, *(f"! {warning}" for warning in working.warnings)])


def _length_sentence(length: Length, others: tuple[Length, ...]) -> str:
    text = f"In the working this glass is {length.value}"
    if others:
        text += f"; it may turn out {' or '.join(other.value for other in others)}"
    return f"{text}."


def _shown(
    estimate: Estimate | None, unit: str, *, shift: float = 0.0, digits: int = 0
) -> tuple[str, str, str]:
    """Value, interval and unit as shown."""
    if estimate is None:
        return "not known", "", ""
    value = f"{estimate.value + shift:.{digits}f}"
    if estimate.low is None or estimate.high is None:
        return value, "", unit
    interval = f"{estimate.low + shift:.{digits}f} to {estimate.high + shift:.{digits}f}"
    return value, interval, unit
