"""Stress-optical coefficient by lead content.

Retardation [m] = coefficient [1/Pa] x stress [Pa] x path [m]. Float glass 2.62e-12 1/Pa (from
Pilkington ATS-129, Properties of Soda-Lime-Silica Float Glass, 2013). Lead glasses: lead crystal
of 24-30 % PbO 2.90, LLF1 (30 %) 3.05, F2 (46 %) 2.81, SF6 (70 %) 0.65, SF57 (75 %) 0.02, in
1e-12 1/Pa (data sheets of optical glasses, from memory, unverified).
"""

from __future__ import annotations

import numpy as np

from core.composition.composition import Composition
from core.glass.glass import Estimate

SOURCE = "ATS-129 for soda-lime; optical glass data sheets for lead (from memory, unverified)"

_LEAD = (0.0, 27.0, 30.0, 46.0, 70.0, 75.0)
"""[wt% PbO]"""
_COEFFICIENT = (2.62, 2.90, 3.05, 2.81, 0.65, 0.02)
"""[1e-12 1/Pa]"""


def stress_optical_coefficient_of(
    composition: Composition,
) -> tuple[Estimate, tuple[str, ...]]:
    """Stress-optical coefficient [1/Pa] at room temperature, and warnings.

    Linear in wt% PbO between the glasses of the module docstring; valid 0-75 wt% PbO, soda-lime,
    potash and lead glasses (borosilicates read up to 4e-12). Stated error 0.2e-12 without lead,
    0.4e-12 with lead, the spread between sheets (common practice, no source).
    """
    lead = composition.weight("PbO")
    value = float(np.interp(lead, _LEAD, _COEFFICIENT)) * 1e-12
    warnings: tuple[str, ...] = ()
    if lead > _LEAD[-1]:
        beyond = f"PbO {lead:.3g} wt% is above the 75 wt% up to which the stress-optical"
        warnings = (f"{beyond} coefficient is known; do not turn retardation into stress.",)
    return Estimate.around(value, 0.2e-12 if lead < 1.0 else 0.4e-12, SOURCE), warnings
