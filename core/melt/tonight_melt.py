"""Tonight's melt from what is described, written down and wished for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from core.errors import FurnaceError, StoppedError
from core.furnace.ledger import Charge
from core.furnace.planned_charge import PlannedCharge
from core.furnace.pot_events import plain_name
from core.glass.glass import Glass
from core.melt.charge_material import ChargeMaterial, batch, cullet
from core.melt.charge_plan import ChargePlan, plan_charges
from core.melt.charging_hours import ClosedHours
from core.melt.melt_night import NightRunner, begin
from core.melt.melt_task import Fill, MeltTask, SetCharge
from core.melt.night_outcome import MeltNight
from core.melt.pot_vessel import PotVessel
from core.melt.standing_pot import StandingPot

_BATCH_BELOW = 0.96
"""Glass yield below which a material counts as batch, which gives off gas."""


@dataclass(frozen=True)
class TonightWish:
    """What a person asks for tonight.

    Attributes
    ----------
    start : datetime
        Aware.
    furnace_temperature : float or None
        At the start [K]; ``None``: cold.
    glass_mass : float
        In the pot at the start [kg].
    material : str
        What is charged.
    to : float or None
        Filling wished for [kg]; ``None``: full.
    largest : float or None
        Most that one charge may be [kg].
    workable_by, attended_until : datetime or None
    closed : tuple of ClosedHours
    """

    start: datetime
    furnace_temperature: float | None
    glass_mass: float
    material: str
    to: float | None = None
    largest: float | None = None
    workable_by: datetime | None = None
    attended_until: datetime | None = None
    closed: tuple[ClosedHours, ...] = ()


def tonight_task(
    described: MeltTask,
    wish: TonightWish,
    *,
    pot: PotVessel | None = None,
    glass: Glass | None = None,
    yields: Sequence[tuple[str, float]] = (),
    other_pots: Sequence[StandingPot] = (),
) -> MeltTask:
    """The described furnace asked for tonight's melt.

    Parameters
    ----------
    described : MeltTask
        Furnace, programme, materials; its pot and glass are those of the others left out.
    pot : PotVessel, optional
    glass : Glass, optional
        What is in the pot.
    yields : sequence of (str, float)
        Materials charged tonight with their glass yield, for those not described.
    other_pots : sequence of StandingPot
        That stand in the same chamber; without any, those described.

    Raises
    ------
    FurnaceError
        If something wished for is not possible.
    """
    materials = dict(described.materials)
    for name, share in (*yields, (wish.material, 1.0)):
        if material_named(materials, name) is None:
            materials[name] = usual_material(name, share)
    known = material_named(materials, wish.material)
    if known is None:  # never: it was added above
        raise FurnaceError("No material was named.", field="material")
    return replace(
        described,
        pot=pot or described.pot,
        glass=glass or described.glass,
        materials=materials,
        start=wish.start,
        furnace_temperature=wish.furnace_temperature,
        glass_mass=wish.glass_mass,
        charges=(),
        fill=Fill(known.name, wish.to, wish.largest, wish.attended_until, wish.closed),
        workable_by=wish.workable_by,
        other_pots=tuple(other_pots) or described.other_pots,
    )


def material_named(materials: dict[str, ChargeMaterial], name: str) -> ChargeMaterial | None:
    """The material of that name; capitals and spaces do not matter."""
    wanted = plain_name(name)
    return next((m for key, m in materials.items() if plain_name(key) == wanted), None)


def usual_material(name: str, glass_yield: float = 1.0) -> ChargeMaterial:
    """Cullet, or batch where much of it leaves as gas."""
    return batch(name, glass_yield) if glass_yield < _BATCH_BELOW else cullet(name)


def set_charges(task: MeltTask, charges: Sequence[Charge]) -> tuple[SetCharge, ...]:
    """Logged charges since the task's start as the simulation takes them, in order of time.

    Materials that the task does not have count as its filling's.
    """
    materials = dict(task.materials)
    fallback = task.fill.material if task.fill is not None else next(iter(materials), "")
    found = []
    for charge in sorted(charges, key=lambda charge: charge.time):
        if charge.time < task.start:
            continue
        known = material_named(materials, charge.material)
        found.append(SetCharge(charge.time, fallback if known is None else known.name, charge.mass))
    return tuple(found)


def plan_tonight(
    task: MeltTask,
    charged: Sequence[SetCharge],
    now: datetime | None,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> ChargePlan:
    """The charges from now on; see :func:`core.melt.charge_plan.plan_charges`."""
    return plan_charges(task, charged=charged, now=now, progress=progress, cancelled=cancelled)


def lines_of(plan: ChargePlan, pot: str) -> tuple[PlannedCharge, ...]:
    """A plan as the lines of tonight's list, masses to the tenth of a kilogram."""
    return tuple(
        PlannedCharge(charge.time, pot, charge.material, max(0.1, round(charge.mass, 1)))
        for charge in plan.charges
    )


def follow_night(
    task: MeltTask,
    charged: Sequence[SetCharge],
    planned: Sequence[PlannedCharge],
    now: datetime,
    *,
    cancelled: Callable[[], bool] | None = None,
) -> MeltNight:
    """The night with what was charged so far and what is still planned.

    A planned charge whose time has passed counts as charged now.

    Raises
    ------
    FurnaceError
        If the furnace cannot reach its temperature.
    StoppedError
        If it was cancelled.
    """
    runner = NightRunner(task, begin(task))
    if cancelled is not None and cancelled():
        raise StoppedError("The simulation was stopped.")
    for done in charged:
        runner.charge_at(done, done=True)
    materials = dict(task.materials)
    for line in sorted(planned, key=lambda line: line.time):
        known = material_named(materials, line.material)
        if known is not None:
            coming = SetCharge(max(line.time, now), known.name, line.mass)
            runner.charge_at(coming, done=True)
    if not charged and not planned:
        runner.wait(runner.points.end)
    return runner.finish()
