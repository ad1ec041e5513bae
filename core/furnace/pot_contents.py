"""What glass is in the pot now: composition, mass, and how sure that is.

The ledger is played through for many pots at once, each with charges, amounts taken out, analyses
and volatilisation off by what their errors allow; the mean is the estimate and the scatter its
error. It is played twice: once with the pot well mixed, once with the charges lying in layers,
gathers taken from the top and draining from the bottom. A real pot is between the two, and
nobody can tell where: convection and bubbles stir it in hours to days.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

import numpy as np

from core.composition.composition import Composition
from core.errors import FurnaceError
from core.furnace.ledger import FurnaceReading
from core.furnace.pot_events import Charged, PotEvent
from core.furnace.pot_play import NOTHING, PotPlay, normalised
from core.furnace.volatilisation import NO_LOSS, Volatilisation
from core.glass.glass import Glass


class Mixing(StrEnum):
    """How the glass in the pot lies."""

    MIXED = "well mixed"
    LAYERED = "in layers"
    EITHER = "either"
    """Nobody knows: the mean of both, their difference counting as error."""


@dataclass(frozen=True)
class PotContents:
    """The glass in a pot at a moment.

    Attributes
    ----------
    time : datetime
    mass, mass_error : float
        [kg], with standard error.
    composition : Composition or None
        What is gathered next, with standard errors; ``None`` of an empty pot.
    mixed, top, bottom : Composition or None
        Of the whole pot well mixed; of the uppermost tenth and the lowest, in layers. ``None`` of
        an empty pot, or where they were not asked for.
    lost : float
        Volatilised since the pot was new [kg].
    warnings : tuple of str
    """

    time: datetime
    mass: float
    mass_error: float
    composition: Composition | None
    mixed: Composition | None
    top: Composition | None
    bottom: Composition | None
    lost: float
    warnings: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        """True when nothing is left."""
        return self.composition is None

    def glass(self, name: str) -> Glass:
        """The glass as the rest of the program takes it.

        Raises
        ------
        FurnaceError
            If the pot is empty.
        """
        if self.composition is None:
            raise FurnaceError(
                "The pot is empty.", field="pot", remedy="Enter what was charged, and when."
            )
        source = f"pot ledger at {self.time:%Y-%m-%d %H:%M}"
        return Glass(name, self.composition, source=source)


def pot_contents(
    events: Iterable[PotEvent],
    time: datetime | None = None,
    *,
    mixing: Mixing = Mixing.EITHER,
    capacity: float | None = None,
    surface: float = 0.0,
    temperatures: Sequence[FurnaceReading] = (),
    volatilisation: Volatilisation = NO_LOSS,
) -> PotContents:
    """The glass in the pot at a time, or after the last event.

    Parameters
    ----------
    events : iterable of PotEvent
        In any order; those at the same time are taken charges first.
    time : datetime, optional
        Aware.
    capacity : float, optional
        Of the pot [kg]: fuller is warned of.
    surface : float
        Area of the glass [m2], for what volatilises.
    temperatures : sequence of FurnaceReading
        Between which the temperature is taken as straight; before and after as the nearest.

    Raises
    ------
    FurnaceError
        If there are no events, or the time lies before the first.
    """
    history = contents_through(
        events,
        [] if time is None else [time],
        mixing=mixing,
        capacity=capacity,
        surface=surface,
        temperatures=temperatures,
        volatilisation=volatilisation,
    )
    return history[-1]


def contents_through(
    events: Iterable[PotEvent],
    times: Sequence[datetime] = (),
    *,
    mixing: Mixing = Mixing.EITHER,
    capacity: float | None = None,
    surface: float = 0.0,
    temperatures: Sequence[FurnaceReading] = (),
    volatilisation: Volatilisation = NO_LOSS,
    ends: bool = True,
) -> tuple[PotContents, ...]:
    """The glass in the pot at each of these times, or else after every event.

    Parameters and errors as :func:`pot_contents`; ``times`` in rising order. Without ``ends`` the
    compositions of the whole, the top and the bottom are left out, which takes a third of the time.
    """
    ordered = sorted(events, key=lambda event: (event.time, not isinstance(event, Charged)))
    if not ordered:
        raise FurnaceError(
            "The pot's ledger has no entries.",
            field="events",
            remedy="Enter what was charged, and when.",
        )
    for wanted in times:
        if wanted < ordered[0].time:
            raise FurnaceError(
                f"The ledger begins on {ordered[0].time:%Y-%m-%d %H:%M}, after the time asked for.",
                field="time",
                remedy="Ask for a later time, or enter what was in the pot before.",
            )
    play = PotPlay(ordered, capacity, surface, temperatures, volatilisation)
    found: list[PotContents] = []
    wanted_times = list(times)
    for event in ordered:
        while wanted_times and wanted_times[0] < event.time:
            play.pass_until(wanted_times[0])
            found.append(_contents(play, wanted_times.pop(0), mixing, ends=ends))
        play.pass_until(event.time)
        play.happen(event)
        if not times:
            found.append(_contents(play, event.time, mixing, ends=ends))
    for wanted in wanted_times:
        play.pass_until(wanted)
        found.append(_contents(play, wanted, mixing, ends=ends))
    return tuple(found)


def _contents(play: PotPlay, time: datetime, mixing: Mixing, *, ends: bool) -> PotContents:
    total = play.mixed.sum(axis=1)
    mass = float(total.mean())
    if mass <= NOTHING or not len(play.layers):
        lost = float(play.lost.mean())
        return PotContents(time, 0.0, 0.0, None, None, None, None, lost, tuple(play.warnings))
    top = play.end(from_top=True)
    chosen = {
        Mixing.MIXED: play.mixed,
        Mixing.LAYERED: top,
        Mixing.EITHER: np.concatenate([normalised(play.mixed), normalised(top)]),
    }[mixing]
    return PotContents(
        time=time,
        mass=mass,
        mass_error=float(total.std()),
        composition=play.composition(chosen),
        mixed=play.composition(play.mixed) if ends else None,
        top=play.composition(top) if ends else None,
        bottom=play.composition(play.end(from_top=False)) if ends else None,
        lost=float(play.lost.mean()),
        warnings=tuple(dict.fromkeys(play.warnings)),
    )
