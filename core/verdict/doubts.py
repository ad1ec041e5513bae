"""Which uncertainty could turn a verdict by itself, and how far off it need be.

Glass stiffer or softer than believed, a thermocouple that is off and a place that is hotter or
cooler are all one shift of the glass's viscosity curve (:mod:`core.plan.corners`). Stress over
limit is known at three shifts; between them its logarithm is taken along straight lines, and where
it passes the limit the verdict turns.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from core.glass.glass import GlassProperties
from core.load.load import Load
from core.piece.piece import Piece
from core.plan.corners import Corner, Margins, shift
from core.plan.stress_check import Limit
from core.run.gaps import Gap
from core.verdict.judged import Judged, stress_of
from core.verdict.verdict import Doubt, DoubtKind, PieceVerdict, Standing, StressRange

_ALONE = {
    DoubtKind.ANNEALING_POINT: Margins(glass=True, thermocouple=False, unevenness=False),
    DoubtKind.THERMOCOUPLE: Margins(glass=False, thermocouple=True, unevenness=False),
    DoubtKind.UNEVENNESS: Margins(glass=False, thermocouple=False, unevenness=True),
}


def doubts_of(
    load: Load,
    piece: Piece,
    glass: GlassProperties,
    margins: Margins,
    judged: Judged,
    found: PieceVerdict,
    gaps: tuple[Gap, ...],
) -> tuple[Doubt, ...]:
    """What could change a verdict, the likeliest first.

    Parameters
    ----------
    load : Load
    piece : Piece
    glass : GlassProperties
        Of the piece, as believed.
    margins : Margins
        Which uncertainties were counted.
    judged : Judged
        The piece through everything.
    found : PieceVerdict
    gaps : tuple of Gap
    """
    stays = [r for r in found.stresses if r.limit in {Limit.PERMANENT, Limit.PERMANENT_JOINT}]
    if found.standing is Standing.ANNEALED:
        return ()
    if found.standing is Standing.RE_ANNEAL:
        stays = [found.governing]
    doubts: list[Doubt] = []
    for stress in stays:
        doubts += _of_shift(load, piece, glass, margins, judged, stress)
        doubts += _of_gaps(judged, stress, gaps)
    kept = {doubt.kind: doubt for doubt in reversed(doubts)}
    return tuple(sorted(kept.values(), key=lambda d: abs(d.turns) / max(d.size, 1e-9)))


def _of_shift(
    load: Load,
    piece: Piece,
    glass: GlassProperties,
    margins: Margins,
    judged: Judged,
    stress: StressRange,
) -> Iterator[Doubt]:
    placed = shift(load, piece, glass, margins, Corner.BELIEVED)
    for corner, answers in ((Corner.SOFT, judged.soft), (Corner.STIFF, judged.stiff)):
        reach = shift(load, piece, glass, margins, corner) - placed
        there = stress_of(answers[0], stress.limit)
        turns = _turning(stress.believed, there, stress.allowed, reach)
        if turns is None:
            continue
        over = there > stress.allowed
        standing = Standing.RE_ANNEAL if over else Standing.ANNEALED
        alone = []
        for kind, only in _ALONE.items():
            counted = Margins(
                glass=only.glass and margins.glass,
                thermocouple=only.thermocouple and margins.thermocouple,
                unevenness=only.unevenness and margins.unevenness,
            )
            size = shift(load, piece, glass, counted, corner) - placed
            if size and abs(size) >= abs(turns):
                alone.append(Doubt(kind, abs(size), turns, standing))
        yield from alone or [Doubt(DoubtKind.TOGETHER, abs(reach), turns, standing)]


def _turning(believed: float, there: float, may: float, reach: float) -> float | None:
    """Shift [K] at which a stress passes what is allowed; ``None`` where it does not."""
    if (believed > may) is (there > may) or min(believed, there) <= 0.0:
        return None
    span = math.log(there / believed)
    return reach * math.log(may / believed) / span


def _of_gaps(judged: Judged, stress: StressRange, gaps: tuple[Gap, ...]) -> Iterator[Doubt]:
    if not gaps or not judged.courses:
        return
    every = [stress_of(s, stress.limit) for s in (judged.believed, *judged.courses)]
    if min(every) <= stress.allowed < max(every):
        longest = max(gap.duration for gap in gaps)
        standing = Standing.RE_ANNEAL if every[0] <= stress.allowed else Standing.ANNEALED
        yield Doubt(DoubtKind.GAP, longest, 0.0, standing)
