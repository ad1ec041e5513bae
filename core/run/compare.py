"""What the lehr did against what was planned."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from core.errors import RunError
from core.plan.plan import Plan
from core.run.alignment import Align, shift_of
from core.run.comparison_warnings import JUMP, warnings_of
from core.run.deviation import lateness_of, mean_size, time_within
from core.run.falling import FallingCurve, falling_from
from core.run.fastest_cooling import FASTEST_WINDOW, SustainedRate, fastest_cooling, slope_noise
from core.run.gaps import Gap, gap_limit
from core.run.heat_work import HeatWork, heat_work_of
from core.run.readings import Readings
from core.run.segment_table import SegmentRow, segment_rows_of
from core.run.smoothing import smoothed, spikes_of

FloatArray = NDArray[np.float64]

__all__ = ["JUMP", "Comparison", "Gap", "compare"]

_NIGHT = 12 * 3600.0
"""[s] before and after a plan from which readings are looked at when a log is aligned."""
_PLAN_EVERY = 60.0
"""[s] A plan's curve is read so often for its own fastest cooling."""


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
    fastest, planned_fastest : SustainedRate or None
        The fastest cooling in that range that lasted.
    gaps : tuple of Gap
        In the night.
    transformation_gaps : tuple of Gap
        Those of them in which the lehr was, or may have been, in the transformation range while
        cooling.
    warnings : tuple of str
        What the log does not cover, and readings that cannot be right.
    align : Align
    shift : float
        Seconds by which the log is later than the plan it was laid on; ``planned`` is the plan
        moved by so much.
    lateness : ndarray, shape (n,)
        How much later than planned (and shifted) the same temperature was reached on the way down
        [s]; NaN elsewhere.
    lateness_at_bottom : float or None
        The same where the transformation range ends.
    heat_work : tuple of HeatWork
        One a glass.
    segments : tuple of SegmentRow
    spikes : int
        Readings that stand alone, left out of rates.
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
    fastest: SustainedRate | None
    planned_fastest: SustainedRate | None
    gaps: tuple[Gap, ...]
    transformation_gaps: tuple[Gap, ...]
    warnings: tuple[str, ...]
    align: Align
    shift: float
    lateness: FloatArray
    lateness_at_bottom: float | None
    heat_work: tuple[HeatWork, ...]
    segments: tuple[SegmentRow, ...]
    spikes: int

    @property
    def fastest_rate(self) -> float | None:
        """Of ``fastest`` [K/s]."""
        return None if self.fastest is None else self.fastest.rate

    @property
    def planned_fastest_rate(self) -> float | None:
        """Of ``planned_fastest`` [K/s]."""
        return None if self.planned_fastest is None else self.planned_fastest.rate


