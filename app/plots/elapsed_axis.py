"""A time axis that counts from a moment several nights share."""

from __future__ import annotations

import math
from typing import Any

import pyqtgraph as pg

from app.plots.clock_axis import clock_step
from app.plots.time_words import Since


class ElapsedAxis(pg.AxisItem):
    """Bottom axis of hours and minutes since a moment, or of the hour of the day."""

    def __init__(self, words: Since, **options: Any) -> None:
        super().__init__("bottom", **options)
        self._words = words
        self.enableAutoSIPrefix(enable=False)
        self.setStyle(hideOverlappingLabels=True, maxTextLevel=0)

    def set_words(self, words: Since) -> None:
        """Count from something else."""
        self._words = words
        self.picture = None
        self.update()

    def tickValues(self, minVal: float, maxVal: float, size: float) -> list[tuple[float, Any]]:  # noqa: N803 -- pyqtgraph's names
        """Round hours or minutes."""
        step = float(clock_step(maxVal - minVal, size))
        before = self._words.round_before(step)
        first = math.ceil((minVal + before) / step)
        last = math.floor((maxVal + before) / step)
        if last - first > 2000:
            return []
        return [(step, [number * step - before for number in range(first, last + 1)])]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:  # noqa: ARG002
        """Hours and minutes."""
        return [self._words.label(value) for value in values]
