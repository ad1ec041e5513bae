"""From a request to a batch."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.batch.amounts import Amounts, amounts_for
from core.batch.batch import Batch, GasReleased, MassBalance, OxideReached, Part, Weighing
from core.batch.columns import Layout, PlacedAddition, lay_out
from core.batch.formula import GAS_MOLAR_MASS
from core.batch.material import Material, MaterialList
from core.batch.material_file import shipped_materials
from core.batch.recast import recast_request
from core.batch.request import BatchRequest, Counted
from core.batch.rounding import round_together, weight_of, whole_divisions
from core.batch.safety import safety_lines
from core.batch.shortfall import NOTABLE, limits_of, shortfalls_of
from core.batch.valency import recast_words
from core.batch.words import notes_of, warnings_of
from core.composition.composition import Composition
from core.errors import GlassError
from core.glass.glass import Glass, GlassProperties
from core.glass.properties import properties_of
from core.units import ZERO_CELSIUS

Floats = NDArray[np.float64]

FEW_DIVISIONS = 50
"""What would be fewer divisions of the scale than this is weighed on the fine one (our choice: a
division is then 2 % or more of it)."""
FINE_CAPACITY = 20_000
"""Divisions a fine scale holds: 2 kg at 0.1 g (common practice, no source)."""
_ROOM = ZERO_CELSIUS + 20.0
_PRESSURE = 101_325.0
_GAS_CONSTANT = 8.314462618
"""[J/(mol K)] CODATA 2018, exact."""


@dataclass(frozen=True)
class _Weighed:
    """A weighing with what it stands for."""

    line: Weighing
    material: Material


def make_batch(request: BatchRequest, catalogue: MaterialList | None = None) -> Batch:
    """Reckon a batch.

    The materials come as near to the target as bounded least squares brings them (weighted sum of
    squares of the deviations, the oxides adding up to the whole). Among batches equally near the
    rule of :class:`core.batch.request.Prefer` decides. Weights are then rounded together to the
    scale's division.

    Parameters
    ----------
    request : BatchRequest
    catalogue : MaterialList, optional
        Where a material that would help is looked for; the shipped list when left out.

    Raises
    ------
    BatchError
        If the bounds contradict each other or the melt, the stock is too small for the melt, or
        nothing near the target can be made: the message names the oxide, the remedy a material.
    """
    asked = request.target
    request = recast_request(request)
    layout = lay_out(request)
    found = catalogue if catalogue is not None else shipped_materials()
    amounts = amounts_for(request, layout, found)
    shortfalls = shortfalls_of(request, layout, amounts.materials, amounts.base, found)
    weighed = _weigh(request, layout, amounts)
    masses = np.array([one.line.mass for one in weighed])
    materials = [one.material for one in weighed]
    cullet = _cullet_line(request, layout, amounts)
    oxides = _oxide_masses(request, layout, weighed, cullet, on_top=True)
    base = _oxide_masses(request, layout, weighed, cullet, on_top=False)
    lines = tuple(one.line for one in weighed)
    if cullet is not None:
        lines = _in_order((*lines, cullet))
    volatilised = _volatilised(request, materials, masses)
    gases = _gases(materials, masses)
    balance = MassBalance(
        weighed=math.fsum(line.mass for line in lines),
        glass=math.fsum(oxides.values()),
        gas=math.fsum(gas.mass for gas in gases),
        moisture=math.fsum(
            m * material.moisture for m, material in zip(masses, materials, strict=True)
        ),
        volatilised=math.fsum(volatilised.values()),
    )
    base_glass, glass = _composition(base), _composition(oxides)
    same = base_glass.weight_percent == glass.weight_percent
    base_properties = _properties(request.name, base_glass)
    return Batch(
        request=request,
        weighings=lines,
        oxides=tuple(
            OxideReached(o, request.target.weight(o), base_glass.weight(o))
            for o in layout.oxides
            if request.target.weight(o) > 0 or base_glass.weight(o) > 0
        ),
        base=base_glass,
        glass=glass,
        target_properties=_properties(request.name, asked),
        base_properties=base_properties,
        glass_properties=base_properties if same else _properties(request.name, glass),
        shortfalls=shortfalls,
        exact_glass=amounts.base * layout.finished,
        balance=balance,
        gases=gases,
        volatilised=volatilised,
        cost=math.fsum(line.cost for line in lines if line.cost is not None),
        unpriced=tuple(line.material for line in lines if line.cost is None),
        safety=safety_lines(materials),
        warnings=warnings_of(request, layout, amounts, lines, base_glass, NOTABLE),
        notes=notes_of(request, amounts, lines, recast_words(asked.weight_percent)),
    )


def _weigh(request: BatchRequest, layout: Layout, amounts: Amounts) -> tuple[_Weighed, ...]:
    """Everything but the cullet, in whole divisions."""
    additions = [
        _addition(one, request, amounts.base) for one in (*layout.in_target, *layout.on_top)
    ]
    exact = amounts.materials * amounts.base
    divisions = np.array([_division(request, mass) for mass in exact])
    cullet = _cullet_line(request, layout, amounts)
    beside = np.zeros(len(layout.oxides))
    if request.cullet is not None and cullet is not None:
        shares = np.array([request.cullet.composition.weight(o) / 100.0 for o in layout.oxides])
        beside = beside + cullet.mass * shares
    for one in additions:
        if one.line.counted is Counted.IN_TARGET:
            beside = beside + one.line.mass * layout.column(one.material, request)
    lowest, highest = limits_of(request, layout, amounts.base)
    counts = round_together(
        exact,
        divisions,
        layout.yields,
        beside,
        layout.reachable,
        layout.weights,
        lowest * amounts.base,
        highest * amounts.base,
    )
    base = []
    for j, material in enumerate(layout.materials):
        if counts[j] > 0:
            mass = weight_of(int(counts[j]), float(divisions[j]))
            line = Weighing(
                material.name,
                Part.BASE,
                mass,
                float(exact[j]),
                float(divisions[j]),
                _cost(material.price, mass),
                material.hazards,
            )
            base.append(_Weighed(line, material))
    base.sort(key=lambda one: -one.line.mass)
    return (*base, *additions)


def _division(request: BatchRequest, mass: float) -> float:
    few = mass < FEW_DIVISIONS * request.division
    fits = mass <= FINE_CAPACITY * request.fine_division
    return min(request.division, request.fine_division) if few and fits else request.division


def _addition(one: PlacedAddition, request: BatchRequest, base: float) -> _Weighed:
    exact = one.amount * base
    fits = exact <= FINE_CAPACITY * request.fine_division
    division = min(request.fine_division, request.division) if fits else request.division
    mass = weight_of(whole_divisions(exact, division), division)
    line = Weighing(
        one.material.name,
        Part.ADDITION,
        mass,
        exact,
        division,
        _cost(one.material.price, mass),
        one.material.hazards,
        one.counted,
    )
    return _Weighed(line, one.material)


def _cullet_line(request: BatchRequest, layout: Layout, amounts: Amounts) -> Weighing | None:
    if request.cullet is None or request.cullet.share == 0:
        return None
    exact = request.cullet.share * layout.finished * amounts.base
    mass = weight_of(whole_divisions(exact, request.division), request.division)
    cost = _cost(request.cullet.price, mass)
    return Weighing(request.cullet.name, Part.CULLET, mass, exact, request.division, cost)


def _in_order(lines: tuple[Weighing, ...]) -> tuple[Weighing, ...]:
    order = list(Part)
    return tuple(sorted(lines, key=lambda line: order.index(line.part)))


def _cost(price: float | None, mass: float) -> float | None:
    return None if price is None else price * mass


def _oxide_masses(
    request: BatchRequest,
    layout: Layout,
    weighed: tuple[_Weighed, ...],
    cullet: Weighing | None,
    *,
    on_top: bool,
) -> dict[str, float]:
    total = np.zeros(len(layout.oxides))
    for one in weighed:
        if on_top or one.line.counted is not Counted.ON_TOP:
            total += one.line.mass * layout.column(one.material, request)
    masses = dict(zip(layout.oxides, (float(mass) for mass in total), strict=True))
    if cullet is not None and request.cullet is not None:
        for oxide, percent in request.cullet.composition.weight_percent.items():
            masses[oxide] += cullet.mass * percent / 100.0
    return {oxide: mass for oxide, mass in masses.items() if mass > 0}


def _composition(masses: dict[str, float]) -> Composition:
    total = math.fsum(masses.values())
    return Composition.from_percent({o: 100.0 * mass / total for o, mass in masses.items()})


def _volatilised(
    request: BatchRequest, materials: list[Material], masses: Floats
) -> dict[str, float]:
    lost: dict[str, float] = {}
    for material, mass in zip(materials, masses, strict=True):
        for oxide, share in material.yields().items():
            gone = float(mass) * share * (1.0 - request.kept(oxide))
            if gone > 0:
                lost[oxide] = lost.get(oxide, 0.0) + gone
    return lost


def _gases(materials: list[Material], masses: Floats) -> tuple[GasReleased, ...]:
    total: dict[str, float] = {}
    for material, mass in zip(materials, masses, strict=True):
        for gas, share in material.gases.items():
            released = float(mass) * (1.0 - material.moisture) * share
            if released > 0:
                total[gas] = total.get(gas, 0.0) + released
    return tuple(
        GasReleased(gas, mass, _volume(gas, mass))
        for gas, mass in sorted(total.items(), key=lambda pair: -pair[1])
    )


def _volume(gas: str, mass: float) -> float | None:
    """Volume [m3] at room conditions of an ideal gas."""
    if gas not in GAS_MOLAR_MASS:
        return None
    moles = 1000.0 * mass / GAS_MOLAR_MASS[gas]
    return moles * _GAS_CONSTANT * _ROOM / _PRESSURE


def _properties(name: str, composition: Composition) -> GlassProperties | None:
    try:
        return properties_of(Glass(name, composition))
    except GlassError:
        return None
