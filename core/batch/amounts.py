"""How much of each material a melt of the wanted size takes, before rounding."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.batch.columns import Layout
from core.batch.material import MaterialList
from core.batch.request import BatchRequest, MeltSize, Prefer
from core.batch.shortfall import problem_of, shortfalls_of
from core.batch.solve import Problem, decide, nearest
from core.errors import BatchError

Floats = NDArray[np.float64]

FARTHEST = 10.0
"""[wt%] A glass whose oxide is off by more is not the one asked for (our choice)."""
_STOCK_TELLS = 0.02
"""[wt%] The stock is said to decide when it moves an oxide by more."""
_MOST_ROUNDS = 60


@dataclass(frozen=True)
class Amounts:
    """Before rounding.

    Attributes
    ----------
    materials : array, shape (materials,)
        [kg per kg of base glass]
    base : float
        [kg] Glass before additions on top.
    prefer : Prefer
        The rule that decided.
    enough_for : float or None
        [kg] Finished glass the stock is enough for as near as the target can be made; ``None``
        when the stock decides nothing.
    runs_out : str
        The material of which there is too little for more.
    """

    materials: Floats
    base: float
    prefer: Prefer
    enough_for: float | None = None
    runs_out: str = ""


def amounts_for(request: BatchRequest, layout: Layout, catalogue: MaterialList) -> Amounts:
    """Amounts of a request.

    Raises
    ------
    BatchError
        As :func:`core.batch.reckon.make_batch`.
    """
    prefer, prices = _rule(request, layout)
    _refuse_too_much_cullet(layout)
    _refuse_unbrought(request, layout, catalogue)
    base = request.size / layout.finished
    amounts = _settled(request, layout, base, prefer, prices)
    if request.size_of is MeltSize.BATCH:
        for _ in range(_MOST_ROUNDS):
            weighed = float(amounts.sum()) + _beside(request, layout)
            closer = request.size / weighed
            if math.isclose(closer, base, rel_tol=1e-9):
                break
            base = closer
            amounts = _settled(request, layout, base, prefer, prices)
    if _deviation(layout, amounts) > FARTHEST:
        short = _short_of_stock(request, layout, base, prefer, prices)
        raise short or _deviates(request, layout, amounts, base, catalogue)
    enough, runs_out = _stock(request, layout, base, amounts, prefer, prices)
    return Amounts(amounts, base, prefer, enough, runs_out)


def _beside(request: BatchRequest, layout: Layout) -> float:
    """Cullet and additions [kg as weighed per kg of base glass]."""
    cullet = request.cullet.share * layout.finished if request.cullet else 0.0
    return cullet + math.fsum(one.amount for one in (*layout.in_target, *layout.on_top))


def _rule(request: BatchRequest, layout: Layout) -> tuple[Prefer, Floats | None]:
    unpriced = [material.name for material in layout.materials if material.price is None]
    if request.prefer is Prefer.CHEAPEST and unpriced:
        raise BatchError(
            f"The cheapest batch cannot be found: there is no price for {', '.join(unpriced)}.",
            field="prefer",
            remedy="Enter the prices, or ask for the fewest materials.",
        )
    if request.prefer is Prefer.FEWEST or unpriced:
        return Prefer.FEWEST, None
    return Prefer.CHEAPEST, np.array([material.price for material in layout.materials], dtype=float)


def _settled(
    request: BatchRequest,
    layout: Layout,
    base: float,
    prefer: Prefer,
    prices: Floats | None,
    *,
    with_stock: bool = True,
) -> Floats:
    problem = problem_of(request, layout, base, with_stock=with_stock)
    if _nothing_missing(problem):
        return np.zeros(len(layout.materials))
    try:
        amounts = nearest(problem)
    except BatchError as error:
        if with_stock and (short := _short_of_stock(request, layout, base, prefer, prices)):
            raise short from error
        raise
    return decide(problem, amounts, prefer, prices)


def _nothing_missing(problem: Problem) -> bool:
    return problem.total < 1e-9 and not problem.lowest.any()


def _refuse_too_much_cullet(layout: Layout) -> None:
    if float(layout.missing.sum()) >= -1e-9:
        return
    raise BatchError(
        "Cullet and additions alone make more glass than the melt.",
        field="share",
        remedy="Use less of them.",
    )


def _refuse_unbrought(request: BatchRequest, layout: Layout, catalogue: MaterialList) -> None:
    """Refuse a target of which too much is an oxide nothing brings."""
    gone = {oxide: request.target.weight(oxide) for oxide in layout.unbrought}
    if math.fsum(gone.values()) <= FARTHEST:
        return
    oxide = max(gone, key=lambda one: gone[one])
    bringing = [m.name for m in (*request.materials.bringing(oxide), *catalogue.bringing(oxide))]
    named = ", ".join(dict.fromkeys(bringing))
    raise BatchError(
        f"This glass cannot be made of these materials: it has {gone[oxide]:.3g} wt% {oxide}, and "
        "none that may be used brings any.",
        field=oxide,
        remedy=f"Add one that does: {named}." if named else "No material we know brings it.",
    )


def _deviation(layout: Layout, amounts: Floats) -> float:
    """Greatest deviation of an oxide from what can be had [wt%]."""
    return float(100.0 * np.max(np.abs(layout.yields @ amounts - layout.missing)))


def _deviates(
    request: BatchRequest, layout: Layout, amounts: Floats, base: float, catalogue: MaterialList
) -> BatchError:
    """The error for a glass that is too far from the one asked for."""
    off = 100.0 * (layout.yields @ amounts - layout.missing)
    worst = int(np.argmax(np.abs(off)))
    oxide = layout.oxides[worst]
    wanted = 100.0 * layout.reachable[worst]
    helps: tuple[str, ...] = ()
    cause = ""
    for one in shortfalls_of(request, layout, amounts, base, catalogue):
        if one.oxide == oxide:
            helps, cause = one.helps, one.cause
    return BatchError(
        f"This glass cannot be made as asked: {oxide} would come to {wanted + off[worst]:.3g} wt% "
        f"instead of {wanted:.3g}. {cause}".rstrip(),
        field=oxide,
        remedy=f"What would help: {', '.join(helps)}." if helps else "Ask for another glass.",
    )


def _short_of_stock(
    request: BatchRequest,
    layout: Layout,
    base: float,
    prefer: Prefer,
    prices: Floats | None,
) -> BatchError | None:
    """The error to raise when only the stock makes the melt impossible."""
    try:
        free = _settled(request, layout, base, prefer, prices, with_stock=False)
    except BatchError:
        return None
    enough, runs_out = _enough(layout, free)
    if enough is None or enough >= base * layout.finished or _deviation(layout, free) > FARTHEST:
        return None
    return BatchError(
        f"There is not enough in stock: {runs_out} runs out at {enough:.3g} kg of this glass.",
        field="stock",
        remedy=f"Make at most {enough:.3g} kg, or correct the stock.",
    )


def _stock(
    request: BatchRequest,
    layout: Layout,
    base: float,
    amounts: Floats,
    prefer: Prefer,
    prices: Floats | None,
) -> tuple[float | None, str]:
    if all(material.stock is None for material in layout.materials):
        return None, ""
    try:
        free = _settled(request, layout, base, prefer, prices, with_stock=False)
    except BatchError:
        return None, ""
    moved = 100.0 * float(np.max(np.abs(layout.yields @ (free - amounts)), initial=0.0))
    if moved <= _STOCK_TELLS:
        return None, ""
    return _enough(layout, free)


def _enough(layout: Layout, free: Floats) -> tuple[float | None, str]:
    """Finished glass [kg] the stock is enough for, and what runs out first."""
    found = [
        (material.stock / float(amount) * layout.finished, material.name)
        for material, amount in zip(layout.materials, free, strict=True)
        if material.stock is not None and amount > 0
    ]
    return min(found) if found else (None, "")
