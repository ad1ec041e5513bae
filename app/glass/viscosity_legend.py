"""What stands above the viscosity plot: which curve is which, and what each says there."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from app.widgets.quantity import number_text
from core.glass.viscosity_lines import ViscosityLine
from core.units import UnitChoice, kelvin_to

_SIGNS = ("●", "■", "▼", "◆", "★")
"""The marks of several glasses, as the plot draws them."""


def legend_text(
    lines: Sequence[ViscosityLine],
    colours: Sequence[str],
    measured_colour: str,
    *,
    several: bool,
    measured: bool,
    trials: bool,
) -> str:
    """Rich text: a sign and name for each curve, and what dashes, tints and marks mean."""
    parts = []
    for index, (line, colour) in enumerate(zip(lines, colours, strict=True)):
        used = line.used and not several
        weight = "font-weight:600;" if used else ""
        sign = _SIGNS[index] if several else "━"
        parts.append(
            f"<span style='color:{colour};{weight}'>{sign}&nbsp;{_safe(line.name)}</span>"
            + (" (used)" if used else "")
        )
    if any(line.low is not None for line in lines):
        parts.append("tinted: nine in ten lie within")
    if any(not line.known.all() for line in lines):
        parts.append("┅&nbsp;dashed: extrapolated or out of range")
    if measured:
        parts.append(f"<span style='color:{measured_colour}'>◆&nbsp;measured</span>")
    if trials:
        parts.append(f"<span style='color:{measured_colour}'>✕&nbsp;own trial</span>")
    return " &nbsp;&nbsp; ".join(parts)


def read_out_text(lines: Sequence[ViscosityLine], shown: float, units: UnitChoice, ink: str) -> str:
    """Rich text: the viscosity of each curve at a temperature in the unit shown."""
    parts = [f"<b style='color:{ink}'>{shown:.0f} {units.temperature.symbol}</b>"]
    for line in lines:
        value = float(
            np.interp(
                shown,
                np.asarray(kelvin_to(line.temperature, units.temperature))[::-1],
                line.log_viscosity[::-1],
                left=math.nan,
                right=math.nan,
            )
        )
        if math.isfinite(value):
            power = number_text(value, 1)
            parts.append(f"{_safe(line.name)} <b style='color:{ink}'>10^{power} Pa s</b>")
    return "&nbsp;&nbsp;&nbsp; ".join(parts)


def _safe(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;")
