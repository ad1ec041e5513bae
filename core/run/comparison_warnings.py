"""What a log does not cover of its night, and readings that cannot be right, in sentences."""

from __future__ import annotations

import numpy as np

from core.plan.plan import Plan
from core.run.readings import Readings
from core.units import SECONDS_PER_MINUTE, format_duration

JUMP = 100.0
"""A lehr's reading does not change by more within a minute [K], not even with the door open;
common practice, no source."""


def warnings_of(
    plan: Plan, readings: Readings, limit: float, *, covered: bool, finished: bool
) -> tuple[str, ...]:
    """Sentences on a log.

    Parameters
    ----------
    plan : Plan
    readings : Readings
        Of the plan's night alone, on the plan's clock.
    limit : float
        Spacing of readings that counts as a gap [s].
    covered : bool
        Whether the log shows the whole transformation range.
    finished : bool
        False while the run goes on.
    """
    plan_time, _ = plan.curve()
    warnings = []
    late = float(readings.time[0] - plan_time[0])
    if late > limit:
        warnings.append(f"The log begins {format_duration(late)} (h:mm) after the plan.")
    warnings += _jumps(readings)
    if not finished:
        return tuple(warnings)
    early = float(plan_time[-1] - readings.time[-1])
    if late <= limit and float(readings.temperature.max()) < plan.transformation_top:
        warnings.append(
            "The lehr never reached the annealing point: the load has not been annealed."
        )
    elif float(readings.temperature[-1]) > plan.transformation_bottom:
        warnings.append("The log ends before the strain point was passed.")
    elif not covered:
        warnings.append(
            "The log does not cover the transformation range, so there is no cooling rate."
        )
    if early > limit and float(readings.temperature[-1]) <= plan.transformation_bottom:
        warnings.append(f"The log ends {format_duration(early)} (h:mm) before the plan.")
    return tuple(warnings)


def _jumps(readings: Readings) -> list[str]:
    span = np.maximum(np.diff(readings.time), SECONDS_PER_MINUTE)
    steep = np.abs(np.diff(readings.temperature)) > JUMP * span / SECONDS_PER_MINUTE
    count = int(np.count_nonzero(steep))
    if count == 0:
        return []
    times = "once" if count == 1 else f"{count} times"
    sentence = (
        f"From one reading to the next the temperature jumps further than any lehr does ({times}): "
        "look at the thermocouple. Deviations near it mean nothing."
    )
    return [sentence]
