"""Fluegel 2007: three isokoms from mol%, for silicate glasses of every studio kind.

Fluegel A. (2007), Glass viscosity calculation based on a global statistical modelling approach,
Glass Technol.: Eur. J. Glass Sci. Technol. A 48(1), 13-30, Tables 3-6. Fitted to several
thousand glasses; the temperature [°C] at log10(viscosity / Pa s) = 1.5, 6.6 and 12 is a
polynomial in the mol% of the whole glass (silica counts in the total but is no variable).

A public copy of the table for 1.5 prints every cross product as positive; with those signs the
model misses the paper's own calculated values by up to 78 °C. The signs here (minus on
B2O3 x Na2O, K2O, Li2O; Al2O3 x Na2O, Li2O, MgO, CaO; MgO x CaO) are the only pattern that meets
the paper's five check glasses within 0.8 °C: inferred from its numbers, not read in it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from core.composition.composition import Composition
from core.errors import GlassError
from core.glass.viscosity_curve import VftCurve, vft_through
from core.glass.viscosity_model import (
    TRACE_MOLE_PERCENT,
    ModelEvaluation,
    cannot_evaluate,
    outside_sentence,
    recast,
    require_physical,
    unknown_sentence,
)
from core.units import ZERO_CELSIUS

_Terms = Mapping[tuple[str, ...], float]

_LEVELS: Mapping[float, tuple[float, _Terms]] = {
    # log10(viscosity / Pa s) = 1.5
    1.5: (
        1824.497,
        {
            ("Al2O3",): 19.341,
            ("B2O3",): -22.347,
            ("BaO",): -18.931,
            ("Bi2O3",): -42.416,
            ("CaO",): -17.453,
            ("CeO2",): -22.418,
            ("Cl",): -8.563,
            ("CuO",): -30.913,
            ("F",): -11.739,
            ("Fe2O3",): -13.611,
            ("K2O",): -31.907,
            ("Li2O",): -30.336,
            ("MgO",): -5.038,
            ("MnO2",): -17.05,
            ("Na2O",): -30.61,
            ("Nd2O3",): -39.662,
            ("PbO",): -21.349,
            ("SO3",): -13.908,
            ("SrO",): -17.292,
            ("ThO2",): -17.185,
            ("TiO2",): -10.323,
            ("UO2",): -17.672,
            ("V2O5",): -21.727,
            ("ZnO",): -6.28,
            ("ZrO2",): 0.173,
            ("B2O3", "B2O3"): 0.60376,
            ("CaO", "CaO"): 0.12038,
            ("K2O", "K2O"): 0.61234,
            ("Li2O", "Li2O"): 0.22499,
            ("Na2O", "Na2O"): 0.27887,
            ("K2O", "K2O", "K2O"): -0.006662,
            ("K2O", "MgO"): 0.59449,
            ("B2O3", "Na2O"): -0.28237,
            ("B2O3", "K2O"): -0.2789,
            ("B2O3", "Li2O"): -0.16843,
            ("Al2O3", "Na2O"): -0.23085,
            ("Al2O3", "Li2O"): -0.38421,
            ("Al2O3", "MgO"): -0.44589,
            ("Al2O3", "CaO"): -0.93909,
            ("Na2O", "K2O"): 0.58773,
            ("Na2O", "Li2O"): 0.20691,
            ("Na2O", "CaO"): 0.19254,
            ("K2O", "Li2O"): 0.24924,
            ("K2O", "CaO"): 0.29628,
            ("MgO", "CaO"): -0.17394,
            ("Al2O3", "Na2O", "CaO"): 0.03362,
        },
    ),
    # log10(viscosity / Pa s) = 6.6
    6.6: (
        939.479,
        {
            ("Al2O3",): 5.812,
            ("B2O3",): -4.366,
            ("BaO",): -3.385,
            ("CaO",): -1.791,
            ("F",): -9.328,
            ("Fe2O3",): -11.013,
            ("K2O",): -20.659,
            ("Li2O",): -25.075,
            ("MgO",): 0.93,
            ("Na2O",): -19.051,
            ("P2O5",): 14.857,
            ("PbO",): -8.871,
            ("SrO",): -2.191,
            ("TiO2",): -2.862,
            ("ZnO",): -1.065,
            ("ZrO2",): 12.425,
            ("B2O3", "B2O3"): -0.17367,
            ("K2O", "K2O"): 0.58116,
            ("Li2O", "Li2O"): 0.46012,
            ("Na2O", "Na2O"): 0.32209,
            ("K2O", "K2O", "K2O"): -0.00937,
            ("Na2O", "Na2O", "Na2O"): -0.00208,
            ("B2O3", "Na2O"): 0.32005,
            ("B2O3", "K2O"): 0.42514,
            ("B2O3", "Li2O"): 0.39626,
            ("B2O3", "CaO"): -0.24066,
            ("Al2O3", "Na2O"): 0.08442,
            ("Al2O3", "K2O"): 0.48055,
            ("Na2O", "K2O"): 0.15519,
            ("Na2O", "Li2O"): 0.20781,
            ("Na2O", "CaO"): 0.09392,
            ("K2O", "Li2O"): 0.46938,
            ("K2O", "MgO"): 0.26354,
            ("K2O", "CaO"): 0.47564,
            ("MgO", "CaO"): -0.15553,
            ("B2O3", "Al2O3", "Na2O"): -0.033573,
            ("Al2O3", "Na2O", "CaO"): -0.00678,
            ("Na2O", "MgO", "CaO"): -0.012589,
        },
    ),
    # log10(viscosity / Pa s) = 12
    12.0: (
        624.829,
        {
            ("Al2O3",): 4.929,
            ("B2O3",): -1.121,
            ("BaO",): -1.11,
            ("CaO",): 6.84,
            ("F",): -8.123,
            ("Fe2O3",): -8.453,
            ("K2O",): -12.46,
            ("Li2O",): -11.571,
            ("MgO",): 1.141,
            ("Na2O",): -12.854,
            ("PbO",): -4.349,
            ("SrO",): 1.388,
            ("TiO2",): 3.864,
            ("ZrO2",): 8.927,
            ("CaO", "CaO"): -0.08269,
            ("K2O", "K2O"): 0.39706,
            ("Li2O", "Li2O"): 0.27802,
            ("Na2O", "Na2O"): 0.35785,
            ("K2O", "K2O", "K2O"): -0.005382,
            ("Li2O", "Li2O", "Li2O"): -0.002576,
            ("Na2O", "Na2O", "Na2O"): -0.004179,
            ("B2O3", "Na2O"): 0.38413,
            ("B2O3", "CaO"): -0.20958,
            ("B2O3", "Al2O3"): -0.3338,
            ("Al2O3", "CaO"): -0.13741,
            ("Na2O", "K2O"): 0.06169,
            ("Na2O", "Li2O"): 0.08558,
            ("Na2O", "CaO"): -0.10283,
            ("K2O", "Li2O"): 0.17538,
            ("K2O", "MgO"): 0.27425,
            ("K2O", "CaO"): 0.2247,
            ("MgO", "CaO"): -0.21563,
            ("CaO", "Li2O"): -0.8817,
            ("Al2O3", "Na2O", "CaO"): 0.013868,
        },
    ),
}
"""Constant [°C] and coefficients [°C per mol% to the number of factors] at each level."""

_SILICA = {1.5: (42.62, 89.2), 6.6: (42.62, 87.1), 12.0: (41.4, 91.97)}
"""Least and most SiO2 [mol%] in the data of each level."""

_MOST: Mapping[str, tuple[float, float, float]] = {
    "Al2O3": (11.3, 12.7, 10.0),
    "B2O3": (18.15, 16.97, 16.97),
    "BaO": (10.0, 8.0, 19.2),
    "CaO": (33.47, 33.1, 50.14),
    "F": (10.31, 10.31, 4.55),
    "Fe2O3": (6.99, 2.15, 0.57),
    "K2O": (41.67, 30.0, 34.05),
    "Li2O": (35.9, 33.3, 45.0),
    "MgO": (16.9, 20.0, 16.61),
    "MnO2": (3.43, 0.18, 0.18),
    "Na2O": (44.0, 42.0, 42.0),
    "P2O5": (4.64, 0.85, 0.0),
    "PbO": (49.96, 50.0, 56.0),
    "SrO": (7.37, 7.37, 18.02),
    "TiO2": (9.26, 3.29, 25.0),
    "ZnO": (5.19, 8.0, 2.81),
    "ZrO2": (9.78, 2.77, 1.76),
}
"""Most [mol%] in the data of levels 1.5, 6.6 and 12."""

_TERM_WITHOUT_RANGE = 0.5
"""[mol%] Oxides with a term at the hot level but no limit above (SO3, Cl, CuO, CeO2 ...) pass up
to this much (our choice; the paper's own check glass DGG I has 0.32 mol% SO3)."""

_COUNTED_AS = {"FeO": ("Fe2O3", 0.5), "MnO": ("MnO2", 1.0), "Cu2O": ("CuO", 2.0)}
_WITH_TERM = frozenset(o for _, terms in _LEVELS.values() for factors in terms for o in factors)
_ROUNDING = 0.006
"""[mol%] Limits are printed to two decimals; an amount within rounding is inside."""


def isokom_temperatures(mole_percent: Mapping[str, float]) -> dict[float, float]:
    """Temperatures [K] at log10(viscosity / Pa s) = 1.5, 6.6 and 12 (paper, Tables 3-6).

    Parameters
    ----------
    mole_percent : Mapping of str to float
        mol% of the whole glass as the paper lists it (Fe2O3, MnO2, CuO); used as given.
    """
    result = {}
    for level, (constant, terms) in _LEVELS.items():
        celsius = constant + math.fsum(
            coefficient * math.prod(mole_percent.get(oxide, 0.0) for oxide in factors)
            for factors, coefficient in terms.items()
        )
        result[level] = celsius + ZERO_CELSIUS
    return result


@dataclass(frozen=True)
class Fluegel2007:
    """The model of Fluegel 2007. ``stated_error`` is the upper end of the 9-17 °C it states."""

    name: str = "Fluegel 2007"
    source: str = (
        "Fluegel A. (2007), Glass viscosity calculation based on a global statistical modelling "
        "approach, Glass Technol.: Eur. J. Glass Sci. Technol. A 48(1), 13-30"
    )
    stated_error: float = 17.0
    fitted_log_viscosity: tuple[float, float] = (1.5, 12.0)

    def evaluate(self, composition: Composition) -> ModelEvaluation:
        """Curve through the three isokoms; FeO, MnO and Cu2O are counted as Fe2O3, MnO2, CuO.

        Raises
        ------
        GlassError
            If the isokoms make no physical curve.
        """
        mole = recast(composition.mole_percent, _COUNTED_AS)
        try:
            curve: VftCurve = vft_through(list(isokom_temperatures(mole).items()))
        except GlassError as error:
            raise cannot_evaluate(self.name) from error
        require_physical(curve, self.name)
        ignored = tuple(o for o in mole if o != "SiO2" and o not in _WITH_TERM)
        return ModelEvaluation(curve, _outside(mole), ignored)


def _outside(mole: Mapping[str, float]) -> tuple[str, ...]:
    sentences = []
    silica = mole.get("SiO2", 0.0)
    low = max(least for least, _ in _SILICA.values())
    high = min(most for _, most in _SILICA.values())
    if not low - _ROUNDING <= silica <= high + _ROUNDING:
        sentences.append(outside_sentence("SiO2", silica, "mol%", low if silica < low else high))
    for oxide, amount in mole.items():
        if oxide == "SiO2":
            continue
        if oxide in _MOST:
            limit = min(_MOST[oxide])
            if amount > max(limit, TRACE_MOLE_PERCENT) + _ROUNDING:
                sentence = (
                    outside_sentence(oxide, amount, "mol%", limit)
                    if limit > 0
                    else unknown_sentence(oxide, amount, "mol%")
                )
                sentences.append(sentence)
        else:
            passes = _TERM_WITHOUT_RANGE if oxide in _WITH_TERM else TRACE_MOLE_PERCENT
            if amount > passes:
                sentences.append(unknown_sentence(oxide, amount, "mol%"))
    return tuple(sentences)


FLUEGEL_2007 = Fluegel2007()
