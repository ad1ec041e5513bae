"""A material's analysis as people write and read it."""

from __future__ import annotations

from dataclasses import dataclass

from core.batch.formula import GAS_MOLAR_MASS
from core.batch.material import Material
from core.composition.parse import read_weights
from core.errors import BatchError, CompositionError

_FEW = 1e-4
"""[kg/kg] Less is not worth a word."""


def analysis_words(text: str) -> dict[str, float]:
    """Oxides [wt%] of a material's analysis as typed, such as ``"SiO2 99.4, Fe2O3 300 ppm"``.

    Raises
    ------
    BatchError
        If there is none or it cannot be read with certainty; its field is ``oxides``.
    """
    if not text.strip():
        raise BatchError(
            "The oxides are missing.",
            field="oxides",
            remedy="Type them such as SiO2 99.4, Al2O3 0.25.",
        )
    try:
        return read_weights(text)
    except CompositionError as error:
        raise BatchError(error.message, field="oxides", remedy=error.remedy) from error


def yields_words(material: Material) -> str:
    """What one kilogram as weighed leaves and gives off, in a sentence."""
    leaves = ", ".join(
        f"{oxide} {1000.0 * mass:.3g} g" for oxide, mass in material.yields().items() if mass > _FEW
    )
    dry = 1.0 - material.moisture
    gone = [f"{gas} {1000.0 * dry * mass:.3g} g" for gas, mass in material.gases.items()]
    if material.moisture:
        gone.append(f"moisture {1000.0 * material.moisture:.3g} g")
    off = f" and gives off {', '.join(gone)}" if gone else ""
    return f"1 kg as weighed leaves {leaves or 'nothing'} in the glass{off}."


@dataclass(frozen=True)
class AnalysisPercent:
    """Oxides and loss of the dry material [wt%], and which gases the loss is [% of the loss]."""

    oxides: dict[str, float]
    loss: float
    gases: dict[str, float]


def analysis_percent(material: Material) -> AnalysisPercent:
    """The analysis of a material, adding up to 100; gases nobody stated are left out."""
    loss = material.loss
    gases = {
        gas: 100.0 * mass / loss for gas, mass in material.gases.items() if gas in GAS_MOLAR_MASS
    }
    oxides = {oxide: 100.0 * share for oxide, share in material.oxides.items()}
    return AnalysisPercent(oxides, 100.0 * loss, gases)
