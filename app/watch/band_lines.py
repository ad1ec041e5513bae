"""The band that is watched, as lines of the night's plot."""

from __future__ import annotations

from app.plots.curves import CurveLine, LineRole
from app.watch.watched_run import WatchedRun
from core.live.watch_limits import band_of
from core.live.watch_types import WatchSettings


def band_lines(run: WatchedRun, limits: WatchSettings) -> tuple[CurveLine, ...]:
    """Where an alarm would be raised, above and below the plan of a run that is recorded."""
    band = band_of(run.plan, limits)
    return (
        CurveLine("Alarm above", band.time, band.highest, LineRole.OTHER),
        CurveLine("Alarm below", band.time, band.lowest, LineRole.OTHER),
    )
