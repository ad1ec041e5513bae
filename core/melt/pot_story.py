"""What a pot's ledger comes to: the glass now, how it got there, and how it drifted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from core.errors import StoppedError
from core.furnace.pot_contents import Mixing, PotContents, contents_through
from core.furnace.volatilisation import Volatilisation
from core.glass.glass import Estimate, Glass, GlassProperties
from core.glass.many_glasses import properties_of_many
from core.glass.measured_points import HALF_WIDTH
from core.glass.properties import properties_of
from core.melt.glass_melt import MELT_TO_ROOM_DENSITY
from core.melt.pot_drift import Drift, drift_of
from core.melt.pot_ledger import USUAL_DENSITY, PotLedger, UnknownMaterial
from core.melt.pot_level import level_of
from core.melt.pot_measured import MOVE_ERROR, carried_over, reference_glass

FloatArray = NDArray[np.float64]

_POINTS = 96
"""Moments between the entries at which the curve is reckoned."""
_MOST_EVENTS = 400
"""Entries of which each has its own point on the curve: those before are thinned out."""
_NOTEWORTHY_OXIDE = 0.15
"""[wt%] By which an oxide must change to be shown."""


@dataclass(frozen=True, eq=False)
class PotStory:
    """The pot through time and now; arrays of shape (n,), one entry a moment.

    Attributes
    ----------
    ledger : PotLedger
    now : PotContents or None
        ``None`` while nothing is known to be in it.
    glass : Glass or None
        What is gathered now, named like the pot.
    properties : GlassProperties or None
        Of that glass.
    level : float or None
        Of the glass now [m]; ``None`` without the pot's shape.
    density : float
        Of the melt now [kg/m3].
    time : ndarray
        UTC epoch seconds, rising.
    mass, mass_error : ndarray
        Glass [kg].
    levels : ndarray or None
        [m].
    annealing, annealing_low, annealing_high : ndarray
        Annealing point with its interval, nine times in ten [K]; NaN where the pot is empty.
    expansion, expansion_low, expansion_high : ndarray
        20-300 °C [1/K].
    oxides : dict of str to ndarray
        Those that changed noticeably, by weight percent, the most changed first.
    drift : tuple of Drift
    unknown : tuple of UnknownMaterial
        Left out of everything until somebody tells their glass.
    remarks : tuple of str
        Warnings and what was taken for granted, in plain sentences.
    """

    ledger: PotLedger
    now: PotContents | None
    glass: Glass | None
    properties: GlassProperties | None
    level: float | None
    density: float
    time: FloatArray
    mass: FloatArray
    mass_error: FloatArray
    levels: FloatArray | None
    annealing: FloatArray
    annealing_low: FloatArray
    annealing_high: FloatArray
    expansion: FloatArray
    expansion_low: FloatArray
    expansion_high: FloatArray
    oxides: dict[str, FloatArray]
    drift: tuple[Drift, ...]
    unknown: tuple[UnknownMaterial, ...]
    remarks: tuple[str, ...]

    @property
    def full(self) -> float | None:
        """Share of the pot's capacity that is filled; ``None`` when either is not known."""
        capacity = self.ledger.capacity
        return None if capacity is None or self.now is None else self.now.mass / capacity

    def mass_at(self, moment: datetime) -> float | None:
        """Glass in the pot [kg] just after a moment; ``None`` where the ledger does not reach."""
        at = moment.timestamp()
        if not len(self.time) or not self.time[0] <= at <= self.time[-1] + 1.0:
            return None
        return float(self.mass[np.searchsorted(self.time, at, side="right") - 1])


