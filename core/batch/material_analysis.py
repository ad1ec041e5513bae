"""The chemical analysis of a raw material: oxides and loss on ignition, checked and scaled."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from core.batch.formula import GAS_MOLAR_MASS
from core.batch.valency import recast_amounts
from core.composition.oxides import canonical_oxide
from core.errors import BatchError

QUIET_TOTAL = (98.0, 102.0)
"""[%] Oxides and loss of an honest analysis; others are scaled with a warning."""
POSSIBLE_TOTAL = (90.0, 110.0)
"""[%] Beyond, an oxide or the loss is missing or mistyped. Both as for a glass's analysis."""
NOT_STATED = "not stated"
"""Name under which a loss is counted when nobody said which gas it is."""


@dataclass(frozen=True)
class MaterialAnalysis:
    """An analysis of the dry material as kg per kg; oxides and gases add up to 1."""

    oxides: dict[str, float]
    gases: dict[str, float]
    warnings: tuple[str, ...] = ()


def read_analysis(
    name: str,
    percent: Mapping[str, float],
    loss_percent: float,
    gas_percent: Mapping[str, float],
) -> MaterialAnalysis:
    """Check an analysis and scale it to a whole; parameters as ``Material.from_analysis``.

    Raises
    ------
    BatchError
        If an oxide is unknown, twice there or negative, or the analysis with its loss adds
        up to less than 90 or more than 110 %.
    """
    oxides = _checked_oxides(name, percent)
    require_not_negative(name, "loss on ignition", loss_percent, "%", field="loss")
    total = math.fsum((*oxides.values(), loss_percent))
    low, high = POSSIBLE_TOTAL
    if not low <= total <= high:
        raise BatchError(
            f"“{name}”: the oxides and the loss on ignition add up to {total:.6g} %, far from 100.",
            field="oxides",
            remedy="An oxide or the loss on ignition is missing or mistyped.",
        )
    warnings: tuple[str, ...] = ()
    if not QUIET_TOTAL[0] <= total <= QUIET_TOTAL[1]:
        warnings = (f"“{name}”: its analysis adds up to {total:.4g} %; it was scaled to 100.",)
    return MaterialAnalysis(
        {oxide: amount / total for oxide, amount in oxides.items() if amount / total > 0},
        _gases_of(name, loss_percent / total, gas_percent),
        warnings,
    )


def _checked_oxides(name: str, percent: Mapping[str, float]) -> dict[str, float]:
    oxides: dict[str, float] = {}
    for text, amount in percent.items():
        oxide = canonical_oxide(text)
        if oxide in oxides:
            raise BatchError(
                f"“{name}”: {oxide} is given twice.", field=text, remedy="Leave one of the two."
            )
        require_not_negative(name, oxide, amount, "%", field=text)
        oxides[oxide] = amount
    return recast_amounts({oxide: amount for oxide, amount in oxides.items() if amount > 0})


def _gases_of(name: str, loss: float, percent: Mapping[str, float]) -> dict[str, float]:
    shares: dict[str, float] = {}
    known = {gas.casefold(): gas for gas in GAS_MOLAR_MASS}
    for text, amount in percent.items():
        gas = known.get(text.strip().casefold())
        if gas is None:
            raise BatchError(
                f"“{name}”: “{text}” is not a gas a batch gives off.",
                field=text,
                remedy=f"Use {', '.join(GAS_MOLAR_MASS)}.",
            )
        require_not_negative(name, gas, amount, "%", field=text)
        shares[gas] = amount
    said = math.fsum(shares.values())
    if said > 100.5:
        raise BatchError(
            f"“{name}”: the gases add up to {said:.5g} % of the loss.",
            field="gases",
            remedy="They are shares of the loss on ignition and add up to 100 at most.",
        )
    scale = max(said, 100.0)
    gases = {gas: loss * share / scale for gas, share in shares.items() if share > 0}
    rest = loss - math.fsum(gases.values())
    if rest > 1e-12:
        gases[NOT_STATED] = rest
    return gases


def require_not_negative(
    name: str, what: str, value: float | None, unit: str, field: str | None = None
) -> None:
    """Refuse a negative or endless number, if there is one."""
    if value is None:
        return
    if not math.isfinite(value) or value < 0:
        raise BatchError(
            f"“{name}”: a {what} of {value:g} {unit} is not possible.",
            field=field or what,
            remedy="Use 0 or more.",
        )
