"""How many charges, how large and when, so that the pot is full and workable when wanted.

Between charges the heap must be gone and the glass hot again; how hot, and into how many charges
the filling is cut, are tried out in whole simulations. What fits is limited by the pot:
cullet heaps at about half the density of glass, so that each charge fills at most half the room
left. Of the plans that reach the wanted filling in time the one with the fewest charges into the
hottest glass is taken, else the earliest.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from core.errors import FurnaceError
from core.melt.charge_material import ChargeMaterial
from core.melt.heating_curve import CHARGING_FROM
from core.melt.melt_night import (
    LONGEST_NIGHT,
    Begun,
    MeltNight,
    NightRunner,
    begin,
    simulate_charges,
)
from core.melt.melt_task import Fill, MeltTask, SetCharge

_LEAST_CHARGE = 0.02
"""Share of the pot's capacity below which no further charge is worth opening the furnace: the pot
counts as filled."""
_MOST_CHARGES = 16
_SPARE = 0.97
"""Share of the free room that one charge may fill."""
_RECOVERED = (30.0, 90.0)
"""[K] Below the melting temperature: how hot the glass must be before the next charge."""
_COARSE = 1.5
"""[K] Error allowed in a trial's steps."""


@dataclass(frozen=True)
class ChargePlan:
    """A plan of charges and the night it leads to.

    Attributes
    ----------
    night : MeltNight
    charges : tuple of SetCharge
        The plan as it would be written down, to the minute.
    wanted : float
        Glass wanted in the pot [kg].
    reached : float
        Glass there will be [kg].
    trials : int
        Nights simulated to find it.
    """

    night: MeltNight
    charges: tuple[SetCharge, ...]
    wanted: float
    reached: float
    trials: int

    @property
    def short(self) -> float:
        """Glass missing from what was wanted [kg]."""
        return max(0.0, self.wanted - self.reached)

    @property
    def filled(self) -> bool:
        """Whether the pot is as full as was wanted, within 2 % of its capacity."""
        capacity = self.night.task.pot.capacity(self.night.melt.density)
        return self.short <= 1.01 * _LEAST_CHARGE * capacity


@dataclass(frozen=True)
class _Trial:
    largest: float
    recovered: float


def plan_charges(task: MeltTask, begun: Begun | None = None) -> ChargePlan:
    """Plan the charges that fill the pot.

    Raises
    ------
    FurnaceError
        If the task wants no filling, the pot is too small for it or full already, or the furnace
        cannot reach its temperature.
    """
    fill = task.fill
    if fill is None:
        raise FurnaceError(
            "No filling was asked for.", field="fill", remedy="Say how full the pot is to be."
        )
    begun = begun or begin(task)
    run = begun.run
    wanted = run.capacity if fill.to is None else fill.to
    if wanted > 1.001 * run.capacity:
        raise FurnaceError(
            f"{wanted:.4g} kg are more than the pot holds: {run.capacity:.3g} kg.",
            field="to",
            remedy="Ask for less, or leave it out to fill the pot.",
        )
    material = task.materials[fill.material]
    missing = (wanted - run.glass_mass) / material.glass_per_kg
    if missing < _LEAST_CHARGE * run.capacity:
        raise FurnaceError(
            f"The pot holds {run.glass_mass:.3g} kg already; nothing is to be charged for "
            f"{wanted:.3g} kg.",
            field="to",
            remedy="Ask for more, or leave out the filling.",
        )
    trials = _trials(task, fill, material, missing, begun)
    coarse = [
        (trial, _played(task, fill, material, wanted, begun, trial, _COARSE)) for trial in trials
    ]
    best, _ = min(coarse, key=lambda pair: _rank(task, pair[1], wanted, pair[0]))
    night = _played(task, fill, material, wanted, begun, best, None)
    return ChargePlan(
        night=night,
        charges=tuple(
            SetCharge(night.clock(round(c.time / 60.0) * 60.0), c.material, c.mass)
            for c in night.charges
        ),
        wanted=wanted,
        reached=_made(task, night),
        trials=len(trials) + 1,
    )


def _trials(
    task: MeltTask, fill: Fill, material: ChargeMaterial, missing: float, begun: Begun
) -> list[_Trial]:
    """Evenly cut fillings from the fewest charges up; the fewest with a hot wait as well."""
    room = _SPARE * begun.run.room(material)
    most = min(room, missing, fill.largest or math.inf)
    fewest = math.ceil(missing / most - 1e-6)
    melting = task.programme.melting
    hot, warm = (
        min(max(melting - below, CHARGING_FROM - 50.0), melting - 5.0) for below in _RECOVERED
    )
    sizes = dict.fromkeys(min(most, missing / count) for count in (fewest, fewest + 1, fewest + 3))
    return [_Trial(most, hot), *(_Trial(size, warm) for size in sizes)]


def _played(
    task: MeltTask,
    fill: Fill,
    material: ChargeMaterial,
    wanted: float,
    begun: Begun,
    trial: _Trial,
    error: float | None,
) -> MeltNight:
    runner = NightRunner(task, begun, error)
    run = runner.run
    lead = task.furnace.opening.charging_time
    until = math.inf
    if fill.attended_until is not None:
        until = (fill.attended_until - task.start).total_seconds()
    first = min(CHARGING_FROM, task.programme.melting - 5.0)
    runner.wait(LONGEST_NIGHT, lambda now: now.chamber_temperature - first)
    least = _LEAST_CHARGE * run.capacity
    for _ in range(_MOST_CHARGES):
        missing = (wanted - run.glass_to_come) / material.glass_per_kg
        mass = min(trial.largest, _SPARE * run.room(material), missing)
        if mass < least or run.time + lead > until:
            break
        runner.charge(material, mass)
        if not runner.wait_for_melting(LONGEST_NIGHT, None):
            break
        more = (wanted - run.glass_to_come) / material.glass_per_kg > least
        if more and not runner.wait_for_melting(LONGEST_NIGHT, trial.recovered):
            break
    return runner.finish(to_the_end=error is None)


def _made(task: MeltTask, night: MeltNight) -> float:
    unmelted = float(night.course.heap_mass[-1])
    share = task.materials[task.fill.material].glass_per_kg if task.fill else 1.0
    return night.glass_mass + unmelted * share


def _rank(
    task: MeltTask, night: MeltNight, wanted: float, trial: _Trial
) -> tuple[float, bool, int, float]:
    """Fuller first, then in time, then fewer charges into hotter glass; sooner when late."""
    short = max(0.0, wanted - _made(task, night))
    workable = math.inf if night.workable is None else night.workable
    missing = float(round(short / (_LEAST_CHARGE * wanted)))
    if night.in_time is False:
        return (missing, True, 0, workable)
    return (missing, False, len(night.charges), -trial.recovered)


def plan_night(task: MeltTask) -> tuple[MeltNight, ChargePlan | None]:
    """The night of a task: its charges as given, or planned."""
    if task.fill is None:
        return simulate_charges(task), None
    plan = plan_charges(task)
    return plan.night, plan


def as_charged(task: MeltTask, plan: ChargePlan) -> MeltTask:
    """The task with the plan's charges at set times in place of the wish."""
    return replace(task, fill=None, charges=plan.charges)