def pot_story(
    ledger: PotLedger,
    now: datetime,
    *,
    mixing: Mixing = Mixing.EITHER,
    volatilisation: Volatilisation | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> PotStory:
    """Play a pot's ledger up to now.

    Parameters
    ----------
    now : datetime
        Aware; entries after it are left out.
    volatilisation : Volatilisation, optional
        By default the usual rates.
    cancelled : callable, optional
        True stops the work.

    Raises
    ------
    StoppedError
        If it was cancelled.
    """
    events = tuple(event for event in ledger.events() if event.time <= now)
    unknown = ledger.unknown()
    remarks = _taken_for_granted(ledger)
    if not events:
        return _empty(ledger, unknown, ())
    surface = ledger.surface
    times = _moments([event.time for event in events], now.astimezone(ledger.zone))
    history = contents_through(
        events,
        times,
        mixing=mixing,
        capacity=ledger.capacity,
        surface=surface or 0.0,
        temperatures=ledger.readings,
        volatilisation=Volatilisation() if volatilisation is None else volatilisation,
        ends=False,
    )
    if cancelled is not None and cancelled():
        raise StoppedError("The pot's ledger was not played to its end.")
    return _with_properties(ledger, history, unknown, remarks)


def glass_at(ledger: PotLedger, moment: datetime, name: str | None = None) -> Glass:
    """The glass that pieces gathered at a moment are made of.

    Parameters
    ----------
    moment : datetime
        Aware.
    name : str, optional
        Of the glass; by default the pot's.

    Raises
    ------
    FurnaceError
        If the pot is empty then, or its ledger begins later.
    """
    told = ledger.events()
    events = tuple(event for event in told if event.time <= moment) or told
    contents = contents_through(
        events,
        [moment],
        capacity=ledger.capacity,
        surface=ledger.surface or 0.0,
        temperatures=ledger.readings,
        volatilisation=Volatilisation(),
    )[-1]
    return pot_glass(ledger, contents, name)


def _moments(events: list[datetime], now: datetime) -> list[datetime]:
    """Moments to reckon: just before and at every entry, and evenly between; rising, to now."""
    first = events[0]
    span = (now - first).total_seconds()
    even = [first + timedelta(seconds=span * i / _POINTS) for i in range(_POINTS)]
    thin = events if len(events) <= _MOST_EVENTS else events[-_MOST_EVENTS:]
    before = [max(first, event - timedelta(seconds=1)) for event in thin]
    return sorted({*even, *thin, *before, now})


def _with_properties(
    ledger: PotLedger,
    history: tuple[PotContents, ...],
    unknown: tuple[UnknownMaterial, ...],
    remarks: list[str],
) -> PotStory:
    n = len(history)
    known = [i for i, moment in enumerate(history) if moment.composition is not None]
    made = properties_of_many([moment.composition for moment in history if moment.composition])
    curves = {}
    for key in ("annealing_point", "expansion", "density"):
        for end in ("value", "low", "high"):
            whole = np.full(n, np.nan)
            whole[known] = np.where(made.physical, getattr(made.values[key], end), np.nan)
            curves[key, end] = whole
    time = np.array([moment.time.timestamp() for moment in history])
    mass = np.array([moment.mass for moment in history])
    density = np.where(
        np.isfinite(curves["density", "value"]),
        curves["density", "value"] * MELT_TO_ROOM_DENSITY,
        USUAL_DENSITY,
    )
    vessel = ledger.vessel
    levels = None
    if vessel is not None:
        pairs = zip(density, mass, strict=True)
        levels = np.array([level_of(vessel, float(d), float(m)) for d, m in pairs])
    last = history[-1]
    glass = None if last.composition is None else pot_glass(ledger, last)
    properties = None if glass is None else properties_of(glass)
    if properties is not None and not glass_is_bare(glass):
        _lean_on(curves, "annealing_point", properties.annealing_point)
        _lean_on(curves, "expansion", properties.expansion)
    annealing, expansion = curves["annealing_point", "value"], curves["expansion", "value"]
    return PotStory(
        ledger=ledger,
        now=last,
        glass=glass,
        properties=properties,
        level=None if levels is None else float(levels[-1]),
        density=float(density[-1]),
        time=time,
        mass=mass,
        mass_error=np.array([moment.mass_error for moment in history]),
        levels=levels,
        annealing=annealing,
        annealing_low=curves["annealing_point", "low"],
        annealing_high=curves["annealing_point", "high"],
        expansion=expansion,
        expansion_low=curves["expansion", "low"],
        expansion_high=curves["expansion", "high"],
        oxides=_changed_oxides(history),
        drift=drift_of(
            ledger.zone, time, curves["annealing_point", "value"], curves["expansion", "value"]
        ),
        unknown=unknown,
        remarks=(*last.warnings, *remarks),
    )


def pot_glass(ledger: PotLedger, contents: PotContents, name: str | None = None) -> Glass:
    """The pot's glass at a moment, with what was measured on the glass it is mostly made of.

    Raises
    ------
    FurnaceError
        If the pot is empty.
    """
    glass = contents.glass(name or ledger.pot.name)
    if glass.composition is None:
        return glass
    reference = reference_glass(ledger, glass.composition)
    if reference is None:
        return glass
    return replace(glass, measured=carried_over(reference, glass.composition))


def glass_is_bare(glass: Glass | None) -> bool:
    """True without measured points."""
    return glass is None or glass.measured.is_empty


def _lean_on(curves: dict[tuple[str, str], FloatArray], key: str, now: Estimate) -> None:
    """Move a reckoned curve and its interval so that it ends at what is measured now."""
    value = curves[key, "value"]
    if now.low is None or now.high is None or not np.isfinite(value[-1]):
        return
    change = value - value[-1]
    moved = now.value + change
    doubt = HALF_WIDTH * MOVE_ERROR * np.abs(change)
    curves[key, "low"] = moved - np.hypot(now.value - now.low, doubt)
    curves[key, "high"] = moved + np.hypot(now.high - now.value, doubt)
    curves[key, "value"] = moved


def _changed_oxides(history: tuple[PotContents, ...]) -> dict[str, FloatArray]:
    names: dict[str, None] = {}
    for moment in history:
        if moment.composition is not None:
            names |= dict.fromkeys(moment.composition.weight_percent)
    rows = {
        name: np.array([m.composition.weight(name) if m.composition else np.nan for m in history])
        for name in names
    }
    spans = {name: float(np.nanmax(row) - np.nanmin(row)) for name, row in rows.items()}
    shown = [name for name in rows if spans[name] >= _NOTEWORTHY_OXIDE]
    shown.sort(key=lambda name: -spans[name])
    return {name: rows[name] for name in shown}


def _taken_for_granted(ledger: PotLedger) -> list[str]:
    remarks = []
    if ledger.surface is None:
        remarks.append(
            "What volatilises is left out: neither what the pot holds nor its shape is known."
        )
    elif not ledger.readings:
        remarks.append("What volatilises is left out: no furnace temperature was written down.")
    return remarks


def _empty(
    ledger: PotLedger, unknown: tuple[UnknownMaterial, ...], remarks: tuple[str, ...]
) -> PotStory:
    none = np.zeros(0)
    return PotStory(
        ledger=ledger,
        now=None,
        glass=None,
        properties=None,
        level=None,
        density=USUAL_DENSITY,
        time=none,
        mass=none,
        mass_error=none,
        levels=None,
        annealing=none,
        annealing_low=none,
        annealing_high=none,
        expansion=none,
        expansion_low=none,
        expansion_high=none,
        oxides={},
        drift=(),
        unknown=unknown,
        remarks=remarks,
    )
