"""Over a weekend: the furnace kept idling against going cold and heating the pot again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.errors import FurnaceError
from core.melt.furnace_course import FurnaceCourse
from core.melt.furnace_limits import settled
from core.melt.furnace_run import FurnaceRun
from core.melt.glass_melt import glass_melt
from core.melt.heating_curve import HeatingStep, PotCare, heating_curve, heating_time
from core.melt.limits import require
from core.melt.melt_task import MeltTask
from core.melt.set_points import SetPoints
from core.melt.setting import Setting
from core.melt.standing_pot import with_standing_pots
from core.units import SECONDS_PER_HOUR, ZERO_CELSIUS

POT_LIFE_OF_A_RESTART = 0.35
"""Share of a pot's life that switching it off and on is said to cost: a dealer's rule of thumb
(VanderLaan P., CraftWEB forum, 2017)."""
_IDLE_RATE = 100.0 / SECONDS_PER_HOUR
"""[K/s] At which a hot furnace is brought back from idling; common practice, no source."""


@dataclass(frozen=True)
class WeekendCourse:
    """One way through the weekend; energy [J], cost in the studio's currency, CO2 [kg]."""

    course: FurnaceCourse
    energy: float
    cost: float | None
    carbon_dioxide: float | None


@dataclass(frozen=True)
class Weekend:
    """Idling against shutting down.

    Attributes
    ----------
    duration : float
        From the last work to the next [s].
    idling : WeekendCourse
    shut : WeekendCourse or None
        ``None`` if the pot cannot be heated again in time.
    coldest : float or None
        Of the chamber when shut down [K].
    heating_starts : float or None
        When heating must begin [s from the start].
    heating : tuple of HeatingStep
        The curve from there.
    needed : float
        Shortest shut-down in which the pot can be heated again at all [s], from its coldest.
    """

    duration: float
    idling: WeekendCourse
    shut: WeekendCourse | None
    coldest: float | None
    heating_starts: float | None
    heating: tuple[HeatingStep, ...]
    needed: float

    @property
    def saved(self) -> float | None:
        """Energy saved by shutting down [J]; below 0 where idling takes less."""
        return None if self.shut is None else self.idling.energy - self.shut.energy


def compare_weekend(task: MeltTask, duration: float, glass_mass: float | None = None) -> Weekend:
    """Follow both ways from working temperature back to working temperature.

    Parameters
    ----------
    duration : float
        From the last work to the next [s].
    glass_mass : float, optional
        Left in the pot [kg]; by default what the task starts with. A pot with glass in it is
        heated as such, see :class:`PotCare`.

    Raises
    ------
    FurnaceError
        If the furnace cannot hold its working temperature, or the duration is not 2 h to 60 days.
    """
    require(duration / SECONDS_PER_HOUR, 2.0, 1440.0, "duration", "A break", "h")
    melt = glass_melt(task.glass, task.tint)
    working = task.programme.working
    idle = working if task.programme.idle is None else task.programme.idle
    left = task.glass_mass if glass_mass is None else glass_mass
    opening = task.furnace.opening.open_at_night
    furnace = with_standing_pots(task.furnace, task.other_pots, melt)
    hot = settled(furnace, task.pot, melt, working, left, opening)

    idling = hot.copy()
    back = max(0.0, working - idle) / _IDLE_RATE
    idling.go(Setting(0.0, idle, opening=opening), max(0.0, duration - back))
    idling.go(Setting(idling.time, working, opening=opening), duration)

    shut = hot.copy()
    shut.go(Setting(0.0, None, opening=opening), duration)
    course = shut.course()
    care = PotCare.GLASS_LEFT_IN if left > 0.0 else task.pot_care
    begins, steps = _latest_heating(task, care, course, duration)
    if begins is None:
        return Weekend(
            duration,
            _course(task, idling),
            None,
            None,
            None,
            steps,
            heating_time(steps, float(course.chamber[-1])) + duration,
        )
    again = hot.copy()
    again.go(Setting(0.0, None, opening=opening), begins)
    coldest = again.chamber_temperature
    points = SetPoints.along(steps, begins, coldest)
    for setting, until in points.pieces(begins, duration, opening):
        again.go(setting, until)
    if again.chamber_temperature < working - 25.0:
        raise FurnaceError(
            f"Heated again, “{task.furnace.name}” is at only "
            f"{again.chamber_temperature - ZERO_CELSIUS:.0f} °C when work begins: it is too weak "
            "for the heating curve.",
            field="duration",
            remedy="Begin earlier, or keep it idling.",
        )
    return Weekend(
        duration,
        _course(task, idling),
        _course(task, again),
        coldest,
        begins,
        steps,
        duration,
    )


def _latest_heating(
    task: MeltTask, care: PotCare, course: FurnaceCourse, duration: float
) -> tuple[float | None, tuple[HeatingStep, ...]]:
    """Latest moment [s] at which heating may begin, and its curve from the temperature then."""
    working = task.programme.working
    ends: list[float] = []
    for time, chamber in zip(course.time, course.chamber, strict=True):
        steps: tuple[HeatingStep, ...] = ()
        if chamber < working - 1.0:
            steps = heating_curve(care, float(chamber), working)
        ends.append(float(time) + heating_time(steps, float(chamber)))
    fits = np.flatnonzero(np.array(ends) <= duration)
    useful = [i for i in fits if course.chamber[i] < working - 50.0]
    if not useful:
        return None, heating_curve(care, float(course.chamber[-1]), working)
    last = int(useful[-1])
    steps = heating_curve(care, float(course.chamber[last]), working)
    return float(course.time[last]), steps


def _course(task: MeltTask, run: FurnaceRun) -> WeekendCourse:
    course = run.course()
    price, emitted = task.furnace.energy.price, task.furnace.carbon_dioxide_per_joule
    return WeekendCourse(
        course,
        course.energy,
        None if price is None else price * course.energy / 3.6e6,
        None if emitted is None else emitted * course.energy,
    )
