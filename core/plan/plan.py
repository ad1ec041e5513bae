"""A plan: segments a controller can take, with clock times, reasons and the curve they draw.

Temperatures of a plan are *controller readings* (true temperature + thermocouple offset): what is
typed into the controller and what its logger records.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.plan.stress_check import Replay

FloatArray = NDArray[np.float64]


class SegmentKind(StrEnum):
    """What a segment is for."""

    HEAT = "heat"
    """Cullet brought up: to the squeeze, and on until it melts in."""
    SQUEEZE = "squeeze"
    """Held where lumps settle and the air between them gets out."""
    PROCESS = "process hold"
    """Held until the cullet is one mass."""
    CRASH = "crash cool"
    """Down to the soak as fast as the lehr goes by itself."""
    SOAK = "soak"
    """Bring everything to the soak temperature and hold it there."""
    SLOW_COOL = "slow cool"
    """Slow cooling through the transformation range."""
    COOL = "cool"
    """Faster cooling below the strain point."""
    COAST = "coast"
    """Power off: the lehr cools by its own losses."""


COOLING = frozenset({SegmentKind.SLOW_COOL, SegmentKind.COOL, SegmentKind.COAST})
"""Kinds of segments after the soak."""


@dataclass(frozen=True)
class Segment:
    """One line of the controller's program: ramp to ``target`` at ``rate``, then hold.

    Attributes
    ----------
    kind : SegmentKind
    start_temperature, target : float
        Controller readings [K].
    rate : float
        [K/s], positive up, negative down; for ``COAST`` the mean rate.
    ramp_time : float
        Seconds the ramp takes (longer than change/rate where the lehr cannot follow).
    hold_time : float
        Seconds at the target.
    start, end : datetime
        Clock times, UTC.
    governing_piece : str
        Name of the piece that sets this segment ("" when the lehr does).
    reason : str
        Why, in one plain sentence.
    curve_time, curve_temperature : tuple of float
        Points of the expected controller reading: seconds from the segment's start and [K];
        straight lines between them.
    limit : str
        Which limit sets it, in the words of :class:`core.plan.stress_check.Limit` ("" when none).
    """

    kind: SegmentKind
    start_temperature: float
    target: float
    rate: float
    ramp_time: float
    hold_time: float
    start: datetime
    end: datetime
    governing_piece: str
    reason: str
    curve_time: tuple[float, ...]
    curve_temperature: tuple[float, ...]
    limit: str = ""

    @property
    def duration(self) -> float:
        """Ramp and hold together [s]."""
        return self.ramp_time + self.hold_time


@dataclass(frozen=True)
class Zone:
    """Annealing and strain point of one glass in the load, as controller readings [K]."""

    glass: str
    annealing_point: float
    strain_point: float


@dataclass(frozen=True)
class Plan:
    """The curve for one night; temperatures are controller readings [K], times UTC.

    Attributes
    ----------
    load_name, lehr_name : str
    segments : tuple of Segment
    soak_temperature : float
        Controller reading [K].
    soak_time : float
        Seconds held at soak.
    transformation_top, transformation_bottom : float
        Controller readings [K] between which the slow rate must hold: highest annealing and
        lowest strain point of the load.
    slow_rate : float
        Slowest planned cooling rate while glass freezes [K/s], positive.
    governing_piece : str
        The piece that sets the slow cooling; where the lehr itself does, the piece that would be
        next.
    governing_reason : str
    start, ready_at : datetime
        Button time, and when the thickest piece is hand-warm.
    out_by : datetime or None
    warnings : tuple of str
    zones : tuple of Zone
    program_version : str
    made_with : tuple of (str, str)
        Name and version of the program and of each model behind the numbers.
    assumptions : tuple of str
        What the curve takes for granted, in sentences, so that it can be read years later.
    replay : Replay or None
        What the stress engine says of the finished curve; ``None`` for plans made before there was
        one, of which nothing is known.
    """

    load_name: str
    lehr_name: str
    segments: tuple[Segment, ...]
    soak_temperature: float
    soak_time: float
    transformation_top: float
    transformation_bottom: float
    slow_rate: float
    governing_piece: str
    governing_reason: str
    start: datetime
    ready_at: datetime
    out_by: datetime | None
    warnings: tuple[str, ...]
    zones: tuple[Zone, ...]
    program_version: str
    replay: Replay | None = None
    made_with: tuple[tuple[str, str], ...] = ()
    assumptions: tuple[str, ...] = ()

    @property
    def safe(self) -> bool:
        """True when the finished curve was replayed and every piece stays within its limits."""
        return self.replay is not None and self.replay.safe

    @property
    def soak(self) -> Segment:
        """The soak's segment."""
        return next(s for s in self.segments if s.kind is SegmentKind.SOAK)

    @property
    def first_cooling(self) -> Segment | None:
        """The first segment after the soak; ``None`` where the night is over by then."""
        return next((s for s in self.segments if s.kind in COOLING), None)

    @property
    def feasible(self) -> bool:
        """True when the pieces are ready by the hour they must be out (or none was given)."""
        return self.out_by is None or self.ready_at <= self.out_by

    @property
    def lateness(self) -> timedelta:
        """How long after ``out_by`` the pieces are ready; negative when early, 0 without hour."""
        return self.ready_at - self.out_by if self.out_by is not None else timedelta(0)

    def curve(self) -> tuple[FloatArray, FloatArray]:
        """Corner points of the expected curve.

        Returns
        -------
        time : ndarray, shape (n,)
            UTC epoch seconds, never decreasing.
        temperature : ndarray, shape (n,)
            Controller readings [K].
        """
        times: list[float] = []
        temperatures: list[float] = []
        for segment in self.segments:
            origin = segment.start.timestamp()
            times.extend(origin + t for t in segment.curve_time)
            temperatures.extend(segment.curve_temperature)
        return np.asarray(times), np.asarray(temperatures)

    def temperature_at(self, time: ArrayLike) -> FloatArray:
        """Expected controller reading [K] at UTC epoch seconds; NaN before start and after end.

        Parameters
        ----------
        time : array_like, shape (n,)
        """
        curve_time, curve_temperature = self.curve()
        return np.asarray(
            np.interp(
                np.asarray(time, dtype=np.float64),
                curve_time,
                curve_temperature,
                left=np.nan,
                right=np.nan,
            )
        )
