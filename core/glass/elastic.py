"""Young's modulus and Poisson's ratio from the analysis and density.

Makishima A., Mackenzie J.D. (1973), J. Non-Cryst. Solids 12, 35 and (1975) 17, 147, with the
dissociation energies and packing factors of Inaba S., Fujino S., Morinaga K. (1999), J. Am.
Ceram. Soc. 82, 3501 (attribution from memory): E [GPa] = 2 Vt sum(x_i G_i), packing density
Vt = density sum(x_i V_i) / sum(x_i M_i). Poisson's ratio = 0.5 - 1/(7.2 Vt) (Makishima and
Mackenzie 1975, from memory, unverified).

Against some 1,000 moduli and 370 Poisson's ratios of the SciGlass open data (SciGlass database,
(c) 2019 EPAM Systems, ODC Open Database License) nine in ten lie within 11 GPa (median 4 GPa,
3 GPa low for soda-lime) and 0.045 (0.02 high for soda-lime). Those are the errors stated here.
"""

from __future__ import annotations

from collections.abc import Mapping

from core.composition.composition import Composition
from core.composition.oxides import MOLAR_MASS
from core.errors import GlassError
from core.glass.glass import Estimate

SOURCE = "Makishima and Mackenzie 1973 with Inaba 1999"
POISSON_SOURCE = "Makishima and Mackenzie 1975 (from memory, unverified)"

_FACTORS: Mapping[str, tuple[float, float]] = {
    "SiO2": (68.0, 14.0),
    "B2O3": (82.8, 20.8),
    "Al2O3": (131.0, 21.0),
    "MgO": (90.0, 7.6),
    "CaO": (64.1, 9.4),
    "BaO": (39.5, 13.1),
    "Li2O": (77.9, 8.0),
    "Na2O": (31.9, 11.2),
    "K2O": (19.2, 18.8),
    "ZnO": (49.9, 7.9),
    "SrO": (45.4, 10.6),
    "PbO": (25.3, 11.7),
    "Fe2O3": (78.5, 21.6),
    "Y2O3": (72.7, 24.8),
    "La2O3": (65.8, 28.4),
    "TiO2": (101.2, 14.6),
    "GeO2": (49.5, 14.2),
    "ZrO2": (111.9, 15.2),
    "P2O5": (28.2, 34.8),
    "V2O5": (69.5, 35.6),
}
"""Dissociation energy G [kJ/cm3] and packing factor V [cm3/mol]."""

_UNCOVERED_MOLE_PERCENT = 2.0


def elastic_of(
    composition: Composition, density: float
) -> tuple[Estimate, Estimate, tuple[str, ...]]:
    """Young's modulus [Pa], Poisson's ratio [-], and warnings.

    Parameters
    ----------
    composition : Composition
        Oxides without factors are left out and the others count for them, with a warning above
        2 mol%.
    density : float
        [kg/m3] at 20 °C, measured or computed.

    Raises
    ------
    GlassError
        If density and analysis do not go together (a packing no glass has).

    Notes
    -----
    Valid for annealed silicate glasses at 20 °C. Source: module docstring.
    """
    mole = composition.mole_percent
    covered = {o: x for o, x in mole.items() if o in _FACTORS}
    total = sum(covered.values())
    if total <= 0:
        raise GlassError(
            "Young's modulus cannot be reckoned for this analysis.",
            field="youngs_modulus",
            remedy="Enter a measured one.",
        )
    energy = sum(x * _FACTORS[o][0] for o, x in covered.items()) / total
    packed = sum(x * _FACTORS[o][1] for o, x in covered.items())
    mass = sum(x * MOLAR_MASS[o] for o, x in covered.items())
    packing = density / 1000.0 * packed / mass
    if not 0.3 < packing < 0.75:  # silica 0.46, soda-lime 0.5; densest sphere packing 0.74
        raise GlassError(
            f"A density of {density:.0f} kg/m3 does not go with this analysis.",
            field="density",
            remedy="Check the analysis, or enter a measured density (kg/m3).",
        )
    missing = {o: x for o, x in mole.items() if o not in _FACTORS}
    warnings: tuple[str, ...] = ()
    if sum(missing.values()) > _UNCOVERED_MOLE_PERCENT:
        share = f"{sum(missing.values()):.3g} mol% of the glass ({', '.join(missing)})"
        warnings = (f"{share} has no elastic factors; the other oxides count for it.",)
    youngs_modulus = Estimate.around(2.0 * packing * energy * 1e9, 11e9, SOURCE)
    poissons_ratio = Estimate.around(0.5 - 1.0 / (7.2 * packing), 0.045, POISSON_SOURCE)
    return youngs_modulus, poissons_ratio, warnings
