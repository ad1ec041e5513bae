"""The sentences of a batch: what must be seen, and the rules it was reckoned by."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.batch.amounts import Amounts
from core.batch.batch import Part, Weighing
from core.batch.columns import Layout
from core.batch.request import BatchRequest, Counted, Prefer
from core.batch.solve import EQUALLY_NEAR
from core.batch.volatilisation import USUAL_LOSSES, USUAL_LOSSES_SOURCE
from core.composition.composition import Composition
from core.composition.oxides import listing_order

Floats = NDArray[np.float64]

FAR = 3.0
"""[wt%] A wish that moves an oxide by more is warned of (our choice)."""
_COARSE = 0.05
"""A rounding that moves a weight by more than this share of it wants a finer scale."""


def warnings_of(
    request: BatchRequest,
    layout: Layout,
    amounts: Amounts,
    lines: tuple[Weighing, ...],
    reached: Composition,
    notable: float,
) -> tuple[str, ...]:
    """What must be seen, the worst first."""
    warnings = []
    if amounts.enough_for is not None:
        warnings.append(
            f"The stock decides this batch: {amounts.runs_out} is enough for "
            f"{amounts.enough_for:.3g} kg of glass as near the target as can be."
        )
    warnings += _moved(request)
    warnings += _out_of_stock(request, lines)
    for material in request.materials:
        if any(line.material == material.name for line in lines):
            warnings += material.warnings
    warnings += request.target.warnings
    if request.cullet is not None:
        warnings += [f"“{request.cullet.name}”: {w}" for w in request.cullet.composition.warnings]
    coarse = [
        line
        for line in lines
        if line.exact > 0 and abs(line.mass - line.exact) > _COARSE * line.exact
    ]
    if coarse:
        listed = ", ".join(line.material for line in coarse)
        warnings.append(f"Rounding moves {listed} by more than 5 %: weigh on a finer scale.")
    off = [
        oxide
        for oxide, worse in zip(layout.oxides, _worse(layout, amounts, reached), strict=True)
        if worse > notable
    ]
    if off:
        warnings.append(f"Rounding to the scale's division moves {', '.join(off)} notably.")
    return tuple(dict.fromkeys(warnings))


def _worse(layout: Layout, amounts: Amounts, reached: Composition) -> Floats:
    """How much further off, weighed, each oxide is after rounding than before [wt%]."""
    before = layout.yields @ amounts.materials - layout.missing
    after = np.array([reached.weight(oxide) / 100.0 for oxide in layout.oxides]) - layout.reachable
    worse: Floats = 100.0 * (np.abs(after) - np.abs(before)) * layout.weights
    return worse


def _moved(request: BatchRequest) -> list[str]:
    """Say so when a wish for a property makes another glass of it."""
    start = request.wished_from
    if start is None:
        return []
    oxides = {*start.weight_percent, *request.target.weight_percent}
    far = [
        f"{oxide} {request.target.weight(oxide) - start.weight(oxide):+.1f}"
        for oxide in sorted(oxides, key=listing_order)
        if abs(request.target.weight(oxide) - start.weight(oxide)) > FAR
    ]
    if not far:
        return []
    sentence = (
        f"The wish makes another glass of this one ({', '.join(far)} wt%): whether it melts, lasts "
        "and stays clear in your furnace only a trial tells."
    )
    return [sentence]


def notes_of(
    request: BatchRequest, amounts: Amounts, lines: tuple[Weighing, ...], recast: str = ""
) -> tuple[str, ...]:
    """The rules by which the batch was reckoned; ``recast`` how oxides of the target count."""
    rule = (
        "the cheapest was taken"
        if amounts.prefer is Prefer.CHEAPEST
        else f"(within {100.0 * EQUALLY_NEAR:g} wt%, less for minor oxides) one was taken of which "
        "no material can be left out, those first in the list staying"
    )
    notes = [f"Of batches equally near the target {rule}."]
    leaving = {material.name for material in request.materials if material.oxides}
    on_top = [
        line.material
        for line in lines
        if line.counted is Counted.ON_TOP and line.material in leaving
    ]
    in_target = [line.material for line in lines if line.counted is Counted.IN_TARGET]
    if on_top:
        notes.append(f"On top of the target, not counted in it: {', '.join(on_top)}.")
    if in_target:
        notes.append(f"Counted in the target: {', '.join(in_target)}.")
    if request.cullet is not None:
        notes.append(
            f"Cullet “{request.cullet.name}” makes {100.0 * request.cullet.share:g} % of the "
            "finished glass; it is taken to have lost already what it loses."
        )
    if recast:
        notes.append(recast)
    notes.append(_volatilisation(request))
    return tuple(notes)


def _volatilisation(request: BatchRequest) -> str:
    allowed = {oxide: share for oxide, share in request.volatilises.items() if share > 0}
    if allowed:
        listed = ", ".join(f"{oxide} {100.0 * share:g} %" for oxide, share in allowed.items())
        note = f"Allowed for as volatilised, of what the raw materials bring: {listed}."
        if all(USUAL_LOSSES.get(oxide) == share for oxide, share in allowed.items()):
            note += f" These are usual losses ({USUAL_LOSSES_SOURCE})."
        return note
    volatile = [oxide for oxide in USUAL_LOSSES if request.target.weight(oxide) > 0]
    if not volatile:
        return "No allowance for volatilisation."
    return (
        f"No allowance for volatilisation: the melt loses some {', '.join(volatile)}. Compare an "
        "analysis of your glass with its batch and enter the loss."
    )


def _out_of_stock(request: BatchRequest, lines: tuple[Weighing, ...]) -> list[str]:
    stock = {material.name: material.stock for material in request.materials}
    short = []
    for line in lines:
        held = stock.get(line.material)
        if line.part is not Part.CULLET and held is not None and line.mass > held + 1e-12:
            short.append(f"{line.material}: {line.mass:g} kg is needed, {held:g} kg is in stock.")
    return short
