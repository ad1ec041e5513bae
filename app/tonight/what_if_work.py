"""What stands around a night: neighbouring nights, and the hours before it; no Qt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from core.load.load import Load
from core.plan.day_hold import DayHold, day_hold
from core.plan.trade_offs import TradeOffs, trade_offs
from core.units import UnitChoice


@dataclass(frozen=True)
class Around:
    """Neighbouring nights, and the hours before this one."""

    trade_offs: TradeOffs
    before: DayHold | None


def around(load: Load, units: UnitChoice, cancelled: Callable[[], bool]) -> Around:
    """Reckon what stands around a night; the signature is that of a job."""
    hold = None if load.reheating is not None else day_hold(load, units)
    return Around(trade_offs(load, units, cancelled=cancelled), hold)
