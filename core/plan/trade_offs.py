"""What a night would gain: without its governing piece, an hour longer, surer of its glass."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta

from core.errors import PlanError
from core.load.load import Load
from core.plan.best import Solved, margin_within, safest_within, solve
from core.plan.corners import ALL, Margins
from core.plan.search import Stopped
from core.units import UnitChoice

MOST_RAISED = 4.0
"""A limit is not offered to be raised more than so many times; common practice, no source."""

Progress = Callable[[float], None]


@dataclass(frozen=True)
class Without:
    """The night without one kind of piece.

    Attributes
    ----------
    piece : str
        Left out.
    saved : float
        How much sooner the rest is ready [s].
    next_piece : str
        What governs then.
    """

    piece: str
    saved: float
    next_piece: str


@dataclass(frozen=True)
class MarginCost:
    """What allowing for one uncertainty costs.

    Attributes
    ----------
    name : str
        ``"glass"``, ``"thermocouple"`` or ``"unevenness"``.
    kelvin : float
        How far either way it may lie [K], the largest of the load's glasses.
    seconds : float
        How much sooner the night would be over were it known.
    """

    name: str
    kelvin: float
    seconds: float


@dataclass(frozen=True)
class HourMore:
    """What one hour more would buy.

    Attributes
    ----------
    margin, with_hour : float
        Smallest limit over stress of the night as planned, and of the safest an hour longer.
    piece, limit : str
        Where the margin is smallest with the hour.
    """

    margin: float
    with_hour: float
    piece: str
    limit: str


@dataclass(frozen=True)
class Conflict:
    """A night that cannot be ready in time: which demands conflict, and the least that would do.

    Attributes
    ----------
    late : float
        How late the shortest safe night is [s]: pressing the button so much sooner would do.
    piece, limit : str
        Whose limit stands against the hour.
    allowed : float
        That limit [Pa].
    needed : float or None
        What it would have to be [Pa] (all limits raised alike); ``None`` where no limit up to
        ``MOST_RAISED`` times would do, as the lehr itself is too slow.
    """

    late: float
    piece: str
    limit: str
    allowed: float
    needed: float | None


@dataclass(frozen=True)
class TradeOffs:
    """What the night would gain; parts that make no sense for a load are ``None`` or empty."""

    without: Without | None
    hour_more: HourMore | None
    margins: tuple[MarginCost, ...]
    conflict: Conflict | None = None


def trade_offs(
    load: Load,
    units: UnitChoice | None = None,
    *,
    progress: Progress | None = None,
    cancelled: Stopped | None = None,
) -> TradeOffs:
    """Draw up the neighbouring nights of the shortest one (a few seconds).

    Raises
    ------
    PlanError
        If there is no plan for the load itself.
    StoppedError
        When cancelled.
    """
    units = units or UnitChoice()
    told = progress or (lambda _: None)
    base = solve(load, units, cancelled=cancelled)
    told(0.25)
    without = _without(load, units, base, cancelled)
    told(0.45)
    hour = _hour_more(base, cancelled)
    told(0.65)
    costs = _costs(load, units, base, cancelled)
    told(0.95)
    return TradeOffs(without, hour, costs, _conflict(base, cancelled))


def _seconds(solved: Solved) -> float:
    return (solved.plan.ready_at - solved.plan.start).total_seconds()


def _without(
    load: Load, units: UnitChoice, base: Solved, cancelled: Stopped | None
) -> Without | None:
    name = base.plan.governing_piece
    rest = tuple(piece for piece in load.pieces if piece.name != name)
    if not rest or len(rest) == len(load.pieces):
        return None
    try:
        other = solve(replace(load, pieces=rest), units, cancelled=cancelled)
    except PlanError:
        return None
    saved = max(0.0, _seconds(base) - _seconds(other))
    return Without(name, saved, other.plan.governing_piece)


def _hour_more(base: Solved, cancelled: Stopped | None) -> HourMore | None:
    """From the night itself, or from the hour it must be out where that is later."""
    ready = base.plan.ready_at
    out_by = base.plan.out_by
    now = base
    if out_by is not None and out_by > ready:
        now = safest_within(base, out_by, cancelled)
        ready = out_by
    longer = safest_within(base, ready + timedelta(hours=1), cancelled)
    if now.plan.replay is None or longer.plan.replay is None:
        return None
    worst = longer.plan.replay.worst
    margin, with_hour = now.plan.replay.margin, longer.plan.replay.margin
    return HourMore(margin, max(margin, with_hour), worst.piece, str(worst.limit))


def _costs(
    load: Load, units: UnitChoice, base: Solved, cancelled: Stopped | None
) -> tuple[MarginCost, ...]:
    glasses = [response.properties.annealing_point for response in base.setting.night.responses]
    half_widths = [point.plus_minus for point in glasses if point.plus_minus is not None]
    sizes = {
        "glass": max(half_widths, default=0.0),
        "thermocouple": load.lehr.thermocouple_error,
        "unevenness": load.lehr.unevenness,
    }
    costs = []
    for name, kelvin in sizes.items():
        if kelvin <= 0.0:
            continue
        margins = _all_but(name)
        other = solve(load, units, margins, cancelled=cancelled, like=base)
        saved = max(0.0, _seconds(base) - _seconds(other))
        costs.append(MarginCost(name, kelvin, saved))
    return tuple(costs)


def _all_but(name: str) -> Margins:
    return replace(ALL, **{name: False})


def _conflict(base: Solved, cancelled: Stopped | None) -> Conflict | None:
    plan = base.plan
    if plan.feasible or plan.replay is None:
        return None
    late = plan.lateness.total_seconds()
    worst = plan.replay.worst
    margin = margin_within(base, plan.ready_at - plan.lateness, cancelled)
    needed = None
    if margin is not None and margin * MOST_RAISED >= 1.0:
        needed = worst.allowed / margin
    return Conflict(late, worst.piece, str(worst.limit), worst.allowed, needed)
