"""What of a target cannot be had, why, and which material would help."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from core.batch.batch import Shortfall
from core.batch.columns import Layout, bounds_by_name, lay_out
from core.batch.material import Material, MaterialList, Use
from core.batch.request import COLOURING, BatchRequest
from core.batch.solve import Problem, nearest
from core.errors import LehrkeeperError

Floats = NDArray[np.float64]

NOTABLE = 0.1
"""[wt%] Deviations from here on are said, times the weight of the oxide: 0.26 of 70 wt% silica,
0.01 of what the target has a tenth of a per cent of, or none (our choice)."""
NOTABLE_COLOUR = 0.01
"""[wt%] The same for a colouring oxide the target does not have; for any other, NOTABLE."""
_HELPS = 0.5
"""A material helps if it at least halves the deviation."""
_MOST_NAMED = 3


def limits_of(
    request: BatchRequest, layout: Layout, base: float, *, with_stock: bool = True
) -> tuple[Floats, Floats]:
    """Least and most of each material per kg of base glass, of a melt of ``base`` kg of it."""
    bounds = bounds_by_name(request)
    lowest = np.zeros(len(layout.materials))
    highest = np.full(len(layout.materials), np.inf)
    for j, material in enumerate(layout.materials):
        bound = bounds.get(material.name)
        if bound is not None:
            lowest[j] = bound.at_least / base
            if bound.at_most is not None:
                highest[j] = bound.at_most / base
        if with_stock and material.stock is not None:
            highest[j] = max(min(highest[j], material.stock / base), lowest[j])
    return lowest, highest


def problem_of(
    request: BatchRequest, layout: Layout, base: float, *, with_stock: bool = True
) -> Problem:
    """The least-squares problem of a melt of ``base`` kg of base glass."""
    lowest, highest = limits_of(request, layout, base, with_stock=with_stock)
    return Problem(layout.yields, layout.missing, layout.weights, lowest, highest)


def shortfalls_of(
    request: BatchRequest,
    layout: Layout,
    amounts: Floats,
    base: float,
    catalogue: MaterialList,
) -> tuple[Shortfall, ...]:
    """Every oxide notably off, with its cause and what would help, the worst first.

    Parameters
    ----------
    request : BatchRequest
    layout : Layout
    amounts : array, shape (materials,)
        [kg per kg of base glass]
    base : float
        [kg] Base glass.
    catalogue : MaterialList
        Where help is looked for.
    """
    off = _deviations(layout, amounts)
    notable = _notable(layout, off)
    if not notable:
        return ()
    trials = list(_trials(request, layout, base, catalogue))
    found = []
    for i in notable:
        oxide = layout.oxides[i]
        wanted = layout.target[i] if oxide in layout.unbrought else layout.reachable[i]
        found.append(
            Shortfall(
                oxide=oxide,
                target=100.0 * float(wanted),
                reached=100.0 * float(wanted + off[i]),
                cause=_cause(request, layout, amounts, base, i, float(off[i])),
                helps=_helps(oxide, abs(float(off[i])), trials),
            )
        )
    return tuple(found)


def _deviations(layout: Layout, amounts: Floats) -> Floats:
    """Reached less reachable of every oxide; of oxides nothing brings, all of the target."""
    off: Floats = layout.yields @ amounts - layout.missing
    gone = np.array([oxide in layout.unbrought for oxide in layout.oxides])
    return np.where(gone, -layout.target, off) if gone.any() else off


def _notable(layout: Layout, off: Floats) -> list[int]:
    """Rows worth a word, the worst first."""
    size = 100.0 * np.abs(off) * layout.weights
    order = [int(i) for i in np.argsort(-size, kind="stable") if size[i] > NOTABLE]
    short = [i for i in order if off[i] < 0]
    # Where something is short the rest makes up the whole: that alone is not worth a word.
    gap = float(-off[short].sum())
    left = 1.0 - float(layout.reachable[short].sum())
    grown = 1.0 + gap / left if left > 0 else 1.0

    def worth(i: int) -> bool:
        if off[i] < 0:
            return True
        wanted = float(layout.reachable[i])
        if wanted == 0:
            least = NOTABLE_COLOUR if layout.oxides[i] in COLOURING else NOTABLE
            return 100.0 * float(off[i]) > least
        return bool(off[i] / wanted > (grown - 1.0) * 1.3)

    return [i for i in order if worth(i)]


def _cause(
    request: BatchRequest, layout: Layout, amounts: Floats, base: float, row: int, off: float
) -> str:
    oxide = layout.oxides[row]
    if oxide in layout.unbrought:
        return f"No material that may be used brings {oxide}; the rest makes up the whole."
    if off > 0:
        return _too_much(request, layout, amounts, row)
    _, highest = limits_of(request, layout, base)
    held = [
        material
        for j, material in enumerate(layout.materials)
        if layout.yields[row, j] > 0.01 and amounts[j] >= highest[j] * (1.0 - 1e-3) > 0
    ]
    if held:
        listed = ", ".join(
            f"{material.name} to {base * highest[layout.materials.index(material)]:.3g} kg"
            for material in held
        )
        return f"What brings {oxide} is held down: {listed}."
    return f"What brings {oxide} brings too much of something else with it."


def _too_much(request: BatchRequest, layout: Layout, amounts: Floats, row: int) -> str:
    brought = [
        (float(layout.yields[row, j] * amounts[j]), material.name)
        for j, material in enumerate(layout.materials)
    ]
    if request.cullet is not None:
        brought.append((float(layout.cullet[row]), f"the cullet “{request.cullet.name}”"))
    brought += [
        (one.amount * float(layout.column(one.material, request)[row]), one.material.name)
        for one in layout.in_target
    ]
    share, name = max(brought)
    oxide = layout.oxides[row]
    if not share > 0:
        return f"The materials leave too much room for {oxide}."
    return f"Most of it comes with {name} ({100.0 * share:.3g} wt% of the glass)."


def _trials(
    request: BatchRequest, layout: Layout, base: float, catalogue: MaterialList
) -> Iterator[tuple[str, dict[str, float], float]]:
    """Each remedy by name, the deviations [kg/kg] it leaves, and the error it leaves."""
    for name, changed in _remedies(request, layout, base, catalogue):
        try:
            trial = lay_out(changed)
            problem = problem_of(changed, trial, base)
            amounts = nearest(problem)
        except LehrkeeperError:
            continue
        off = _deviations(trial, amounts)
        left = {oxide: abs(float(off[i])) for i, oxide in enumerate(trial.oxides)}
        weighted = float(np.linalg.norm(trial.weights * off))
        yield name, left, weighted


def _remedies(
    request: BatchRequest, layout: Layout, base: float, catalogue: MaterialList
) -> Iterator[tuple[str, BatchRequest]]:
    own = request.materials
    bounds = bounds_by_name(request)
    _, highest = limits_of(request, layout, base)
    for j, material in enumerate(layout.materials):
        if np.isfinite(highest[j]):
            freed = dataclasses.replace(material, stock=None)
            others = tuple(freed if one is material else one for one in own)
            kept = {name: bound for name, bound in bounds.items() if name != material.name}
            yield (
                f"more {material.name}",
                dataclasses.replace(
                    request, materials=dataclasses.replace(own, materials=others), bounds=kept
                ),
            )
    placed = {material.name for material in layout.materials}
    for name, bound in bounds.items():
        if bound.at_most == 0 and name not in placed:
            kept = {other: limit for other, limit in bounds.items() if other != name}
            yield f"more {name}", dataclasses.replace(request, bounds=kept)
    for material in own:
        if material.use is Use.ADDITION and material.oxides and material.name not in bounds:
            freed = dataclasses.replace(material, use=Use.BASE)
            yield material.name, _with(request, freed, material)
    names = {material.name.strip().casefold() for material in own}
    for material in catalogue:
        if material.use is not Use.BASE or any(material.oxides == one.oxides for one in own):
            continue
        known = material.name.strip().casefold() in names
        named = dataclasses.replace(material, name=f"pure {material.name}") if known else material
        yield named.name, _with(request, named, None)


def _with(request: BatchRequest, added: Material, instead: Material | None) -> BatchRequest:
    kept = tuple(one for one in request.materials if one is not instead)
    materials = dataclasses.replace(request.materials, materials=(*kept, added))
    return dataclasses.replace(request, materials=materials)


def _helps(
    oxide: str, off: float, trials: list[tuple[str, dict[str, float], float]]
) -> tuple[str, ...]:
    better = [
        (left.get(oxide, 0.0) > _HELPS * off, error, name)
        for name, left, error in trials
        if left.get(oxide, 0.0) <= _HELPS * off
    ]
    return tuple(name for _, _, name in sorted(better)[:_MOST_NAMED])
