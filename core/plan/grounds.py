"""What sets each segment of a finished plan, and that in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from core.plan import words
from core.plan.cooling import Cooling, followed_rate
from core.plan.freezing import frozen_below
from core.plan.plan import COOLING, Segment, SegmentKind
from core.plan.replay import Replayed
from core.plan.search import Binding
from core.plan.setting import Setting
from core.plan.stress_check import StressCheck
from core.plan.trials import rows_of

_LEHR_LIMITED = 0.95
"""A ramp this near to what the lehr can follow is set by the lehr."""
_PLENTY = 1.3
"""With a margin like this, stress on the way does not set a ramp."""
_STILL_FREEZING = 60.0
"""[K] below the slow range in which a ramp's rate still tells on what is left for good."""

Ground = tuple[StressCheck, int] | None
"""What sets a segment, and the index of its piece; ``None`` where the lehr does."""


def _check(outcome: Replayed, setting: Setting, columns: list[int]) -> tuple[StressCheck, int]:
    """The worst of some columns of a replay, and the index of its piece."""
    part = outcome.figures[:, columns]
    case, column = np.unravel_index(int(part.argmax()), part.shape)
    rows = rows_of((outcome.figures.shape[1] - 2) // 2 - 1)
    row = rows[columns[int(column)]]
    found = outcome.cases[int(case)]
    may = found.allowed[row.limit]
    check = StressCheck(
        piece=setting.night.load.pieces[found.index].name,
        limit=row.limit,
        segment=row.ramp,
        stress=may * float(np.exp(part.max())),
        allowed=may,
        corner=found.corner,
    )
    return check, found.index


def worst_permanent(outcome: Replayed, setting: Setting) -> StressCheck:
    """What stays, where it comes nearest to its limit."""
    return _check(outcome, setting, [0, 1])[0]


def grounds_of(
    segments: list[Segment], outcome: Replayed, setting: Setting, cooling: Cooling
) -> list[Ground]:
    """What sets each ramp: the stress nearest its limit there, or ``None`` for the lehr."""
    slowest = min(cooling.rates)
    frozen = frozen_below(setting.soft, slowest)
    grounds: list[Ground] = []
    for place, segment in enumerate(segments):
        if segment.kind not in COOLING or segment.kind is SegmentKind.COAST:
            grounds.append(None)
            continue
        offset = setting.lehr.thermocouple_offset
        top, bottom = segment.start_temperature - offset, segment.target - offset
        check, piece = _check(outcome, setting, [2 + 2 * place, 3 + 2 * place])
        if check.margin > _PLENTY and top > frozen - _STILL_FREEZING:
            check, piece = _check(outcome, setting, [0, 1])
        by_lehr = -segment.rate >= _LEHR_LIMITED * followed_rate(setting.lehr, bottom)
        lehr_sets = by_lehr and check.margin > 1.0 / _LEHR_LIMITED
        grounds.append(None if lehr_sets else (check, piece))
    return grounds


def searched_grounds(
    segments: list[Segment],
    begun: int,
    outcome: Replayed,
    setting: Setting,
    bindings: Sequence[Binding],
) -> list[Ground]:
    """What the search says sets each ramp, with the replay's figure for it."""
    grounds: list[Ground] = [None] * begun
    rows = rows_of(len(segments) - 1)
    for place, segment in enumerate(segments[begun:]):
        binding = bindings[place] if segment.kind is not SegmentKind.COAST else None
        if binding is None or binding.case is None or binding.row is None:
            grounds.append(None)
            continue
        # The search counts ramps, the replay segments: the opening comes first.
        ramp = None if binding.row.ramp is None else binding.row.ramp + begun
        if ramp is not None and ramp >= len(segments):
            ramp = len(segments) - 1
        column = next(
            i for i, r in enumerate(rows) if r.limit is binding.row.limit and r.ramp == ramp
        )
        case = outcome.cases.index(binding.case)
        limit = binding.row.limit
        check = StressCheck(
            piece=setting.night.load.pieces[binding.case.index].name,
            limit=limit,
            segment=ramp,
            stress=binding.case.allowed[limit] * float(np.exp(outcome.figures[case, column])),
            allowed=binding.case.allowed[limit],
            corner=binding.case.corner,
        )
        grounds.append((check, binding.case.index))
    return grounds


def told_of(segment: Segment, ground: Ground, setting: Setting) -> Segment:
    """A segment with what sets it in words."""
    night = setting.night
    if segment.kind not in COOLING or segment.kind is SegmentKind.COAST:
        return segment
    if ground is None:
        bottom = segment.target - night.lehr.thermocouple_offset
        return replace(segment, reason=words.lehr_reason(night.lehr, bottom, night.units))
    check, piece = ground
    reason = words.limit_reason(check, night.responses[piece], segment.rate, night.units)
    return replace(
        segment,
        governing_piece=check.piece,
        reason=reason,
        limit=str(check.limit),
    )
