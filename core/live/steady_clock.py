"""A clock that notices when the computer slept or its own clock was set, and never goes back."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from core.live.events import EventKind, LiveEvent
from core.units import format_duration

_STEP = 2.0
"""A clock that is put right by less is no news [s]."""
_NAP = 10.0
"""Nor is a sleep that is shorter [s]."""
_HELD_UP = 60.0
"""Nor a pause of the program that is shorter than this beyond what was to be expected [s]."""

Seconds = Callable[[], float]


def _with_sleep() -> Seconds | None:
    """Clock that runs on while the computer sleeps, where the system has one beside the other."""
    if hasattr(time, "CLOCK_BOOTTIME"):
        return lambda: time.clock_gettime(time.CLOCK_BOOTTIME)
    return None


class SteadyClock:
    """Stamps readings; fulfils :class:`core.live.events.Clock`.

    Small corrections and a clock set forward are followed. A clock set *back* is not: readings
    would stand twice at the same hour. The time then goes on as it was until recording ends.

    Where the system has no clock that counts sleep, a sleep and a clock set forward look alike
    and are told as one.

    Parameters
    ----------
    wall, running, with_sleep : callable, optional
        Seconds of the wall clock, of a clock that is never set, and of one that counts sleep too;
        for tests.
    """

    def __init__(
        self,
        wall: Seconds = time.time,
        running: Seconds = time.monotonic,
        with_sleep: Seconds | None = _with_sleep(),  # noqa: B008 -- the system does not change
    ) -> None:
        self._wall, self._running, self._with_sleep = wall, running, with_sleep
        self._ahead = 0.0
        self._told: list[LiveEvent] = []
        self._last = self._look()
        self._given = self._last[0]

    def _look(self) -> tuple[float, float, float | None]:
        slept = None if self._with_sleep is None else self._with_sleep()
        return self._wall(), self._running(), slept

    def now(self) -> datetime:
        """The present, UTC; never earlier than it was."""
        self._notice(None)
        return self._stamp()

    def check(self, expected: float) -> tuple[LiveEvent, ...]:
        """What has happened to the clock since the last look.

        Parameters
        ----------
        expected : float
            Seconds that were to pass since then.
        """
        self._notice(expected)
        told, self._told = tuple(self._told), []
        return told

    def _stamp(self) -> datetime:
        self._given = max(self._given, self._last[0] + self._ahead)
        return datetime.fromtimestamp(self._given, UTC)

    def _notice(self, expected: float | None) -> None:
        wall, running, slept = self._look()
        by_wall, by_running = wall - self._last[0], running - self._last[1]
        known = slept is not None and self._last[2] is not None
        really = slept - self._last[2] if known else by_running  # type: ignore[operator]
        before = self._last[0] + self._ahead
        self._last = (wall, running, slept)
        asleep, jump = really - by_running, by_wall - really
        if jump < -_STEP:
            self._ahead -= jump
            self._tell(
                EventKind.CLOCK_BACK,
                f"The computer's clock was set back by {_span(-jump)}. The recording goes on by "
                "its time before, so that no hour comes twice.",
                "If the new time is the right one, end this recording and begin another.",
            )
        elif jump > _STEP and self._ahead > 0.0:
            caught_up = min(self._ahead, jump)
            self._ahead -= caught_up
            self._tell(EventKind.CLOCK_FORWARD, f"The clock was set forward by {_span(jump)}.")
        elif jump > _STEP and known:
            self._tell(
                EventKind.CLOCK_FORWARD,
                f"The computer's clock was set forward by {_span(jump)}; readings from here on "
                "have the new time.",
                "The curve has a gap there that is none of the lehr's.",
                before,
            )
        elif jump > _STEP:
            asleep = max(asleep, jump)
            if asleep <= _NAP:
                return
            self._tell(
                EventKind.ASLEEP,
                f"The computer slept, or its clock was set forward, by {_span(jump)}.",
                _STAY_AWAKE,
                before,
            )
            return
        if asleep > _NAP:
            self._tell(
                EventKind.ASLEEP, f"The computer slept for {_span(asleep)}.", _STAY_AWAKE, before
            )
        elif expected is not None and by_running > expected + _HELD_UP:
            self._tell(
                EventKind.HELD_UP,
                f"For {_span(by_running)} the program did not run: the computer slept or was too "
                "busy.",
                _STAY_AWAKE,
                before,
            )

    def _tell(
        self, kind: EventKind, sentence: str, remedy: str = "", since: float | None = None
    ) -> None:
        self._told.append(
            LiveEvent(
                self._stamp(),
                kind,
                sentence,
                remedy,
                None if since is None else datetime.fromtimestamp(since, UTC),
            )
        )


_STAY_AWAKE = "Nothing was read meanwhile. Tell the computer not to sleep while a run goes on."


def _span(seconds: float) -> str:
    if seconds < 90.0:
        return f"{seconds:.0f} s"
    if seconds < 48 * 3600.0:
        return f"{format_duration(seconds)} (h:mm)"
    return f"{timedelta(seconds=seconds).days} days"
