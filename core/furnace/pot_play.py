"""A pot's ledger played through for many pots at once, each off by what the errors allow."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from core.composition.composition import Composition
from core.furnace.ledger import FurnaceReading
from core.furnace.pot_events import Charged, LevelSeen, NewPot, PotEvent, Removal, Taken
from core.furnace.volatilisation import Volatilisation

FloatArray = NDArray[np.float64]

POTS = 200
"""Pots played at once: the scatter is known to some 5 %."""
NOTHING = 1e-6
"""[kg] Less is nothing."""
_SEED = 20_261_125
_MOST_LAYERS = 40
"""The two lowest flow together beyond it: nobody could tell them apart."""
_TOP_SHARE = 0.1
"""Share of the pot that is next gathered from, where it lies in layers."""


class PotPlay:
    """All pots at once.

    Attributes
    ----------
    oxides : tuple of str
    mixed : ndarray, shape (pots, oxides)
        Oxide masses of the pots well mixed [kg].
    layers : ndarray, shape (layers, pots, oxides)
        Of the pots in layers, bottom first.
    lost : ndarray, shape (pots,)
        Volatilised [kg].
    warnings : list of str
    """

    def __init__(
        self,
        events: Sequence[PotEvent],
        capacity: float | None,
        surface: float,
        temperatures: Sequence[FurnaceReading],
        volatilisation: Volatilisation,
    ) -> None:
        names: dict[str, None] = {}
        for event in events:
            if isinstance(event, Charged):
                names |= dict.fromkeys([*event.glass.weight_percent, *event.glass.uncertainty])
        self.oxides = tuple(names)
        self._random = np.random.default_rng(_SEED)
        self._capacity, self._surface = capacity, surface
        readings = sorted(temperatures, key=lambda reading: reading.time)
        self._moments = np.array([reading.time.timestamp() for reading in readings])
        self._kelvin = np.array([reading.temperature for reading in readings])
        self._law = volatilisation
        self._rates = np.array([volatilisation.rates.get(oxide, 0.0) for oxide in self.oxides])
        spread = math.log(volatilisation.factor) * self._random.standard_normal((POTS, 1))
        self._luck = np.exp(spread - spread.mean())
        self._analyses: dict[Composition, FloatArray] = {}
        self._empty()
        self.now = events[0].time
        self.warnings: list[str] = []

    def _empty(self) -> None:
        self.mixed = np.zeros((POTS, len(self.oxides)))
        self.layers = np.zeros((0, POTS, len(self.oxides)))
        self.lost = np.zeros(POTS)

    def _scattered(self, mass: float, error: float) -> FloatArray:
        """A mass [kg] as each pot has it, shape (POTS,)."""
        return np.maximum(0.0, mass + error * self._noise(1)[:, 0])

    def _noise(self, columns: int) -> FloatArray:
        """Normal deviates of mean 0 and variance 1 in every column, so that means stay true."""
        noise = self._random.standard_normal((POTS, columns))
        noise -= noise.mean(axis=0)
        return np.asarray(noise / noise.std(axis=0))

    def _fractions(self, glass: Composition) -> FloatArray:
        """Mass fractions of a glass as each pot has them, the same every time it is charged."""
        known = self._analyses.get(glass)
        if known is not None:
            return known
        mean = np.array([glass.weight(oxide) for oxide in self.oxides])
        error = np.array([glass.uncertainty.get(oxide, 0.0) for oxide in self.oxides])
        rows = np.maximum(0.0, mean + error * self._noise(len(self.oxides)))
        rows /= rows.sum(axis=1, keepdims=True)
        self._analyses[glass] = rows
        return rows

    def happen(self, event: PotEvent) -> None:
        """One event."""
        if isinstance(event, NewPot):
            self._empty()
        elif isinstance(event, Charged):
            added = self._scattered(event.mass, event.error)[:, None] * self._fractions(event.glass)
            self.mixed = self.mixed + added
            self.layers = np.concatenate([self.layers, added[None]])
            if len(self.layers) > _MOST_LAYERS:
                lowest = self.layers[0] + self.layers[1]
                self.layers = np.concatenate([lowest[None], self.layers[2:]])
            self._warn_of_overfilling(event.time)
        elif isinstance(event, Taken):
            self._take(event.time, event.mass, event.error, event.how)
        else:
            self._see(event)

    def _warn_of_overfilling(self, time: datetime) -> None:
        mass = float(self.mixed.sum(axis=1).mean())
        if self._capacity is not None and mass > 1.02 * self._capacity:
            self.warnings.append(
                f"On {time:%Y-%m-%d %H:%M} the ledger has {mass:.1f} kg in a pot of "
                f"{self._capacity:.4g} kg: glass taken out is missing from it, or the pot ran over."
            )

    def _take(self, time: datetime, mass: float, error: float, how: Removal) -> None:
        held = float(self.mixed.sum(axis=1).mean())
        if mass > 1.02 * held + NOTHING:
            self.warnings.append(
                f"On {time:%Y-%m-%d %H:%M} {mass:.4g} kg were taken, but the ledger has only "
                f"{held:.1f} kg: a charge is missing or this is too much."
            )
        self._remove(self._scattered(mass, error), from_top=how is not Removal.DRAINED)

    def _see(self, event: LevelSeen) -> None:
        total = self.mixed.sum(axis=1)
        seen = self._scattered(event.mass, event.error)
        held = float(total.mean())
        doubt = math.hypot(float(total.std()), event.error)
        if event.mass > held + 3.0 * doubt + NOTHING:
            self.warnings.append(
                f"On {event.time:%Y-%m-%d %H:%M} the level shows {event.mass:.1f} kg, the ledger "
                f"{held:.1f} kg: a charge is missing or the level was misread."
            )
        self._remove(np.maximum(0.0, total - seen), from_top=True)
        # Where a pot has less than was seen its amounts were too small: all grow alike.
        total = self.mixed.sum(axis=1)
        grow = np.where(total > NOTHING, np.maximum(1.0, seen / np.maximum(total, NOTHING)), 1.0)
        self.mixed = self.mixed * grow[:, None]
        self.layers = self.layers * grow[None, :, None]

    def _remove(self, mass: FloatArray, *, from_top: bool) -> None:
        total = self.mixed.sum(axis=1)
        share = np.where(total > NOTHING, np.minimum(1.0, mass / np.maximum(total, NOTHING)), 0.0)
        self.mixed = self.mixed * (1.0 - share)[:, None]
        layers = self.layers[::-1] if from_top else self.layers
        masses = layers.sum(axis=2)
        before = np.cumsum(masses, axis=0) - masses
        gone = np.clip((mass - before) / np.maximum(masses, NOTHING), 0.0, 1.0)
        left = layers * (1.0 - gone)[:, :, None]
        left = left[::-1] if from_top else left
        self.layers = left[left.sum(axis=2).max(axis=1) > NOTHING] if len(left) else left

    def pass_until(self, time: datetime) -> None:
        """Let time pass: what volatilises leaves the whole pot, or the top of its layers."""
        strength = self._exposure(time)
        self.now = time
        if strength <= 0.0 or not self._rates.any():
            return
        total = self.mixed.sum(axis=1, keepdims=True)
        fraction = np.where(total > NOTHING, self.mixed / np.maximum(total, NOTHING), 0.0)
        loss = np.minimum(0.5 * self.mixed, strength * self._rates * fraction * self._luck)
        self.mixed = self.mixed - loss
        self.lost = self.lost + loss.sum(axis=1)
        if len(self.layers):
            top = self.layers[-1]
            mass = top.sum(axis=1, keepdims=True)
            fraction = np.where(mass > NOTHING, top / np.maximum(mass, NOTHING), 0.0)
            loss = np.minimum(0.5 * top, strength * self._rates * fraction * self._luck)
            self.layers = np.concatenate([self.layers[:-1], (top - loss)[None]])

    def _exposure(self, until: datetime) -> float:
        """Surface times time, weighted by the rate at each temperature [m2 s]."""
        span = (until - self.now).total_seconds()
        if span <= 0.0 or not len(self._moments) or self._surface <= 0.0:
            return 0.0
        count = max(2, min(500, round(span / 1800.0) + 1))
        grid = np.linspace(self.now.timestamp(), until.timestamp(), count)
        rates = [
            self._law.relative_rate(float(t)) for t in np.interp(grid, self._moments, self._kelvin)
        ]
        return self._surface * span * float(np.trapezoid(rates, dx=1.0 / (count - 1)))

    def end(self, *, from_top: bool) -> FloatArray:
        """Oxides of the uppermost or lowest tenth of the layers [kg], shape (pots, oxides)."""
        layers = self.layers[::-1] if from_top else self.layers
        masses = layers.sum(axis=2)
        before = np.cumsum(masses, axis=0) - masses
        wanted = _TOP_SHARE * masses.sum(axis=0)
        share = np.clip((wanted - before) / np.maximum(masses, NOTHING), 0.0, 1.0)
        return np.asarray((layers * share[:, :, None]).sum(axis=0))

    def composition(self, oxides: FloatArray) -> Composition:
        """Mean and scatter of oxide masses, shape (n, oxides), as a composition with errors."""
        rows = 100.0 * normalised(oxides[oxides.sum(axis=1) > NOTHING * _TOP_SHARE])
        mean, error = rows.mean(axis=0), rows.std(axis=0)
        mean *= 100.0 / mean.sum()
        return Composition(
            {o: float(w) for o, w in zip(self.oxides, mean, strict=True) if w > 1e-9},
            uncertainty={o: float(e) for o, e in zip(self.oxides, error, strict=True) if e > 1e-6},
        )


def normalised(rows: FloatArray) -> FloatArray:
    """Rows that add up to 1."""
    return np.asarray(rows / np.maximum(rows.sum(axis=1, keepdims=True), 1e-300))
