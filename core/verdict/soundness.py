"""Whether a schedule is sound after what the pieces have been through: log and plan in one piece.

What the log itself set up (the stress of a quick cooling that is still there now) no schedule can
take back; it counts only where the schedule makes it greater, or brings it again.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.glass.properties import properties_of
from core.load.load import Load
from core.load.load_stress import limits_of_pieces
from core.plan.cooling import EVENING_OUT
from core.plan.corners import Corner, Margins, glasses_at
from core.plan.plan import Plan
from core.plan.stress_check import Limit, allowed
from core.stress.engine import stresses_of_each
from core.stress.history import ChamberHistory
from core.stress.result import SectionStress
from core.verdict.engine_run import ENOUGH, engine_pieces

FloatArray = NDArray[np.float64]

_SOONER = 1.0
"""[s] Corners nearer to each other than this are one."""


def worst_share(load: Load, past: ChamberHistory, plan: Plan, margins: Margins) -> float:
    """The greatest stress over what is allowed, of all pieces and corners, from now on.

    Parameters
    ----------
    load : Load
    past : ChamberHistory
        True chamber temperatures up to the plan's start.
    plan : Plan
    margins : Margins

    Raises
    ------
    StressError
        If the two together cannot be followed.
    """
    history = carried_on(load, past, plan)
    now = plan.start.timestamp()
    properties = {name: properties_of(glass) for name, glass in load.glasses.items()}
    corners = (Corner.BELIEVED,) if margins.none else (Corner.SOFT, Corner.STIFF)
    limits = [allowed(each) for each in limits_of_pieces(load)]
    worst = 0.0
    for corner in corners:
        glasses = glasses_at(load, properties, margins, corner)
        pieces = engine_pieces(load, glasses, history)
        (answers,) = stresses_of_each(pieces, (history,), accuracy=ENOUGH)
        for answer, may in zip(answers, limits, strict=True):
            worst = max(
                worst,
                answer.permanent_core / may[Limit.PERMANENT],
                answer.permanent_joint / may[Limit.PERMANENT_JOINT],
                *(_on_the_way(section, now, may) for section in answer.sections),
            )
    return worst


def carried_on(load: Load, past: ChamberHistory, plan: Plan) -> ChamberHistory:
    """Log, plan, and a time in which everything evens out."""
    time, reading = plan.curve()
    now = plan.start.timestamp()
    once = np.append(np.diff(time) > _SOONER, True) & (time > now + _SOONER)
    ahead, true = time[once], reading[once] - load.lehr.thermocouple_offset
    before = past.time < now - _SOONER
    here = float(np.interp(now, past.time, past.temperature))
    return ChamberHistory(
        np.concatenate((past.time[before], [now], ahead, [ahead[-1] + EVENING_OUT])),
        np.concatenate((past.temperature[before], [here], true, [true[-1]])),
    )


def _on_the_way(section: SectionStress, now: float, may: dict[Limit, float]) -> float:
    later = section.time >= now
    tension = section.stress[later].max(axis=1) / may[Limit.TEMPORARY]
    joint = np.abs(section.joint_stress[later]) / may[Limit.TEMPORARY_JOINT]
    return max(_beyond_what_was(tension), _beyond_what_was(joint))


def _beyond_what_was(share: FloatArray) -> float:
    """Greatest share of what is allowed, what was there at first left out while it goes."""
    if share.size == 0:
        return 0.0
    gone = share <= 1.0
    since = int(np.argmax(gone)) if gone.any() else share.size
    greatest = float(share[since:].max()) if since < share.size else 0.0
    first = float(share[:since].max()) if since else 0.0
    return max(greatest, first if first > float(share[0]) * 1.001 else 0.0)
