"""How many charges, how large and when, so that the pot is full and workable when wanted.

Between charges the heap must be gone and the glass hot again; how hot, and into how many charges
the filling is cut, are tried out in whole simulations. What fits is limited by the pot:
cullet heaps at about half the density of glass, so that each charge fills at most half the room
left. Of the plans that reach the wanted filling in time the one with the fewest charges into the
hottest glass is taken, else the earliest.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from core.errors import FurnaceError, StoppedError
from core.melt.charge_material import ChargeMaterial
from core.melt.charging_hours import first_open
from core.melt.heating_curve import CHARGING_FROM
from core.melt.melt_night import (
    LONGEST_NIGHT,
    Begun,
    NightRunner,
    begin,
    simulate_charges,
)
from core.melt.melt_task import Fill, MeltTask, SetCharge
from core.melt.night_outcome import MeltNight

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
        The plan as it would be written down, to the minute: what is still to be charged.
    charged : tuple of SetCharge
        What was charged before, from which the plan goes on.
    wanted : float
        Glass wanted in the pot [kg].
    reached : float
        Glass there will be [kg].
    trials : int
        Nights simulated to find it.
    """

    night: MeltNight
    charges: tuple[SetCharge, ...]
    charged: tuple[SetCharge, ...]
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


@dataclass(frozen=True)
class _Wish:
    """What is to be filled, from where."""

    task: MeltTask
    fill: Fill
    material: ChargeMaterial
    wanted: float
    from_here: NightRunner

    @property
    def missing(self) -> float:
        """Still to be charged [kg]."""
        run = self.from_here.run
        return (self.wanted - run.glass_to_come) / self.material.glass_per_kg


