"""A night simulated: charges, when all is melted, fined and conditioned, and what it took."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from core.errors import FurnaceError
from core.load.local_time import zone_named
from core.melt.charge_material import ChargeMaterial
from core.melt.fining import risen
from core.melt.furnace_course import FurnaceCourse
from core.melt.furnace_limits import cannot_reach, ceiling, settled
from core.melt.furnace_run import FurnaceRun
from core.melt.glass_melt import GlassMelt, glass_melt
from core.melt.heating_curve import CHARGING_FROM, HeatingStep, heating_curve
from core.melt.melt_task import MeltTask, SetCharge
from core.melt.night_outcome import ChargeOutcome, MeltNight
from core.melt.set_points import SetPoints
from core.melt.standing_pot import with_standing_pots

LONGEST_NIGHT = 14 * 86_400.0
"""[s] What has not come about after a fortnight never will."""


@dataclass(frozen=True)
class Begun:
    """A night ready to run: the furnace at the start, and the set points up to melting."""

    run: FurnaceRun
    points: SetPoints
    heating: tuple[HeatingStep, ...]
    melt: GlassMelt


def begin(task: MeltTask) -> Begun:
    """The furnace of a task at its start.

    Raises
    ------
    FurnaceError
        If the furnace cannot reach the melting temperature (the message says its ceiling), or
        the pot does not hold what is said to be in it.
    GlassError
        If too little is known of the glass.
    """
    melt = glass_melt(task.glass, task.tint)
    furnace = with_standing_pots(task.furnace, task.other_pots, melt)
    pot = task.pot
    night = furnace.opening.open_at_night
    highest = ceiling(furnace, pot, melt, night)
    if highest < task.programme.melting:
        raise cannot_reach(furnace, task.programme.melting, highest, "melting")
    if task.starts_cold:
        run = FurnaceRun(furnace, pot, melt, furnace.ambient, task.glass_mass)
        steps = heating_curve(task.pot_care, furnace.ambient, task.programme.melting)
        return Begun(run, SetPoints.along(steps, 0.0, furnace.ambient), steps, melt)
    start = task.furnace_temperature or furnace.ambient
    run = settled(furnace, pot, melt, start, task.glass_mass, night)
    steps = ()
    points = SetPoints.held(task.programme.melting)
    if start < CHARGING_FROM - 400.0 and start < task.programme.melting:
        # Below red heat a pot must still be spared.
        steps = heating_curve(task.pot_care, start, task.programme.melting)
        points = SetPoints.along(steps, 0.0, start)
    return Begun(run, points, steps, melt)


class NightRunner:
    """Runs a night step by step, charge by charge.

    Parameters
    ----------
    task : MeltTask
    begun : Begun
        Left as it is; the runner works on a copy.
    error : float, optional
        Allowed in a step [K].
    """

    def __init__(self, task: MeltTask, begun: Begun, error: float | None = None) -> None:
        self.task, self.begun = task, begun
        self.run = begun.run.copy(error)
        self.points = begun.points
        self.outcomes: list[ChargeOutcome] = []
        self.warnings: list[str] = []
        self._open: list[tuple[float, ChargeMaterial, float]] = []
        self._quiet = task.furnace.opening.open_at_night

    def copy(self, error: float | None = None) -> NightRunner:
        """Another runner that goes on from here by itself, with another error [K] if given."""
        other = NightRunner(self.task, self.begun)
        other.run = self.run.copy(error)
        other.points = self.points
        other.outcomes, other.warnings = [*self.outcomes], [*self.warnings]
        other._open = [*self._open]
        return other

    def wait(
        self, until: float, stop: Callable[[FurnaceRun], float] | None = None, opening: float = -1.0
    ) -> bool:
        """Follow the set points until a time [s], or until ``stop`` turns positive."""
        opening = self._quiet if opening < 0.0 else opening
        for setting, end in self.points.pieces(self.run.time, until, opening):
            if self.run.go(setting, end, stop):
                return True
        return False

    def charge(self, material: ChargeMaterial, mass: float, *, done: bool = False) -> None:
        """Open the furnace, throw in a charge [kg] at room temperature, close it.

        Parameters
        ----------
        done : bool
            It was made already: it is followed even where the pot should have no room for it.

        Raises
        ------
        FurnaceError
            If it would overfill the pot.
        """
        opening = self.task.furnace.opening
        if opening.charging_time > 0.0:
            self.wait(self.run.time + opening.charging_time, opening=1.0)
        if self.run.chamber_temperature < CHARGING_FROM - 75.0:
            self.warnings.append(
                f"A charge goes into a furnace at {self.run.chamber_temperature - 273.15:.0f} °C: "
                "the pot is charged from 1150 °C on."
            )
        self._settle_outcomes()
        if done and mass > 1.01 * self.run.room(material):
            room = max(0.0, self.run.room(material))
            at = self.task.start + timedelta(seconds=self.run.time)
            self.warnings.append(
                f"As reckoned, {mass:.3g} kg of {material.name} find room for only {room:.3g} kg "
                f"at {at.astimezone(zone_named(self.task.timezone)):%H:%M}: look at the level."
            )
        self.run.charge(material, mass, self.task.furnace.ambient, done=done)
        self._open.append((self.run.time, material, mass))

    def charge_at(self, planned: SetCharge, *, done: bool = False) -> None:
        """Wait for the time of a charge and throw it in; see :meth:`charge`."""
        at = (planned.time - self.task.start).total_seconds()
        self.wait(max(self.run.time, at - self.task.furnace.opening.charging_time))
        try:
            self.charge(self.task.materials[planned.material], planned.mass, done=done)
        except FurnaceError as error:
            error.message = f"At {planned.time:%H:%M}: {error.message}"
            raise

    def wait_for_melting(self, until: float, recovered: float | None = None) -> bool:
        """Wait until nothing lies unmelted and, if given, the glass is at ``recovered`` [K]."""

        def gone(run: FurnaceRun) -> float:
            return 1.0 if run.balance.heap is None else -1.0 - run.heap_mass

        if not self.wait(until, gone):
            return False
        self._settle_outcomes()
        if recovered is None:
            return True
        return self.wait(until, lambda run: run.glass_temperature - recovered)

    def _settle_outcomes(self) -> None:
        if not self._open:
            return
        run, vessel = self.run, self.task.pot
        course_time = np.array([row[0] for row in run.rows])
        glass = np.array([row[3] for row in run.rows])
        melted = run.time if run.balance.heap is None else None
        level = vessel.level(run.glass_mass / run.balance.melt.density)
        for time, material, mass in self._open:
            since = course_time >= time - 1.0
            self.outcomes.append(
                ChargeOutcome(time, material.name, mass, melted, float(glass[since].min()), level)
            )
        self._open = []

    def fine(self, until: float) -> float | None:
        """Wait until the smallest bubble has risen through the glass; when it has [s]."""
        task, run = self.task, self.run
        depth = task.pot.level(run.glass_mass / run.balance.melt.density)
        first = max(0, len(run.rows) - 1)

        def rising(now: FurnaceRun) -> float:
            rows = now.rows[first:]
            time = np.array([row[0] for row in rows])
            glass = np.array([row[3] for row in rows])
            return float(risen(task.fining, now.balance.melt, time, glass)[-1]) - depth

        return run.time if self.wait(until, rising) else None

    def condition(self, until: float) -> float | None:
        """Turn down to the working temperature; when the glass is near enough to it [s]."""
        programme = self.task.programme
        self.points = SetPoints.held(programme.working, self.run.time)

        def near(run: FurnaceRun) -> float:
            return programme.within - abs(run.glass_temperature - programme.working)

        return self.run.time if self.wait(until, near) else None

    def finish(self, *, to_the_end: bool = True) -> MeltNight:
        """Melt down, fine, condition, and go on until the glass is wanted."""
        task = self.task
        melted = fined = conditioned = None
        if self.wait_for_melting(LONGEST_NIGHT):
            melted = self.run.time
            fined = self.fine(self.run.time + LONGEST_NIGHT)
        self._settle_outcomes()
        if fined is not None:
            conditioned = self.condition(fined + LONGEST_NIGHT)
        if to_the_end and task.workable_by is not None:
            wanted = (task.workable_by - task.start).total_seconds()
            if wanted > self.run.time:
                self.wait(wanted)
        return self._night(melted, fined, conditioned)

    def _night(
        self, melted: float | None, fined: float | None, conditioned: float | None
    ) -> MeltNight:
        task, run = self.task, self.run
        course = run.course()
        furnace = task.furnace
        emitted = furnace.carbon_dioxide_per_joule
        price = furnace.energy.price
        melt = self.begun.melt
        return MeltNight(
            task=task,
            melt=melt,
            course=course,
            heating=self.begun.heating,
            charges=tuple(self.outcomes),
            melted=melted,
            fined=fined,
            conditioned=conditioned,
            end=run.time,
            depth=task.pot.level(run.glass_mass / melt.density),
            glass_mass=run.glass_mass,
            energy=course.energy,
            cost=None if price is None else price * course.energy / 3.6e6,
            carbon_dioxide=None if emitted is None else emitted * course.energy,
            warnings=tuple(dict.fromkeys([*self.warnings, *self._doubts(course)])),
        )

    def _doubts(self, course: FurnaceCourse) -> list[str]:
        task = self.task
        doubts = []
        if any(task.materials[c.material].glass_yield < 1.0 for c in self.outcomes):
            doubts.append(
                "Batch counts as melted when it has taken up its heat; sand may take hours longer "
                "to dissolve: look at a proof before you gather."
            )
        for i, section in enumerate(task.furnace.sections):
            hottest = float(course.hot[i].max()) - 273.15
            limit = section.layers[0].material.service_temperature
            if hottest > limit:
                doubts.append(
                    f"The {section.name} reaches {hottest:.0f} °C inside, above the "
                    f"{limit:.0f} °C that {section.layers[0].material.name} stands."
                )
        hottest = float(course.pot.max()) - 273.15
        if hottest > task.pot.material.service_temperature:
            doubts.append(
                f"The pot reaches {hottest:.0f} °C, above the "
                f"{task.pot.material.service_temperature:.0f} °C that its material stands."
            )
        return doubts


def simulate_charges(task: MeltTask, begun: Begun | None = None) -> MeltNight:
    """A night with charges at set times.

    Raises
    ------
    FurnaceError
        If a charge overfills the pot, or the furnace cannot reach its temperature.
    """
    begun = begun or begin(task)
    runner = NightRunner(task, begun)
    for set_charge in task.charges:
        runner.charge_at(set_charge)
    if not task.charges:
        runner.wait(runner.points.end)
    return runner.finish()
