"""How the night begins, down to the end of the soak.

After a day's work the lehr is at the soak already. Cold pieces are heated to it; cullet is melted
in a mould and comes down to it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np

from core.equipment.lehr import Entry
from core.errors import PlanError
from core.load.reheating import Reheating, ReheatKind
from core.piece.response import PieceResponse
from core.plan import opening_words, words
from core.plan.allowed_rates import RateLimits
from core.plan.casting import MOULD_RATE, Stages, lump_of, stages_of
from core.plan.cooling import followed_rate
from core.plan.corners import Corner
from core.plan.plan import Segment, SegmentKind
from core.plan.rounding import (
    greatest_rate,
    rate_step_down,
    whole_minutes_up,
    whole_reading_up,
)
from core.plan.segments import (
    heating_bound,
    present_segment,
    soak_segment,
)
from core.plan.setting import Setting
from core.plan.soak import ENTRY_SPREAD, soak_time
from core.plan.stress_check import Limit, StressCheck, allowed
from core.plan.trials import COARSE
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.section import stress_piece

_ROUNDS = 6


@dataclass(frozen=True)
class Opening:
    """Segments down to the end of the soak.

    Attributes
    ----------
    segments : tuple of Segment
    melted : float or None
        Seconds after the button when a casting is one mass; ``None``: pieces are there before.
    checks : tuple of StressCheck
        Of what is there before the pieces are: lumps of cullet.
    """

    segments: tuple[Segment, ...]
    melted: float | None = None
    checks: tuple[StressCheck, ...] = ()


@dataclass(frozen=True)
class Easing:
    """Shares of the rates up and down to the soak that a replay asked for."""

    heating: float = 1.0
    crash: float = 1.0


def opening_of(setting: Setting, easing: Easing = Easing()) -> Opening:
    """The segments down to the end of the soak.

    Raises
    ------
    PlanError
        If the controller or the lehr cannot run them.
    """
    night = setting.night
    if setting.continues:
        return Opening((present_segment(night),))
    reheating = night.load.reheating
    if reheating is not None and reheating.kind is ReheatKind.CASTING:
        return _casting(setting, reheating, easing)
    soak = soak_time(night.responses, night.soak, setting.stiff)
    return Opening((soak_segment(night, soak, easing.heating, setting.hold),))


def casting_stages(
    setting: Setting, reheating: Reheating
) -> tuple[Stages, tuple[PieceResponse, ...]]:
    """Temperatures and holds of a casting, and its lumps as pieces."""
    night = setting.night
    glasses = {r.piece.glass: r.properties for r in night.responses}
    lumps = tuple(
        PieceResponse(lump, glasses[lump.glass], night.units.length)
        for lump in lump_of(night.load, reheating)
    )
    return stages_of(reheating, night.responses, lumps), lumps


def _casting(setting: Setting, reheating: Reheating, easing: Easing) -> Opening:
    night, lehr = setting.night, setting.lehr
    stages, lumps = casting_stages(setting, reheating)
    squeeze = whole_reading_up(stages.squeeze, lehr)
    process = max(whole_reading_up(stages.process, lehr), squeeze + 1.0)
    if night.reading(process) > lehr.max_temperature:
        raise PlanError(
            words.too_hot_for_lehr(night.reading(process), lehr, "The process hold"),
            field="max_temperature",
            remedy="Use another lehr or kiln, or give a cooler process hold and a longer time.",
        )
    if squeeze <= night.soak:
        raise PlanError(
            f"The squeeze at {words.temperature_in_words(night.reading(squeeze), night.units)} "
            f"is below the soak.",
            field="squeeze_temperature",
            remedy="Give a hotter squeeze, or leave it out to have it from the viscosity.",
        )
    start = night.load.first_temperature
    start = lehr.ambient if start is None else min(start, squeeze - 1.0)
    rate, checks = _lump_rate(setting, lumps, (start, squeeze), stages.squeeze_time)
    line = _Line(setting, night.load.button_time.astimezone(UTC), start)
    why = opening_words.lump_reason(reheating.lump, rate >= MOULD_RATE * 0.99, night.units)
    line.ramp(SegmentKind.HEAT, squeeze, rate, why)
    line.hold(SegmentKind.SQUEEZE, stages.squeeze_time, opening_words.squeeze_reason(stages.neck))
    line.ramp(SegmentKind.HEAT, process, lehr.max_heating_rate, opening_words.MELTING_IN)
    line.hold(SegmentKind.PROCESS, stages.process_time, opening_words.PROCESS)
    melted = line.seconds
    line.fall(SegmentKind.CRASH, night.soak, easing.crash)
    spread = max(process - night.soak, ENTRY_SPREAD)
    soak = soak_time(night.responses, night.soak, setting.stiff, spread)
    line.hold(
        SegmentKind.SOAK,
        soak.duration if setting.hold is None else setting.hold,
        words.soak_reason(soak, night.responses, night.units),
        night.responses[soak.index].piece.name,
    )
    return Opening(tuple(line.segments), melted, checks)


def _lump_rate(
    setting: Setting,
    lumps: tuple[PieceResponse, ...],
    ends: tuple[float, float],
    hold: float,
) -> tuple[float, tuple[StressCheck, ...]]:
    """How fast cullet may be heated [K/s], and what the stress engine says of the lumps then."""
    night = setting.night
    bound = heating_bound(
        replace(night, responses=lumps, limits=RateLimits(night.load, lumps)), ends[0]
    )
    rate = min(MOULD_RATE, night.lehr.max_heating_rate, greatest_rate(night.lehr.controller))
    if bound is not None:
        rate = min(rate, bound.rate)
    pieces = [stress_piece(lump.piece, lump.properties) for lump in lumps]
    may = allowed(night.load.limits)[Limit.TEMPORARY]
    found: list[float] = []
    for _ in range(_ROUNDS):
        up = (ends[1] - ends[0]) / rate
        history = ChamberHistory(
            np.array([0.0, up, up + max(hold, 60.0)]), np.array([ends[0], ends[1], ends[1]])
        )
        found = [s.peak.stress for s in stresses(pieces, history, accuracy=COARSE)]
        if max(found) <= 0.98 * may:
            break
        rate *= 0.97 * may / max(found)
    checks = tuple(
        StressCheck(lump.piece.name, Limit.TEMPORARY, 0, tension, may, Corner.BELIEVED)
        for lump, tension in zip(lumps, found, strict=True)
    )
    return rate, checks


class _Line:
    """Segments one after the other, from a true temperature [K]."""

    def __init__(self, setting: Setting, begin: datetime, start: float) -> None:
        self.night = setting.night
        self.begin = begin
        self.at = start
        self.clock = begin
        self.segments: list[Segment] = []

    @property
    def seconds(self) -> float:
        """Since the button."""
        return (self.clock - self.begin).total_seconds()

    def ramp(self, kind: SegmentKind, end: float, rate: float, reason: str) -> None:
        """To a temperature [K] at no more than a rate [K/s]."""
        controller = self.night.lehr.controller
        way = abs(end - self.at)
        if controller.entry is Entry.RATE:
            stepped = rate_step_down(rate, controller)
            if stepped <= 0.0:
                raise PlanError(
                    words.too_coarse(rate, controller),
                    field="rate_step",
                    remedy="Enter the program by target and time, or set a finer rate step.",
                )
            duration = way / stepped
        else:
            duration = whole_minutes_up(way / min(rate, greatest_rate(controller)))
        shape = ((end - self.at) / duration, duration, [0.0, duration], [self.at, end])
        self._add(kind, end, shape, 0.0, reason)

    def fall(self, kind: SegmentKind, end: float, share: float) -> None:
        """Down to a temperature [K] as fast as the lehr still goes there, times a share."""
        rate = share * followed_rate(self.night.lehr, end)
        told = words.rate_in_words(rate, self.night.units)
        self.ramp(kind, end, rate, opening_words.crash_reason(told, by_lehr=share >= 1.0))

    def hold(self, kind: SegmentKind, duration: float, reason: str, piece: str = "") -> None:
        """Stay for a time [s]."""
        self._add(
            kind, self.at, (0.0, 0.0, [0.0], [self.at]), whole_minutes_up(duration), reason, piece
        )

    def _add(
        self,
        kind: SegmentKind,
        end: float,
        shape: tuple[float, float, list[float], list[float]],
        hold: float,
        reason: str,
        piece: str = "",
    ) -> None:
        rate, duration, time, curve = shape
        night = self.night
        finish = self.clock + timedelta(seconds=duration + hold)
        if hold > 0.0:
            time, curve = [*time, duration + hold], [*curve, end]
        self.segments.append(
            Segment(
                kind=kind,
                start_temperature=night.reading(self.at),
                target=night.reading(end),
                rate=rate,
                ramp_time=duration,
                hold_time=hold,
                start=self.clock,
                end=finish,
                governing_piece=piece,
                reason=reason,
                curve_time=tuple(time),
                curve_temperature=tuple(night.reading(t) for t in curve),
            )
        )
        self.clock, self.at = finish, end
