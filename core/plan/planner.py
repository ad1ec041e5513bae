"""Tonight's curve: soak, slow cooling while glass freezes, faster cooling, hand-warm.

1. Soak a little above the highest annealing point of the load until the slowest piece is even and
   its stress gone, also in a glass as stiff as it may be.
2. Cool slowly from where the stiffest glass may begin to keep stress to where the softest is frozen
   at that very rate, which is the lower the slower it goes.
3. Then as fast as the stress on the way allows, never faster than the lehr can lose heat; power off
   from where the lehr's own cooling is safe.
4. Ready when the slowest core, not the lehr, is hand-warm.

Closed forms give the first guess; the stress engine sets the rates. Everything is rounded to what
the controller takes, and the rounded curve is replayed through the engine with every piece at both
corners of what is uncertain (:mod:`core.plan.corners`). Only a curve that passes is called safe.
"""

from __future__ import annotations

from core.equipment.lehr import Entry, Lehr
from core.errors import PlanError
from core.glass.glass import GlassProperties
from core.glass.properties import properties_of
from core.load.load import Load
from core.piece.response import PieceResponse
from core.plan import words
from core.plan.allowed_rates import RateLimits
from core.plan.cooling import Cooling
from core.plan.corners import ALL, Corner, Margins, glasses_at
from core.plan.finish import finished
from core.plan.first_curve import first_cooling
from core.plan.guess import MOST_RAMPS, ClosedForms, fitting, patterns_for
from core.plan.keyed import keyed
from core.plan.night import Night
from core.plan.opening import opening_of
from core.plan.plan import Plan
from core.plan.program import lines_taken
from core.plan.rounding import whole_degree_up
from core.plan.setting import Setting, setting_of
from core.plan.soak import HIGHEST_RISE, soak_time
from core.units import SECONDS_PER_HOUR, UnitChoice, interval_from, rate_from

QUICK_FALL = rate_from(60.0)
"""[K/s] About how fast the lehr comes down from a hotter soak; only for weighing one against
the other."""


def make_plan(load: Load, units: UnitChoice | None = None, margins: Margins = ALL) -> Plan:
    """Draw up a safe curve for a load at once (a fraction of a second).

    Parameters
    ----------
    load : Load
    units : UnitChoice, optional
        Units used in the sentences (reasons, warnings); numbers in the plan stay SI.
    margins : Margins
        Which uncertainties it must hold against.

    Returns
    -------
    Plan
        ``Plan.safe`` says whether it passed the replay; ``Plan.feasible`` and ``Plan.lateness``
        whether it is in time.

    Raises
    ------
    GlassError
        If a glass's properties cannot be had.
    PlanError
        If this lehr or its controller cannot run any safe curve for the load.
    """
    setting = setting_for(load, units or UnitChoice(), margins)
    return finished(quick_cooling(setting), setting)


def setting_for(load: Load, units: UnitChoice, margins: Margins) -> Setting:
    """Lay out the night's problem: properties, soak, pieces at their corners."""
    names = dict.fromkeys(piece.glass for piece in load.pieces)
    properties = {name: properties_of(load.glasses[name]) for name in names}
    responses = tuple(PieceResponse(p, properties[p.glass], units.length) for p in load.pieces)
    soak = soak_temperature(load, properties, responses, margins)
    return setting_of(Night(load, responses, RateLimits(load, responses), soak, units), margins)


def quick_cooling(setting: Setting) -> Cooling:
    """The quickest of the first curves, as keyed in."""
    forms = ClosedForms(setting)
    room = room_for_ramps(setting)
    for ramps in range(min(room, MOST_RAMPS), 0, -1):
        coolings = [
            keyed(first_cooling(setting, forms, fitting(forms, pattern))[0], setting.lehr)
            for pattern in patterns_for(ramps)
        ]
        taken = [cooling for cooling in coolings if len(cooling.rates) <= room]
        if taken:
            return min(taken, key=lambda c: c.duration(setting.lehr, setting.end))
    raise too_few_for_long_ramps(setting.lehr)


def too_few_for_long_ramps(lehr: Lehr) -> PlanError:
    """The error where a night's ramps, cut into the longest segments, are too many."""
    controller = lehr.controller
    hours = (controller.longest_segment or 0.0) / SECONDS_PER_HOUR
    return PlanError(
        f"No segment may be longer than {hours:.4g} h, and the controller's "
        f"{controller.max_segments} are too few for so long a night.",
        field="longest_segment",
        remedy="Allow more segments, or longer ones.",
    )


def room_for_ramps(setting: Setting) -> int:
    """Ramps the controller has lines for beside the soak.

    Raises
    ------
    PlanError
        If there is none.
    """
    controller = setting.lehr.controller
    least = 1 if controller.entry is Entry.RATE else 2
    used = max(least, lines_taken(opening_of(setting).segments, controller))
    room = controller.max_segments - used
    if room < 1:
        what = "soak takes" if setting.night.load.reheating is None else "way to the soak takes"
        raise PlanError(
            f"The controller's {controller.max_segments} segments are too few: the {what} "
            f"{used} and the cooling at least one.",
            field="max_segments",
            remedy=f"Allow {used + 1} segments or more.",
        )
    return room


def soak_temperature(
    load: Load,
    properties: dict[str, GlassProperties],
    responses: tuple[PieceResponse, ...],
    margins: Margins,
    fall: float = QUICK_FALL,
) -> float:
    """True soak temperature [K] whose controller reading is a whole degree.

    As far above the highest annealing point as the load asks, or up to ``HIGHEST_RISE`` hotter
    where that releases the stress of a glass stiffer than believed in less time than it costs to
    come down again, at ``fall`` [K/s].

    Raises
    ------
    PlanError
        If the lehr does not get so hot.
    """
    believed = glasses_at(load, properties, margins, Corner.BELIEVED)
    highest = max(glass.annealing_point.value for glass in believed)
    offset = load.lehr.thermocouple_offset
    unit = load.lehr.controller.unit
    lowest = whole_degree_up(highest + load.soak_above_annealing + offset, unit)
    if lowest > load.lehr.max_temperature:
        raise PlanError(
            words.too_hot_for_lehr(lowest, load.lehr),
            field="max_temperature",
            remedy="Use another lehr, or correct its highest temperature.",
        )
    stiff = glasses_at(load, properties, margins, Corner.STIFF)
    degree = interval_from(1.0, unit)
    options = [lowest + n * degree for n in range(int(HIGHEST_RISE / degree) + 1)]
    options = [reading for reading in options if reading <= load.lehr.max_temperature]

    def cost(reading: float) -> float:
        hold = soak_time(responses, reading - offset, stiff).duration
        return hold + (reading - lowest) / fall

    return min(options, key=cost) - offset
