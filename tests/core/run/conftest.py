"""A small plan made by hand: soak 525 °C, 20 °C/h to 470 °C, 60 °C/h to 40 °C."""

from datetime import UTC, datetime, timedelta

import pytest

from core.plan.plan import Plan, Segment, SegmentKind
from core.units import ZERO_CELSIUS

START = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)


def segment(kind, start, begin, end, seconds, hold=0.0):
    """One straight ramp from ``begin`` to ``end`` [°C] and a hold."""
    points = [(0.0, begin)]
    if seconds:
        points.append((seconds, end))
    if hold:
        points.append((seconds + hold, end))
    return Segment(
        kind=kind,
        start_temperature=ZERO_CELSIUS + begin,
        target=ZERO_CELSIUS + end,
        rate=(end - begin) / seconds if seconds else 0.0,
        ramp_time=seconds,
        hold_time=hold,
        start=start,
        end=start + timedelta(seconds=seconds + hold),
        governing_piece="decanter",
        reason="by hand",
        curve_time=tuple(time for time, _ in points),
        curve_temperature=tuple(ZERO_CELSIUS + temperature for _, temperature in points),
    )


def build_plan(start=START, soak=525.0, bottom=470.0):
    """Two hours at soak; 520 °C annealing point, 475 °C strain point."""
    soaking = segment(SegmentKind.SOAK, start, soak, soak, 0.0, 7200.0)
    slow = segment(SegmentKind.SLOW_COOL, soaking.end, soak, bottom, (soak - bottom) * 180.0)
    cool = segment(SegmentKind.COOL, slow.end, bottom, 40.0, (bottom - 40.0) * 60.0)
    return Plan(
        load_name="ship's decanters",
        lehr_name="long lehr",
        segments=(soaking, slow, cool),
        soak_temperature=ZERO_CELSIUS + soak,
        soak_time=7200.0,
        transformation_top=ZERO_CELSIUS + 520.0,
        transformation_bottom=ZERO_CELSIUS + 475.0,
        slow_rate=20.0 / 3600.0,
        governing_piece="decanter",
        governing_reason="thick base",
        start=start,
        ready_at=cool.end,
        out_by=None,
        warnings=(),
        zones=(),
        program_version="test",
    )


@pytest.fixture(scope="session")
def plan():
    return build_plan()


@pytest.fixture(scope="session")
def plan_from():
    """The same plan begun at another time."""
    return build_plan
