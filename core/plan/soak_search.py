"""The soak as part of the search: how hot and how long, once the cooling after it is known."""

from __future__ import annotations

from dataclasses import replace

from core.load.reheating import ReheatKind
from core.plan.cooling import Cooling
from core.plan.finish import holds
from core.plan.planner import soak_temperature
from core.plan.rounding import whole_minutes_up
from core.plan.setting import Setting, setting_of
from core.plan.soak import soak_time
from core.plan.trials import STEADY

WORTH = 60.0
"""[s] A soak that turns out to save less than this is left as it is."""
LEAST_GAIN, SHARE = 300.0, 0.003
"""[s], and as a share of the cooling: no other soak is tried for less."""
_STEPS = 6
"""How often the span of a hold is halved."""


def other_soak(setting: Setting, cooling: Cooling) -> Setting | None:
    """The setting with the soak that suits how fast the cooling leaves it; ``None``: the same.

    A hotter soak releases stress sooner and takes longer to come down from. How much longer is
    only known once there is a cooling.
    """
    if setting.continues:
        return None
    night = setting.night
    properties = {r.piece.glass: r.properties for r in night.responses}
    soak = soak_temperature(
        night.load, properties, night.responses, setting.margins, cooling.rates[0]
    )
    gain = _takes(setting, night.soak, cooling) - _takes(setting, soak, cooling)
    if gain < max(LEAST_GAIN, SHARE * cooling.duration(setting.lehr, setting.end)):
        return None
    moved = setting_of(replace(night, soak=soak), setting.margins)
    if setting.past is not None and moved.past is None:
        moved = replace(moved, past=setting.past, came=setting.came)
    return replace(moved, room=setting.room)


def _takes(setting: Setting, soak: float, cooling: Cooling) -> float:
    """Seconds of a soak's hold, and of the way down from it at the cooling's first rate."""
    hold = soak_time(setting.night.responses, soak, setting.stiff).duration
    return hold + soak / cooling.rates[0]


def shortest_hold(setting: Setting, cooling: Cooling, usual: float) -> float | None:
    """The shortest hold [s] at which pieces known from when they went in stay within limits.

    Parameters
    ----------
    setting : Setting
    cooling : Cooling
        As keyed in.
    usual : float
        The closed form's hold [s].

    Returns
    -------
    float or None
        Whole minutes; ``None`` where the closed form's is kept: how some piece came is not known,
        so the engine cannot say when it is even.
    """
    reheating = setting.night.load.reheating
    melted = reheating is not None and reheating.kind is ReheatKind.CASTING
    if setting.continues or not (melted or all(came.known for came in setting.came)):
        return None
    short, long = 0.0, whole_minutes_up(usual)
    if not holds(cooling, replace(setting, hold=long), STEADY):
        return None
    for _ in range(_STEPS):
        middle = whole_minutes_up(0.5 * (short + long))
        if middle >= long:
            break
        if holds(cooling, replace(setting, hold=middle), STEADY):
            long = middle
        else:
            short = middle
    return long
