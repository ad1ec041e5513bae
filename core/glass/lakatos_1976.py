"""Lakatos, Johansson and Simmingskold 1976: a VFT curve from weights per 100 of silica.

Lakatos T., Johansson L.-G., Simmingskold B. (1976), Updated factors for calculation of viscosity,
Glasteknisk Tidskrift, Table 6 (VFT constants). The paper's own calculated temperatures follow
this table within 0.2 °C; its Table 7 (temperatures directly) is up to 1.3 °C away from them.
Fitted to 10^1, 10^3 and 10^5 Pa s (10^2, 10^4 and 10^6 poise) of soda-lime glasses with some
lead, barium, zinc, lithium, boron or alumina. Below the working range it extrapolates.

The lower limit of CaO, 4.48 wt%, may be a misprint for 4.84: the paper's glass D6 adds up to 100
only with the latter.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from core.composition.composition import Composition
from core.errors import GlassError
from core.glass.viscosity_curve import VftCurve
from core.glass.viscosity_model import (
    TRACE_MOLE_PERCENT,
    ModelEvaluation,
    cannot_evaluate,
    outside_sentence,
    require_physical,
    unknown_sentence,
)
from core.units import ZERO_CELSIUS

_CONSTANT = (6237.013, 1.713, 149.4)
_FACTORS: Mapping[str, tuple[float, float, float]] = {
    "Al2O3": (15.21, -0.0087, 1.4),
    "Na2O": (-66.01, -0.0162, 0.5),
    "K2O": (-5.41, 0.0066, -2.36),
    "Li2O": (-115.18, -0.0318, -13.29),
    "CaO": (-60.63, 0.0064, 7.71),
    "MgO": (56.21, 0.0589, -2.12),
    "BaO": (-21.03, 0.0026, 1.09),
    "ZnO": (-3.76, 0.016, 0.96),
    "PbO": (-25.44, -0.005, 0.82),
    "B2O3": (-155.11, -0.0465, 12.03),
}
_B2O3_SQUARED = (4.0999, 0.001627, -0.2765)
"""B [°C], A [-] and T0 [°C] of log10(viscosity / poise) = -A + B / (t - T0)."""

_RANGE: Mapping[str, tuple[float, float]] = {
    "SiO2": (50.0, 77.0),
    "Na2O": (10.0, 17.0),
    "Al2O3": (0.0, 8.26),
    "K2O": (0.0, 8.7),
    "Li2O": (0.0, 3.0),
    "CaO": (4.48, 13.32),
    "MgO": (0.0, 6.0),
    "BaO": (0.0, 16.54),
    "ZnO": (0.0, 9.39),
    "PbO": (0.0, 12.22),
    "B2O3": (0.0, 14.37),
}
"""Least and most [wt%] in the glasses it was fitted to."""

_ROUNDING = 0.006
"""Relative. The limits are as listed, of analyses adding up to 99.5-100: the paper's own glass S1
has 77.02 wt% SiO2 in 99.49, which is 77.4 in 100."""


def vft_curve(weight_percent: Mapping[str, float]) -> VftCurve:
    """VFT curve of a glass (paper, Table 6).

    Parameters
    ----------
    weight_percent : Mapping of str to float
        Oxides by weight, on any scale: only their ratios to SiO2 count.

    Raises
    ------
    GlassError
        If there is no SiO2 or the constants make no falling curve.
    """
    silica = weight_percent.get("SiO2", 0.0)
    if silica <= 0:
        raise GlassError("Lakatos 1976 counts oxides per 100 SiO2, and there is none.")
    per_100 = {oxide: 100.0 * weight_percent.get(oxide, 0.0) / silica for oxide in _FACTORS}
    if max(per_100.values()) > 1e4:
        raise GlassError("Lakatos 1976 counts oxides per 100 SiO2, and there is next to none.")
    b, a, t0 = (
        _CONSTANT[i]
        + math.fsum(_FACTORS[oxide][i] * parts for oxide, parts in per_100.items())
        + _B2O3_SQUARED[i] * per_100["B2O3"] ** 2
        for i in range(3)
    )
    # In Pa s every log viscosity is one less than in poise.
    return VftCurve(a=-(a + 1.0), b=b, t0=t0 + ZERO_CELSIUS)


@dataclass(frozen=True)
class Lakatos1976:
    """The model of Lakatos et al. 1976.

    ``stated_error`` is its largest, 4.6 °C at 10 Pa s (3.3 °C at 10^3, 3.1 °C at 10^5).
    """

    name: str = "Lakatos 1976"
    source: str = (
        "Lakatos T., Johansson L.-G., Simmingskold B. (1976), Updated factors for calculation of "
        "viscosity, Glasteknisk Tidskrift"
    )
    stated_error: float = 4.63
    fitted_log_viscosity: tuple[float, float] = (1.0, 5.0)

    def evaluate(self, composition: Composition) -> ModelEvaluation:
        """Curve of a composition.

        Raises
        ------
        GlassError
            If the constants make no physical curve.
        """
        weight = composition.weight_percent
        try:
            curve = vft_curve(weight)
        except GlassError as error:
            raise cannot_evaluate(self.name) from error
        require_physical(curve, self.name)
        ignored = tuple(oxide for oxide in weight if oxide not in _RANGE)
        return ModelEvaluation(curve, _outside(composition), ignored)


def _outside(composition: Composition) -> tuple[str, ...]:
    sentences = []
    for oxide, (low, high) in _RANGE.items():
        amount = composition.weight(oxide)
        if not low * (1.0 - _ROUNDING) <= amount <= high * (1.0 + _ROUNDING):
            limit = low if amount < low else high
            sentences.append(outside_sentence(oxide, amount, "wt%", limit))
    sentences += [
        unknown_sentence(oxide, mole, "mol%")
        for oxide, mole in composition.mole_percent.items()
        if oxide not in _RANGE and mole > TRACE_MOLE_PERCENT
    ]
    return tuple(sentences)


LAKATOS_1976 = Lakatos1976()
