"""What a simulated night comes to: its charges, its hours, its energy."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from core.melt.furnace_course import FurnaceCourse
from core.melt.glass_melt import GlassMelt
from core.melt.heating_curve import HeatingStep
from core.melt.melt_task import MeltTask


@dataclass(frozen=True)
class ChargeOutcome:
    """A charge and what became of it.

    Attributes
    ----------
    time : float
        When it was thrown in [s from the start].
    material : str
    mass : float
        [kg].
    melted : float or None
        When nothing of it was left unmelted [s].
    lowest_glass : float
        Coldest the glass got until then [K].
    level : float
        Of the glass when it had melted [m]; of glass alone when it never did.
    """

    time: float
    material: str
    mass: float
    melted: float | None
    lowest_glass: float
    level: float


@dataclass(frozen=True)
class MeltNight:
    """A night as simulated; times in seconds from the task's start, ``None`` for never.

    Attributes
    ----------
    task : MeltTask
    melt : GlassMelt
    course : FurnaceCourse
    heating : tuple of HeatingStep
        The heating curve, of a cold furnace.
    charges : tuple of ChargeOutcome
    melted, fined, conditioned : float or None
        When the last charge was gone, the smallest bubble out, the glass near the working
        temperature.
    end : float
        Of the simulation [s].
    depth : float
        Of the glass in the end [m].
    glass_mass : float
        In the end [kg].
    energy : float
        Bought [J].
    cost, carbon_dioxide : float or None
        In the studio's currency, and [kg]; ``None`` where price or emission were not given.
    warnings : tuple of str
    """

    task: MeltTask
    melt: GlassMelt
    course: FurnaceCourse
    heating: tuple[HeatingStep, ...]
    charges: tuple[ChargeOutcome, ...]
    melted: float | None
    fined: float | None
    conditioned: float | None
    end: float
    depth: float
    glass_mass: float
    energy: float
    cost: float | None
    carbon_dioxide: float | None
    warnings: tuple[str, ...]

    @property
    def workable(self) -> float | None:
        """When work can begin: melted, fined and conditioned [s]."""
        return self.conditioned

    def clock(self, seconds: float) -> datetime:
        """The moment so many seconds after the start."""
        return self.task.start + timedelta(seconds=seconds)

    @property
    def in_time(self) -> bool | None:
        """Whether it is workable when wanted; ``None`` if no time was given."""
        if self.task.workable_by is None:
            return None
        return self.workable is not None and self.clock(self.workable) <= self.task.workable_by