def plan_charges(
    task: MeltTask,
    begun: Begun | None = None,
    *,
    charged: Sequence[SetCharge] = (),
    now: datetime | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> ChargePlan:
    """Plan the charges that fill the pot, from the start or from now on.

    Parameters
    ----------
    begun : Begun, optional
        The furnace at the task's start, if it is at hand.
    charged : sequence of SetCharge
        What was charged already, in order of time; the plan goes on from it.
    now : datetime, optional
        Aware; nothing is planned before.
    progress : callable, optional
        Told the share done, 0 to 1.
    cancelled : callable, optional
        Asked between simulations; true stops the work.

    Raises
    ------
    FurnaceError
        If the task wants no filling, the pot is too small for it or full already, or the furnace
        cannot reach its temperature.
    StoppedError
        If it was cancelled.
    """
    fill = task.fill
    if fill is None:
        raise FurnaceError(
            "No filling was asked for.", field="fill", remedy="Say how full the pot is to be."
        )
    for done in charged:
        task.require_known(done.material)
    wish = _wish(task, fill, begun or begin(task), charged, now)
    trials = _trials(wish)
    coarse = []
    for i, trial in enumerate(trials):
        _go_on(i / (len(trials) + 1), progress, cancelled)
        coarse.append((trial, _played(wish, trial, _COARSE)))
    best, _ = min(coarse, key=lambda pair: _rank(wish, pair[1], pair[0]))
    _go_on(len(trials) / (len(trials) + 1), progress, cancelled)
    night = _played(wish, best, None)
    _go_on(1.0, progress, cancelled)
    planned = night.charges[len(charged) :]
    return ChargePlan(
        night=night,
        charges=tuple(
            SetCharge(night.clock(round(c.time / 60.0) * 60.0), c.material, c.mass) for c in planned
        ),
        charged=tuple(charged),
        wanted=wish.wanted,
        reached=_made(task, night),
        trials=len(trials) + 1,
    )


def _go_on(
    done: float,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> None:
    if cancelled is not None and cancelled():
        raise StoppedError("The charge plan was stopped.")
    if progress is not None:
        progress(done)


def _wish(
    task: MeltTask,
    fill: Fill,
    begun: Begun,
    charged: Sequence[SetCharge],
    now: datetime | None,
) -> _Wish:
    """The wish, with the furnace followed up to now; refused where it cannot be."""
    capacity = begun.run.capacity
    wanted = capacity if fill.to is None else fill.to
    if wanted > 1.001 * capacity:
        raise FurnaceError(
            f"{wanted:.4g} kg are more than the pot holds: {capacity:.3g} kg.",
            field="to",
            remedy="Ask for less, or leave it out to fill the pot.",
        )
    runner = NightRunner(task, begun)
    for done in charged:
        runner.charge_at(done, done=True)
    if now is not None:
        runner.wait((now - task.start).total_seconds())
    wish = _Wish(task, fill, task.materials[fill.material], wanted, runner)
    if wish.missing < _LEAST_CHARGE * capacity:
        raise FurnaceError(
            f"The pot holds {runner.run.glass_to_come:.3g} kg already; nothing is to be charged "
            f"for {wanted:.3g} kg.",
            field="to",
            remedy="Ask for more, or leave out the filling.",
        )
    return wish


def _trials(wish: _Wish) -> list[_Trial]:
    """Evenly cut fillings from the fewest charges up; the fewest with a hot wait as well."""
    task, missing = wish.task, wish.missing
    run = wish.from_here.run
    # What lies unmelted gives its room free.
    room = _SPARE * max(run.room(wish.material), run.room_when_melted(wish.material))
    most = min(room, missing, wish.fill.largest or math.inf)
    fewest = math.ceil(missing / most - 1e-6)
    melting = task.programme.melting
    hot, warm = (
        min(max(melting - below, CHARGING_FROM - 50.0), melting - 5.0) for below in _RECOVERED
    )
    sizes = dict.fromkeys(min(most, missing / count) for count in (fewest, fewest + 1, fewest + 3))
    return [_Trial(most, hot), *(_Trial(size, warm) for size in sizes)]


def _played(wish: _Wish, trial: _Trial, error: float | None) -> MeltNight:
    task, fill, material = wish.task, wish.fill, wish.material
    runner = wish.from_here.copy(error)
    run = runner.run
    lead = task.furnace.opening.charging_time
    until = math.inf
    if fill.attended_until is not None:
        until = (fill.attended_until - task.start).total_seconds()
    if run.balance.heap is not None:
        # Somebody charged already: the next goes in when that has melted.
        runner.wait_for_melting(LONGEST_NIGHT, trial.recovered)
    first = min(CHARGING_FROM, task.programme.melting - 5.0)
    runner.wait(LONGEST_NIGHT, lambda now: now.chamber_temperature - first)
    least = _LEAST_CHARGE * run.capacity
    for _ in range(_MOST_CHARGES):
        opens = _opens(task, fill, run.time + lead) - lead
        missing = (wish.wanted - run.glass_to_come) / material.glass_per_kg
        if missing < least or opens + lead > until:
            break
        runner.wait(opens)
        mass = min(trial.largest, _SPARE * run.room(material), missing)
        if mass < least:
            break
        runner.charge(material, mass)
        if not runner.wait_for_melting(LONGEST_NIGHT, None):
            break
        more = (wish.wanted - run.glass_to_come) / material.glass_per_kg > least
        if more and not runner.wait_for_melting(LONGEST_NIGHT, trial.recovered):
            break
    return runner.finish(to_the_end=error is None)


def _opens(task: MeltTask, fill: Fill, charging: float) -> float:
    """Seconds from the start at which somebody may charge, at the earliest at ``charging``."""
    if not fill.closed:
        return charging
    wanted = task.start + timedelta(seconds=charging)
    opens = first_open(wanted, fill.closed)
    return math.inf if opens is None else (opens - task.start).total_seconds()


def _made(task: MeltTask, night: MeltNight) -> float:
    unmelted = float(night.course.heap_mass[-1])
    share = task.materials[task.fill.material].glass_per_kg if task.fill else 1.0
    return night.glass_mass + unmelted * share


def _rank(wish: _Wish, night: MeltNight, trial: _Trial) -> tuple[float, bool, int, float]:
    """Fuller first, then in time, then fewer charges into hotter glass; sooner when late."""
    short = max(0.0, wish.wanted - _made(wish.task, night))
    workable = math.inf if night.workable is None else night.workable
    missing = float(round(short / (_LEAST_CHARGE * wish.wanted)))
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
    return replace(task, fill=None, charges=(*plan.charged, *plan.charges))
