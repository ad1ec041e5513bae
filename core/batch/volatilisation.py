"""What a pot melt loses of its volatile oxides, where no analysis of the studio's own tells.

The losses are round figures for a covered pot melted overnight at 1250 to 1350 °C, of what the raw
materials bring, dust carried off in charging included. They are from memory, unverified: handbooks
differ by a factor of three and more, an open pot and a hotter or longer melt lose more. Whoever has
an analysis of the glass and the weights of its batch should enter the loss found.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from core.batch.valency import COUNTED_AS

USUAL_LOSSES: Mapping[str, float] = MappingProxyType(
    {"Na2O": 0.02, "K2O": 0.03, "Li2O": 0.01, "B2O3": 0.06, "PbO": 0.02, "ZnO": 0.01}
)
"""Share of an oxide lost; from memory, unverified (module docstring)."""
USUAL_LOSSES_SOURCE = "covered pot, melted overnight; from memory, unverified"


def usual_losses(oxides: Iterable[str]) -> dict[str, float]:
    """Usual loss of each of these oxides that is volatile, in the order given."""
    counted = dict.fromkeys(COUNTED_AS.get(oxide, oxide) for oxide in oxides)
    return {oxide: USUAL_LOSSES[oxide] for oxide in counted if oxide in USUAL_LOSSES}
