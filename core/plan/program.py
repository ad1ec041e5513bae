"""The plan as it is keyed into the controller, in either way of entry."""

from __future__ import annotations

from dataclasses import dataclass

from core.equipment.lehr import Controller, Entry
from core.plan.plan import Plan, SegmentKind
from core.plan.rounding import whole_minutes_up
from core.units import SECONDS_PER_MINUTE, kelvin_to, rate_to


@dataclass(frozen=True)
class RateLine:
    """Rate + target + hold: one line a segment.

    Attributes
    ----------
    number : int
        From 1.
    rate : float
        Controller degrees per hour, always positive; direction follows from the target.
    target : int
        Controller degrees.
    hold : int
        Minutes.
    """

    number: int
    rate: float
    target: int
    hold: int


@dataclass(frozen=True)
class TimeLine:
    """Target + time: ramps and holds are lines of their own.

    Attributes
    ----------
    number : int
        From 1.
    target : int
        Controller degrees.
    minutes : int
        Time to reach (or stay at) the target.
    """

    number: int
    target: int
    minutes: int


def rate_lines(plan: Plan, controller: Controller) -> tuple[RateLine, ...]:
    """The program for a controller that takes rate, target and hold."""
    lines: list[RateLine] = []
    for segment in plan.segments:
        if segment.kind is SegmentKind.COAST or segment.duration == 0.0:
            continue
        rate = abs(rate_to(segment.rate, controller.unit))
        lines.append(
            RateLine(
                number=len(lines) + 1,
                rate=round(rate, 2),
                target=round(kelvin_to(segment.target, controller.unit)),
                hold=round(segment.hold_time / SECONDS_PER_MINUTE),
            )
        )
    return tuple(lines)


def time_lines(plan: Plan, controller: Controller) -> tuple[TimeLine, ...]:
    """The program for a controller that takes target and time."""
    lines: list[TimeLine] = []
    for segment in plan.segments:
        if segment.kind is SegmentKind.COAST:
            continue
        target = round(kelvin_to(segment.target, controller.unit))
        for seconds in (segment.ramp_time, segment.hold_time):
            minutes = round(whole_minutes_up(seconds) / SECONDS_PER_MINUTE)
            if minutes > 0:
                lines.append(TimeLine(len(lines) + 1, target, minutes))
    return tuple(lines)


def program_in_words(plan: Plan, controller: Controller) -> tuple[str, ...]:
    """The program's lines as they are keyed in, e.g. ``"1  520 °C in 1:35"``."""
    symbol = controller.unit.symbol
    if controller.entry is Entry.TIME:
        return tuple(
            f"{line.number}  {line.target} {symbol} in {line.minutes // 60}:{line.minutes % 60:02d}"
            for line in time_lines(plan, controller)
        )
    return tuple(
        f"{line.number}  {line.rate:g} {symbol}/h to {line.target} {symbol}"
        + (f", hold {line.hold // 60}:{line.hold % 60:02d}" if line.hold else "")
        for line in rate_lines(plan, controller)
    )
