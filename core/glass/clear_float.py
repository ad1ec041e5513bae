"""Clear float glass: what is assumed of a glass whose analysis is not known.

Pilkington North America (2013), ATS-129 Properties of Soda-Lime-Silica Float Glass.
"""

from __future__ import annotations

from core.composition.composition import Composition

SOURCE = "assumed: clear float glass, Pilkington ATS-129 (2013)"

COMPOSITION = Composition.from_percent(
    {
        "SiO2": 72.6,
        "Na2O": 13.9,
        "CaO": 8.4,
        "MgO": 3.9,
        "Al2O3": 1.1,
        "K2O": 0.6,
        "SO3": 0.2,
        "Fe2O3": 0.11,
    }
)
DENSITY = 2500.0
"""[kg/m3] (2530 in the 2008 issue)."""
YOUNGS_MODULUS = 72e9
"""[Pa]"""
POISSONS_RATIO = 0.23
STRESS_OPTICAL_COEFFICIENT = 2.62e-12
"""[1/Pa], from stress [psi] = 2.18 x retardation [nm] / thickness [in]."""
