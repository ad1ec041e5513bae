"""A request laid out in columns: what each material brings, per kilogram of glass."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.batch.material import Material, MaterialList, Use, oxides_of
from core.batch.request import Addition, BatchRequest, Bound, Counted, Cullet
from core.batch.valency import COUNTED_AS
from core.composition.oxides import find_oxide, listing_order
from core.errors import BatchError

Floats = NDArray[np.float64]

CLEAN = 0.9
"""Share of what a material leaves that must be wanted for it to come in unasked (our choice)."""
RICH = 0.02
"""[kg/kg] Less of an oxide in a material is an impurity, not a source."""


@dataclass(frozen=True)
class PlacedAddition:
    """An addition, its material, and how much of it [kg as weighed per kg of base glass]."""

    material: Material
    amount: float
    counted: Counted
    asked: Addition


@dataclass(frozen=True)
class Layout:
    """A request in columns. “Base” is the glass before additions on top.

    Attributes
    ----------
    oxides : tuple of str
        Rows, in listing order.
    materials : tuple of Material
        Columns: what may come into the base by itself.
    yields : array, shape (oxides, materials)
        [kg] left in the glass by one kg as weighed, after volatilisation.
    target : array, shape (oxides,)
        Mass fractions as asked.
    reachable : array, shape (oxides,)
        Mass fractions without the oxides nothing brings, scaled to the whole.
    weights : array, shape (oxides,)
    cullet : array, shape (oxides,)
        Oxides of the cullet, kg per kg of base glass.
    in_target, on_top : tuple of PlacedAddition
    brought : array, shape (oxides,)
        Oxides of the additions in the target, kg per kg of base glass.
    finished : float
        [kg] Finished glass per kg of base glass.
    """

    oxides: tuple[str, ...]
    materials: tuple[Material, ...]
    yields: Floats
    target: Floats
    reachable: Floats
    weights: Floats
    cullet: Floats
    in_target: tuple[PlacedAddition, ...]
    on_top: tuple[PlacedAddition, ...]
    brought: Floats
    finished: float

    @property
    def missing(self) -> Floats:
        """What the materials are still to bring, kg per kg of base glass."""
        missing: Floats = self.reachable - self.cullet - self.brought
        return missing

    @property
    def unbrought(self) -> tuple[str, ...]:
        """Oxides of the target that nothing brings."""
        gone = (self.target > 0) & (self.reachable == 0)
        return tuple(oxide for oxide, none in zip(self.oxides, gone, strict=True) if none)

    def column(self, material: Material, request: BatchRequest) -> Floats:
        """What one kg of a material as weighed leaves of each oxide."""
        return _column(material, self.oxides, request)


def lay_out(request: BatchRequest) -> Layout:
    """Lay a request out in columns.

    Raises
    ------
    BatchError
        If an addition's material is not in the list, or nothing of the target can be had.
    """
    placed = tuple(_placed(addition, request) for addition in request.additions)
    in_target = tuple(one for one in placed if one.counted is Counted.IN_TARGET)
    on_top = tuple(one for one in placed if one.counted is Counted.ON_TOP)
    bounds = bounds_by_name(request)
    added = {one.material.name for one in placed}
    for name in bounds:
        if not request.materials.find(name).oxides:
            raise BatchError(
                f"“{name}” leaves nothing in the glass, so no bound can place it.",
                field="bounds",
                remedy="Ask for it as an addition.",
            )
    for name in added & set(bounds):
        raise BatchError(
            f"“{name}” is bounded and added at once.",
            field="bounds",
            remedy="Ask for it as an addition, or by bounds.",
        )
    materials = tuple(one for one in _candidates(request, bounds) if one.name not in added)
    cullet_oxides = request.cullet.composition.weight_percent if request.cullet else {}
    everything = {
        *request.target.weight_percent,
        *cullet_oxides,
        *oxides_of(materials),
        *oxides_of(one.material for one in placed),
    }
    oxides = tuple(sorted(everything, key=listing_order))
    finished = 1.0 + sum(
        float(_column(one.material, oxides, request).sum()) * one.amount for one in on_top
    )
    cullet = _cullet(request.cullet, oxides) * finished
    brought = _sum(in_target, oxides, request)
    yields = np.array([_column(material, oxides, request) for material in materials])
    yields = yields.reshape(len(materials), len(oxides)).T
    target = np.array([request.target.weight(oxide) / 100.0 for oxide in oxides])
    had = yields.sum(axis=1) + cullet + brought > 0
    reachable = np.where(had, target, 0.0)
    if reachable.sum() <= 0:
        raise BatchError(
            "The materials allowed bring none of the oxides of the target.",
            field="materials",
            remedy="Add materials to the list.",
        )
    return Layout(
        oxides=oxides,
        materials=materials,
        yields=yields,
        target=target,
        reachable=reachable / reachable.sum(),
        weights=np.array([request.weight(oxide) for oxide in oxides]),
        cullet=cullet,
        in_target=in_target,
        on_top=on_top,
        brought=brought,
        finished=finished,
    )


def bounds_by_name(request: BatchRequest) -> dict[str, Bound]:
    """Bounds by the name as the list spells it."""
    return {request.materials.find(name).name: bound for name, bound in request.bounds.items()}


def _candidates(request: BatchRequest, bounds: dict[str, Bound]) -> tuple[Material, ...]:
    """Materials that may come into the base by themselves, in the order of the list.

    Those that bring what the target wants and hardly anything else; of the others only what must
    be had for an oxide that none of those brings. So no foreign oxide creeps in to fill a gap.
    """
    wanted = request.target.weight_percent
    named = {name for name, bound in bounds.items() if bound.at_most is None or bound.at_most > 0}
    barred = set(bounds) - named
    usable = [m for m in request.materials if m.use is Use.BASE and m.name not in barred]
    clean = {m.name for m in usable if _share_wanted(m, wanted) >= CLEAN}
    had = {o for m in usable if m.name in clean for o, share in m.oxides.items() if share > RICH}
    lacking = set(wanted) - had
    needed = {
        m.name
        for m in usable
        if any(share > RICH and oxide in lacking for oxide, share in m.oxides.items())
    }
    return tuple(m for m in request.materials if m.name in clean | needed | named)


def _share_wanted(material: Material, wanted: Mapping[str, float]) -> float:
    """Share of what a material leaves in the glass that is of oxides the target has."""
    leaves = sum(material.oxides.values())
    return sum(share for oxide, share in material.oxides.items() if oxide in wanted) / leaves


def _column(material: Material, oxides: tuple[str, ...], request: BatchRequest) -> Floats:
    yields = material.yields()
    return np.array([yields.get(oxide, 0.0) * request.kept(oxide) for oxide in oxides])


def _cullet(cullet: Cullet | None, oxides: tuple[str, ...]) -> Floats:
    if cullet is None:
        return np.zeros(len(oxides))
    return np.array([cullet.share * cullet.composition.weight(o) / 100.0 for o in oxides])


def _sum(
    additions: tuple[PlacedAddition, ...], oxides: tuple[str, ...], request: BatchRequest
) -> Floats:
    total = np.zeros(len(oxides))
    for one in additions:
        total += one.amount * _column(one.material, oxides, request)
    return total


def _placed(addition: Addition, request: BatchRequest) -> PlacedAddition:
    oxide, material = material_for(addition.name, request.materials)
    if oxide is None:
        amount = addition.share / (1.0 - material.moisture)
    else:
        amount = addition.share / (material.yields()[oxide] * request.kept(oxide))
    counted = addition.counted
    if counted is None:
        brought = tuple(material.oxides)
        held = bool(brought) and all(request.target.weight(oxide) > 0 for oxide in brought)
        counted = Counted.IN_TARGET if held else Counted.ON_TOP
    return PlacedAddition(material, amount, counted, addition)


def material_for(name: str, materials: MaterialList) -> tuple[str | None, Material]:
    """Find the material an addition means, and the oxide if that is what it names.

    Raises
    ------
    BatchError
        If the list has no such material, or none that brings the oxide.
    """
    oxide = find_oxide(name)
    known = {material.name.strip().casefold() for material in materials}
    if oxide is None or name.strip().casefold() in known:
        return None, materials.find(name)
    bringing = materials.bringing(oxide)
    if not bringing:
        raise BatchError(
            f"No material in the list brings {oxide}.",
            field="material",
            remedy=f"Name {COUNTED_AS[oxide]}, as which it is counted."
            if oxide in COUNTED_AS
            else "Add one to the list, or name another.",
        )
    return oxide, bringing[0]