def compare(
    plan: Plan,
    readings: Readings,
    *,
    soak_band: float = 5.0,
    gap_after: float | None = None,
    finished: bool = True,
    align: Align = Align.CLOCK,
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
        or three times the usual spacing, whichever is longer.
    finished : bool
        False while the run goes on: that the log ends early is then no warning.
    align : Align
        How the two are laid on each other.

    Raises
    ------
    RunError
        If there are no readings, none falls within the plan's span, an option is impossible, or
        the log does not show where it is to be aligned.

    Notes
    -----
    Between readings the temperature is taken along straight lines, never across a gap. Rates, hold
    times and lateness come from all readings together (:mod:`core.run.falling`,
    :mod:`core.run.fastest_cooling`), not from single ones.
    """
    _check_options(soak_band, gap_after)
    shift = shift_of(plan, _nearby(plan, readings), align)
    time, actual = readings.time, readings.temperature
    planned = plan.temperature_at(time - shift)
    inside = np.isfinite(planned)
    if not inside.any():
        raise _no_overlap(plan, readings)
    deviation = actual - planned
    limit = gap_after if gap_after is not None else gap_limit(time)
    joined = np.diff(time) <= limit
    curve = _curve(plan)
    all_joined = np.ones(curve[0].size - 1, dtype=bool)
    worst = int(np.nanargmax(np.abs(deviation)))
    # Readings before and after the plan belong to other nights.
    own = slice(int(np.argmax(inside)), int(inside.size - np.argmax(inside[::-1])))
    own_time, own_actual = time[own], actual[own]
    own_joined = np.diff(own_time) <= limit
    spikes = spikes_of(own_time, own_actual)
    sound_time, sound = own_time[~spikes], own_actual[~spikes]
    quiet = smoothed(sound_time, sound)
    falling = falling_from(sound_time, sound, plan.transformation_top, limit, quiet)
    noise = slope_noise(sound_time, sound, limit)
    rate, fastest = _transformation(plan, falling, sound_time, sound, limit, noise)
    planned_falling = falling_from(*curve, plan.transformation_top, np.inf, curve[1])
    planned_rate, planned_fastest = _planned_transformation(plan, curve, planned_falling, fastest)
    start, end = float(curve[0][0]) + shift, float(curve[0][-1]) + shift
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
        mean_deviation=mean_size(time, deviation, joined),
        soak_band=soak_band,
        soak_time=time_within(own_time, own_actual, own_joined, plan.soak_temperature, soak_band),
        planned_soak_time=time_within(*curve, all_joined, plan.soak_temperature, soak_band),
        transformation_rate=rate,
        planned_transformation_rate=planned_rate,
        fastest=fastest,
        planned_fastest=planned_fastest,
        gaps=gaps,
        transformation_gaps=_in_the_range(plan, falling),
        warnings=warnings_of(
            plan,
            Readings(own_time - shift, own_actual),
            limit,
            covered=rate is not None,
            finished=finished,
        ),
        align=align,
        shift=shift,
        lateness=lateness_of(plan, planned_falling, falling, time, shift),
        lateness_at_bottom=_late_at_bottom(plan, falling, planned_falling, shift),
        heat_work=heat_work_of(sound_time, quiet, curve, plan.zones, limit),
        segments=segment_rows_of(plan, sound_time, sound, quiet, limit),
        spikes=int(np.count_nonzero(spikes)),
    )


def _check_options(soak_band: float, gap_after: float | None) -> None:
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


def _nearby(plan: Plan, readings: Readings) -> Readings:
    """Readings of the night and half a day about it; all where there are none."""
    curve_time, _ = plan.curve()
    near = readings.time > curve_time[0] - _NIGHT
    near &= readings.time < curve_time[-1] + _NIGHT
    if not near.any():
        return readings
    return Readings(readings.time[near], readings.temperature[near])


def _curve(plan: Plan) -> tuple[FloatArray, FloatArray]:
    """Corner points of the plan, each time once (segments share their ends)."""
    time, temperature = plan.curve()
    keep = np.concatenate((np.diff(time) > 0, [True]))
    return time[keep], temperature[keep]


def _transformation(
    plan: Plan,
    falling: FallingCurve | None,
    time: FloatArray,
    temperature: FloatArray,
    limit: float,
    noise: float = 0.0,
    window: float = FASTEST_WINDOW,
) -> tuple[float | None, SustainedRate | None]:
    """Mean and fastest cooling between the plan's transformation temperatures.

    ``None`` where either is not passed, or is passed within a gap.
    """
    top, bottom = plan.transformation_top, plan.transformation_bottom
    if falling is None or not top > bottom:
        return None, None
    begin, end = falling.passes(top), falling.passes(bottom)
    rate = falling.mean_rate(top, bottom)
    if begin is None or end is None or rate is None:
        return None, None
    within = (time > begin) & (time < end)
    stretch = np.concatenate(([begin], time[within], [end]))
    fastest = fastest_cooling(
        stretch,
        np.concatenate(([top], temperature[within], [bottom])),
        limit,
        window=window,
        noise=noise,
    )
    return rate, fastest


def _planned_transformation(
    plan: Plan,
    curve: tuple[FloatArray, FloatArray],
    falling: FallingCurve | None,
    like: SustainedRate | None,
) -> tuple[float | None, SustainedRate | None]:
    """The same of the plan, over windows as long as that of the log."""
    window = FASTEST_WINDOW if like is None else max(FASTEST_WINDOW, like.end - like.start)
    every = np.union1d(np.arange(curve[0][0], curve[0][-1], _PLAN_EVERY), curve[0])
    return _transformation(plan, falling, every, np.interp(every, *curve), np.inf, window=window)


def _late_at_bottom(
    plan: Plan, falling: FallingCurve | None, planned: FallingCurve | None, shift: float
) -> float | None:
    if falling is None or planned is None:
        return None
    actual, wanted = (curve.passes(plan.transformation_bottom) for curve in (falling, planned))
    return None if actual is None or wanted is None else actual - shift - wanted


def _in_the_range(plan: Plan, falling: FallingCurve | None) -> tuple[Gap, ...]:
    if falling is None:
        return ()
    return falling.gaps_between(plan.transformation_top, plan.transformation_bottom)


def _no_overlap(plan: Plan, readings: Readings) -> RunError:
    if len(readings) == 0:
        return RunError(
            "There are no readings to compare.", field="readings", remedy="Import or type some."
        )
    plan_time, _ = plan.curve()
    apart = round((float(readings.time[0]) - float(plan_time[0])) / 86400.0)
    years = round(apart / 365.25)
    remedy = "Check the plan, the date order and the time zone of the log."
    if years and abs(apart - 365.25 * years) <= 2.0:
        count = "a year" if abs(years) == 1 else f"{abs(years)} years"
        way = "later" if years > 0 else "earlier"
        remedy = f"The same night {count} {way}: check the logger's clock and the year."
    return RunError(
        f"No reading falls within the plan: the plan runs from {_span(plan_time)}, "
        f"the log from {_span(readings.time)}.",
        field="readings",
        remedy=remedy,
    )


def _span(time: FloatArray) -> str:
    return f"{_clock(float(time[0]))} to {_clock(float(time[-1]))}"


def _clock(time: float) -> str:
    return datetime.fromtimestamp(time, UTC).strftime("%Y-%m-%d %H:%M UTC")
