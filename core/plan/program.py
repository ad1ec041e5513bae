"""The plan as it is keyed into the controller, in either way of entry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from core.equipment.lehr import Controller, Entry
from core.plan.plan import Plan, Segment, SegmentKind
from core.plan.rounding import parts_of, whole_minutes_up
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
    return rate_lines_of(plan.segments, controller)


def rate_lines_of(segments: Iterable[Segment], controller: Controller) -> tuple[RateLine, ...]:
    """The lines of some segments; what lasts longer than one may takes several.

    A hold right after a ramp to the same target goes into the ramp's line.
    """
    lines: list[RateLine] = []
    for segment in segments:
        if segment.kind is SegmentKind.COAST or segment.duration == 0.0:
            continue
        rate = round(abs(rate_to(segment.rate, controller.unit)), 2)
        target = round(kelvin_to(segment.target, controller.unit))
        if segment.ramp_time > 0.0:
            for end, _ in _ramp_parts(segment, controller):
                lines.append(RateLine(len(lines) + 1, rate, end, 0))
        minutes = round(segment.hold_time / SECONDS_PER_MINUTE)
        for part in _hold_parts(minutes, controller):
            last = lines[-1] if lines else None
            if last is not None and last.target == target and last.hold == 0:
                lines[-1] = replace(last, hold=part)
            else:
                rate = rate or (last.rate if last is not None else _ANY_RATE)
                lines.append(RateLine(len(lines) + 1, rate, target, part))
    return tuple(lines)


_ANY_RATE = 100.0
"""Degrees per hour keyed in for a hold that begins at its own temperature."""


def time_lines(plan: Plan, controller: Controller) -> tuple[TimeLine, ...]:
    """The program for a controller that takes target and time."""
    return time_lines_of(plan.segments, controller)


def time_lines_of(segments: Iterable[Segment], controller: Controller) -> tuple[TimeLine, ...]:
    """The lines of some segments; what lasts longer than one may takes several."""
    lines: list[TimeLine] = []
    for segment in segments:
        if segment.kind is SegmentKind.COAST:
            continue
        target = round(kelvin_to(segment.target, controller.unit))
        if segment.ramp_time > 0.0:
            for end, minutes in _ramp_parts(segment, controller):
                lines.append(TimeLine(len(lines) + 1, end, minutes))
        hold = round(whole_minutes_up(segment.hold_time) / SECONDS_PER_MINUTE)
        for part in _hold_parts(hold, controller):
            lines.append(TimeLine(len(lines) + 1, target, part))
    return tuple(lines)


def lines_taken(segments: Iterable[Segment], controller: Controller) -> int:
    """How many of the controller's segments these take."""
    if controller.entry is Entry.TIME:
        return len(time_lines_of(segments, controller))
    return len(rate_lines_of(segments, controller))


def _ramp_parts(segment: Segment, controller: Controller) -> Iterator[tuple[int, int]]:
    """Targets in whole degrees, and minutes to each, of a ramp's lines."""
    start = kelvin_to(segment.start_temperature, controller.unit)
    target = round(kelvin_to(segment.target, controller.unit))
    total = round(whole_minutes_up(segment.ramp_time) / SECONDS_PER_MINUTE)
    parts = parts_of(segment.ramp_time, controller)
    before = 0
    for number in range(1, parts + 1):
        end = target if number == parts else round(start + (target - start) * number / parts)
        done = total if number == parts else round(total * (end - start) / (target - start))
        yield end, done - before
        before = done


def _hold_parts(minutes: int, controller: Controller) -> Iterator[int]:
    """Minutes of each line of a hold."""
    if minutes <= 0:
        return
    parts = parts_of(minutes * SECONDS_PER_MINUTE, controller)
    for number in range(parts):
        yield minutes * (number + 1) // parts - minutes * number // parts


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
