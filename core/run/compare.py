"""What the lehr did against what was planned."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from core.errors import RunError
from core.plan.plan import Plan
from core.run.gaps import Gap, gap_limit
from core.run.readings import Readings
from core.units import SECONDS_PER_MINUTE, format_duration

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

FASTEST_WINDOW = 900.0
"""A rate counts as sustained when it lasts this long [s]; common practice, no source."""
JUMP = 100.0
"""A lehr's reading does not change by more within a minute [K], not even with the door open;
common practice, no source."""


@dataclass(frozen=True, eq=False)
class Comparison:
    """A run laid beside its plan; SI units, times UTC epoch seconds.

    Attributes
    ----------
    time, actual, planned, deviation : ndarray, shape (n,)
        Of every reading; ``deviation`` is actual less planned [K]. ``planned`` and ``deviation``
        are NaN outside the plan's span.
    max_deviation : float
        The largest either way, with its sign [K].
    max_deviation_time : float
    mean_deviation : float
        Mean of its size over time, gaps left out [K].
    soak_band : float
        Half width of the band about the soak temperature [K].
    soak_time, planned_soak_time : float
        Seconds within the band, of the log and of the plan's own curve.
    transformation_rate, planned_transformation_rate : float or None
        Mean cooling rate from ``transformation_top`` to ``transformation_bottom`` [K/s], positive
        when cooling; ``None`` where the readings do not cover it.
    fastest_rate, planned_fastest_rate : float or None
        The highest mean rate over any 15 minutes of it (or all of it, if shorter) [K/s].
    gaps : tuple of Gap
    warnings : tuple of str
        What the log does not cover, and readings that cannot be right.
    """

    time: FloatArray
    actual: FloatArray
    planned: FloatArray
    deviation: FloatArray
    max_deviation: float
    max_deviation_time: float
    mean_deviation: float
    soak_band: float
    soak_time: float
    planned_soak_time: float
    transformation_rate: float | None
    planned_transformation_rate: float | None
    fastest_rate: float | None
    planned_fastest_rate: float | None
    gaps: tuple[Gap, ...]
    warnings: tuple[str, ...]


def compare(
    plan: Plan,
    readings: Readings,
    *,
    soak_band: float = 5.0,
    gap_after: float | None = None,
    finished: bool = True,
) -> Comparison:
    """Lay readings beside the plan.

    Parameters
    ----------
    plan : Plan
    readings : Readings
    soak_band : float
        Half width of the band about the plan's soak temperature [K], 0.1 to 100.
    gap_after : float, optional
        Spacing of readings above which there is a gap [s], by default at most 2 hours; 10 minutes
        or three times
        the usual spacing, whichever is longer.
    finished : bool
        False while the run goes on: that the log ends early is then no warning.

    Raises
    ------
    RunError
        If there are no readings, none falls within the plan's span, or an option is impossible.

    Notes
    -----
    Between readings the temperature is taken along straight lines, never across a gap.
    """
    if not 0.1 <= soak_band <= 100.0:
        raise RunError(
            f"A soak band of {soak_band:g} °C is not possible.",
            field="soak_band",
            remedy="Use 0.1 to 100 °C.",
        )
    if gap_after is not None and not gap_after > 0:
        raise RunError(
            "The spacing that counts as a gap must be more than nothing.",
            field="gap_after",
            remedy="Use some minutes.",
        )
    time, actual = readings.time, readings.temperature
    planned = plan.temperature_at(time)
    inside = np.isfinite(planned)
    if not inside.any():
        raise _no_overlap(plan, readings)
    deviation = actual - planned
    limit = gap_after if gap_after is not None else gap_limit(time)
    joined = np.diff(time) <= limit
    plan_time, plan_temperature = _curve(plan)
    all_joined = np.ones(plan_time.size - 1, dtype=bool)
    worst = int(np.nanargmax(np.abs(deviation)))
    # Readings before and after the plan belong to other nights.
    own = slice(int(np.argmax(inside)), int(inside.size - np.argmax(inside[::-1])))
    own_time, own_actual = time[own], actual[own]
    own_joined = np.diff(own_time) <= limit
    rate, fastest = _transformation(plan, own_time, own_actual, own_joined)
    planned_rate, planned_fastest = _transformation(plan, plan_time, plan_temperature, all_joined)
    start, end = float(plan_time[0]), float(plan_time[-1])
    gaps = tuple(
        Gap(float(time[i]), float(time[i + 1]))
        for i in np.flatnonzero(~joined)
        if time[i + 1] > start and time[i] < end
    )
    return Comparison(
        time=time,
        actual=actual,
        planned=planned,
        deviation=deviation,
        max_deviation=float(deviation[worst]),
        max_deviation_time=float(time[worst]),
        mean_deviation=_mean_size(time, deviation, joined),
        soak_band=soak_band,
        soak_time=_time_within(own_time, own_actual, own_joined, plan.soak_temperature, soak_band),
        planned_soak_time=_time_within(
            plan_time, plan_temperature, all_joined, plan.soak_temperature, soak_band
        ),
        transformation_rate=rate,
        planned_transformation_rate=planned_rate,
        fastest_rate=fastest,
        planned_fastest_rate=planned_fastest,
        gaps=gaps,
        warnings=_warnings(plan, Readings(own_time, own_actual), limit, rate, finished=finished),
    )


def _curve(plan: Plan) -> tuple[FloatArray, FloatArray]:
    """Corner points of the plan, each time once (segments share their ends)."""
    time, temperature = plan.curve()
    keep = np.concatenate((np.diff(time) > 0, [True]))
    return time[keep], temperature[keep]


def _mean_size(time: FloatArray, deviation: FloatArray, joined: BoolArray) -> float:
    """Mean of |deviation| over time, by straight lines of the deviation itself."""
    use = joined & np.isfinite(deviation[:-1]) & np.isfinite(deviation[1:])
    step = np.diff(time)[use]
    if step.sum() == 0:
        return float(np.nanmean(np.abs(deviation)))
    first, last = deviation[:-1][use], deviation[1:][use]
    size = np.abs(first) + np.abs(last)
    # Where the sign changes the line makes two triangles: (a^2 + b^2)/2(a + b) each step.
    crosses = first * last < 0
    mean = size / 2
    mean[crosses] = (first[crosses] ** 2 + last[crosses] ** 2) / (2 * size[crosses])
    return float((mean * step).sum() / step.sum())


def _time_within(
    time: FloatArray, temperature: FloatArray, joined: BoolArray, level: float, band: float
) -> float:
    """Seconds that straight lines between readings spend in level - band to level + band."""
    step = np.diff(time)[joined]
    first, last = temperature[:-1][joined], temperature[1:][joined]
    low, high = np.minimum(first, last), np.maximum(first, last)
    overlap = np.minimum(high, level + band) - np.maximum(low, level - band)
    rise = high - low
    flat = rise == 0
    share = np.clip(overlap, 0.0, None) / np.where(flat, 1.0, rise)
    share[flat] = overlap[flat] >= 0
    return float((share * step).sum())


def _transformation(
    plan: Plan, time: FloatArray, temperature: FloatArray, joined: BoolArray
) -> tuple[float | None, float | None]:
    """Mean and fastest cooling rate [K/s] between the plan's transformation temperatures.

    From the last crossing of the top downward to the first of the bottom after it; ``None`` when
    either is missing or lies in a gap.
    """
    top, bottom = plan.transformation_top, plan.transformation_bottom
    if not top > bottom:
        return None, None
    leaves = np.flatnonzero((temperature[:-1] >= top) & (temperature[1:] < top))
    arrives = np.flatnonzero((temperature[:-1] > bottom) & (temperature[1:] <= bottom))
    if leaves.size == 0:
        return None, None
    leave = leaves[-1]
    after = arrives[arrives >= leave]
    if after.size == 0:
        return None, None
    arrive = after[0]
    if not (joined[leave] and joined[arrive]):
        return None, None
    begin = _crossing(time, temperature, int(leave), top)
    end = _crossing(time, temperature, int(arrive), bottom)
    if end <= begin:
        return None, None
    inner = slice(int(leave) + 1, int(arrive) + 1)
    corner_time = np.concatenate(([begin], time[inner], [end]))
    corner_temperature = np.concatenate(([top], temperature[inner], [bottom]))
    mean = (top - bottom) / (end - begin)
    return mean, max(mean, _fastest(corner_time, corner_temperature))


def _crossing(time: FloatArray, temperature: FloatArray, index: int, level: float) -> float:
    first, last = temperature[index], temperature[index + 1]
    share = (first - level) / (first - last)
    return float(time[index] + share * (time[index + 1] - time[index]))


def _fastest(time: FloatArray, temperature: FloatArray) -> float:
    """Highest mean fall over any window of 15 minutes [K/s].

    The fall over a sliding window is piecewise linear in its position, so it is highest where
    one end of the window is at a corner.
    """
    window = min(FASTEST_WINDOW, float(time[-1] - time[0]))
    begins = np.concatenate((time, time - window))
    begins = begins[(begins >= time[0]) & (begins + window <= time[-1])]
    if begins.size == 0:
        begins = time[:1]
    fall = np.interp(begins, time, temperature) - np.interp(begins + window, time, temperature)
    return float(fall.max() / window)


def _no_overlap(plan: Plan, readings: Readings) -> RunError:
    if len(readings) == 0:
        return RunError(
            "There are no readings to compare.", field="readings", remedy="Import or type some."
        )
    plan_time, _ = plan.curve()
    return RunError(
        f"No reading falls within the plan: the plan runs from {_span(plan_time)}, "
        f"the log from {_span(readings.time)}.",
        field="readings",
        remedy="Check the plan, the date order and the time zone of the log.",
    )


def _span(time: FloatArray) -> str:
    return f"{_clock(float(time[0]))} to {_clock(float(time[-1]))}"


def _clock(time: float) -> str:
    return datetime.fromtimestamp(time, UTC).strftime("%Y-%m-%d %H:%M UTC")


def _warnings(
    plan: Plan, readings: Readings, limit: float, rate: float | None, *, finished: bool
) -> tuple[str, ...]:
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
    elif rate is None:
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
        "look at the thermocouple. Deviations and rates near it mean nothing."
    )
    return [sentence]
