"""A time axis of local clock times over UTC epoch seconds, correct when the clocks change."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Any

import pyqtgraph as pg

from app.local_time import from_local, short_day, to_local

_MINUTE, _HOUR, _DAY = 60, 3600, 86400
_STEPS = (
    *(s * _MINUTE for s in (1, 2, 5, 10, 15, 30)),
    *(s * _HOUR for s in (1, 2, 3, 4, 6, 12)),
    *(s * _DAY for s in (1, 2, 7, 14, 28)),
)
_LABEL_WIDTH = 78.0
"""Room one label needs, in pixels."""


def clock_step(span: float, width: float, label_width: float = _LABEL_WIDTH) -> int:
    """Seconds between labels so that they do not crowd: span in seconds, width in pixels."""
    wanted = span * label_width / max(width, 1.0)
    return next((step for step in _STEPS if step >= wanted), _STEPS[-1])


def clock_ticks(start: float, end: float, step: int, zone: tzinfo | None = None) -> list[float]:
    """UTC epoch seconds of round local clock times between two instants, ends included.

    Steps of hours follow the clock on the wall: over a change of the clocks 00, 03, 06 stay
    labels although five or seven hours lie between two of them.
    """
    if not start < end or (end - start) / step > 2000:
        return []
    first = to_local(start, zone).date()
    last = to_local(end, zone).date()
    ticks: list[float] = []
    if step >= _DAY:
        days = step // _DAY
        day = date.fromordinal(first.toordinal() - first.toordinal() % days)
        while day <= last:
            ticks.append(from_local(day, time(0), zone).moment.timestamp())
            day += timedelta(days=days)
    elif step >= _HOUR:
        day = first
        while day <= last:
            for hour in range(0, 24, step // _HOUR):
                ticks.append(from_local(day, time(hour), zone).moment.timestamp())
                if step == _HOUR:
                    again = from_local(day, time(hour), zone, second=True).moment.timestamp()
                    ticks.append(again)
            day += timedelta(days=1)
    else:
        # Offsets from UTC are whole quarters of an hour, so each label is aligned on its own.
        moment = start - start % step - _HOUR
        while moment <= end:
            local = to_local(moment, zone)
            wall = local.minute * _MINUTE + local.second
            if wall % step == 0:
                ticks.append(moment)
                moment += step
            else:
                moment += min(step - wall % step, step)
    return sorted({tick for tick in ticks if start <= tick <= end})


def clock_label(moment: float, step: float, zone: tzinfo | None = None) -> str:
    """Label of one tick: the clock time, or the day at midnight."""
    local = to_local(moment, zone)
    if local.hour == 0 and local.minute == 0:
        return short_day(local.date())
    return f"{local:%H:%M:%S}" if step < _MINUTE else f"{local:%H:%M}"


class ClockAxis(pg.AxisItem):
    """Bottom axis of every plot by clock time."""

    def __init__(self, zone: tzinfo | None = None, **options: Any) -> None:
        super().__init__("bottom", **options)
        self._zone = zone
        self.enableAutoSIPrefix(enable=False)
        self.setStyle(hideOverlappingLabels=True, maxTextLevel=0)

    def set_zone(self, zone: tzinfo | None) -> None:
        """Show the clock of another time zone."""
        self._zone = zone
        self.picture = None
        self.update()

    def tickValues(self, minVal: float, maxVal: float, size: float) -> list[tuple[float, Any]]:  # noqa: N803 -- pyqtgraph's names
        """Labelled ticks, and unlabelled ones between them."""
        step = clock_step(maxVal - minVal, size)
        major = clock_ticks(minVal, maxVal, step, self._zone)
        finer = [
            s for s in _STEPS if s < step and step % s == 0 and s * size > 14 * (maxVal - minVal)
        ]
        levels: list[tuple[float, Any]] = [(float(step), major)]
        if finer:
            known = set(major)
            minor = clock_ticks(minVal, maxVal, finer[0], self._zone)
            levels.append((float(finer[0]), [tick for tick in minor if tick not in known]))
        return levels

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:  # noqa: ARG002
        """Clock times, and the day at midnight."""
        return [clock_label(value, spacing, self._zone) for value in values]


def span_in_words(start: float, end: float, zone: tzinfo | None = None) -> str:
    """The days a plot covers, ``Wed 25 Nov`` or ``Wed 25 Nov – Thu 26 Nov``."""
    first = to_local(datetime.fromtimestamp(start, UTC), zone).date()
    last = to_local(datetime.fromtimestamp(end, UTC), zone).date()
    return short_day(first) if first == last else f"{short_day(first)} – {short_day(last)}"
