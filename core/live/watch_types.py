"""What the watch is set to, and what it says."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, time
from enum import StrEnum

from core.errors import LoadError, RunError
from core.load.local_time import zone_named


class AlarmKind(StrEnum):
    """What is wrong."""

    TOO_HOT = "too hot"
    TOO_COLD = "too cold"
    TOO_FAST = "cooling too fast"
    FLAT = "reading stands still"
    BROKEN = "thermocouple"
    STALE = "no new reading"


@dataclass(frozen=True)
class QuietHours:
    """Hours in which no alarm sounds, though all are listed.

    Attributes
    ----------
    begin, end : time
        On the wall clock; over midnight when ``end`` is the earlier.
    timezone : str
        IANA name, ``""`` for the machine's own.
    """

    begin: time
    end: time
    timezone: str = ""

    def __post_init__(self) -> None:
        if self.begin == self.end:
            raise RunError(
                "The quiet hours begin and end at the same time.",
                field="quiet",
                remedy="Choose two times, or no quiet hours.",
            )
        try:
            zone_named(self.timezone)
        except LoadError as error:
            raise RunError(error.message, field="quiet", remedy=error.remedy) from error

    def cover(self, moment: datetime) -> bool:
        """Tell whether an aware time lies within them."""
        local = moment.astimezone(zone_named(self.timezone)).time()
        if self.begin < self.end:
            return self.begin <= local < self.end
        return local >= self.begin or local < self.end


@dataclass(frozen=True)
class WatchSettings:
    """Limits of the watch; SI units. The defaults are common practice, no source.

    Attributes
    ----------
    too_hot, too_cold : float
        Half widths of the band about the plan [K].
    coast_band : float
        The same, both ways, while the power is off: that curve is an estimate [K].
    time_slack : float
        How early or late against the plan is no fault [s].
    hysteresis : float
        An alarm of the band clears only this far inside of it [K].
    rate_factor : float
        Cooling through the transformation range may be so many times as fast as planned there.
    rate_margin : float
        And so much faster on top [K/s].
    rate_window : float
        Stretch over which a rate is taken [s].
    flat_after : float
        The same figure for longer than this is suspicious [s], if the plan moves meanwhile by
    flat_move : float
        more than this [K], or the reading had moved all the time before.
    stale_after : float
        No new reading for longer than this [s], or three times their usual spacing.
    hold_before : float
        What is out of its limits for longer than this raises an alarm [s].
    clear_after : float
        What is back inside for longer than this clears it [s].
    quiet : QuietHours or None
    """

    too_hot: float = 10.0
    too_cold: float = 15.0
    coast_band: float = 40.0
    time_slack: float = 300.0
    hysteresis: float = 2.0
    rate_factor: float = 1.5
    rate_margin: float = 5.0 / 3600.0
    rate_window: float = 900.0
    flat_after: float = 1200.0
    flat_move: float = 5.0
    stale_after: float = 180.0
    hold_before: float = 120.0
    clear_after: float = 120.0
    quiet: QuietHours | None = None

    def __post_init__(self) -> None:
        ranges = {
            "too_hot": (1.0, 200.0),
            "too_cold": (1.0, 200.0),
            "coast_band": (1.0, 500.0),
            "time_slack": (0.0, 7200.0),
            "hysteresis": (0.0, 50.0),
            "rate_factor": (1.0, 10.0),
            "rate_margin": (0.0, 0.1),
            "rate_window": (120.0, 3600.0),
            "flat_after": (60.0, 7200.0),
            "flat_move": (0.5, 100.0),
            "stale_after": (10.0, 86400.0),
            "hold_before": (0.0, 3600.0),
            "clear_after": (0.0, 3600.0),
        }
        for field, (low, high) in ranges.items():
            value = getattr(self, field)
            if not low <= value <= high:
                raise RunError(
                    f"{value:g} is not possible for {field.replace('_', ' ')}.",
                    field=field,
                    remedy=f"Use {low:g} to {high:g}.",
                )
        if self.hysteresis >= min(self.too_hot, self.too_cold):
            raise RunError(
                "An alarm of the band could never clear: it would have to be nearer to the plan "
                "than the plan itself.",
                field="hysteresis",
                remedy="Choose less than the band.",
            )


@dataclass(frozen=True)
class Alarm:
    """One alarm, from when it was raised until it cleared; SI units, times aware.

    Attributes
    ----------
    kind : AlarmKind
    raised : datetime
    cleared : datetime or None
        ``None`` while it lasts.
    heard : datetime or None
        When somebody silenced it.
    worst : float
        Furthest yet: kelvin from the plan (too hot positive, too cold negative), cooling rate
        [K/s], seconds without change or without reading, or kelvin jumped.
    limit : float
        What was allowed, in the same unit.
    temperature : float
        Reading where it was worst [K]; NaN when there was none.
    planned : float
        By the plan then [K], or its cooling rate [K/s] for ``TOO_FAST``; NaN when it says nothing.
    note : str
        What the source said, as for a thermocouple it knows to be broken.
    known : bool
        True once figures were kept with it.
    """

    kind: AlarmKind
    raised: datetime
    cleared: datetime | None = None
    heard: datetime | None = None
    worst: float = 0.0
    limit: float = 0.0
    temperature: float = float("nan")
    planned: float = float("nan")
    note: str = ""
    known: bool = False

    @property
    def active(self) -> bool:
        """True while it lasts."""
        return self.cleared is None


@dataclass(frozen=True)
class Tracker:
    """Where one kind of alarm stands between two looks; times UTC epoch seconds."""

    bad_since: float | None = None
    good_since: float | None = None
    active: int | None = None
    """Index of its alarm in the list while one lasts."""


@dataclass(frozen=True)
class WatchState:
    """All alarms of a run so far, and what the next look needs.

    Attributes
    ----------
    alarms : tuple of Alarm
        In the order they were raised; those that cleared stay listed.
    now : datetime or None
        Of the last look.
    quiet : bool
        Quiet hours then.
    checked_until : float
        Time of the last reading looked at.
    trackers : tuple of Tracker
        One for each kind, in the order of :class:`AlarmKind`.
    """

    alarms: tuple[Alarm, ...] = ()
    now: datetime | None = None
    quiet: bool = False
    checked_until: float = float("-inf")
    trackers: tuple[Tracker, ...] = (Tracker(),) * len(AlarmKind)

    @property
    def active(self) -> tuple[Alarm, ...]:
        """Alarms that last, the latest first."""
        return tuple(alarm for alarm in reversed(self.alarms) if alarm.active)

    @property
    def sounding(self) -> bool:
        """True when an alarm lasts that nobody has heard, outside the quiet hours."""
        return not self.quiet and any(alarm.heard is None for alarm in self.active)


def silenced(state: WatchState, now: datetime) -> WatchState:
    """Note that somebody has heard every alarm that lasts; they stay listed until they clear."""
    at = now.astimezone(UTC)
    return replace(
        state,
        alarms=tuple(
            replace(alarm, heard=at) if alarm.active and alarm.heard is None else alarm
            for alarm in state.alarms
        ),
    )


@dataclass(frozen=True)
class AlarmNews:
    """Alarms raised, and those cleared, between two looks."""

    raised: tuple[Alarm, ...]
    cleared: tuple[Alarm, ...]


def alarm_news(before: WatchState | None, after: WatchState) -> AlarmNews:
    """What a look has changed; an alarm is known by its kind and when it was raised.

    An alarm both raised and cleared since the look before is in both.
    """
    earlier = {} if before is None else {(one.kind, one.raised): one for one in before.alarms}
    raised = tuple(one for one in after.alarms if (one.kind, one.raised) not in earlier)
    cleared = []
    for one in after.alarms:
        was = earlier.get((one.kind, one.raised))
        if not one.active and (was is None or was.active):
            cleared.append(one)
    return AlarmNews(raised, tuple(cleared))
