"""A lehr fitted to one of its runs: how it loses heat, and what its elements still give."""

from __future__ import annotations

from datetime import datetime

import numpy as np
from numpy.typing import NDArray
from scipy.stats import t as student

from core.equipment.lehr import LEHR_LIMITS, Lehr
from core.errors import FurnaceError
from core.melt.fit_interval import LEVEL, fitted
from core.melt.fitted import Fitted
from core.melt.lehr_fit import LEAST_SPAN, fit_lehr
from core.plan.plan import Plan
from core.run.coasting import coasting_of
from core.run.equipment_fit import EquipmentFit
from core.run.gaps import joined_steps
from core.run.live_source import EquipmentKind
from core.run.readings import Readings
from core.run.smoothing import smoothed

FloatArray = NDArray[np.float64]

TIME_CONSTANT = "cooling time constant"
FULL_POWER = "rate at full power"
_BEHIND = 5.0
"""[K] below what the program asks for at which the controller gives all it has; common practice,
no source."""
_BLOCK = 600.0
"""[s] over which a heating rate is taken."""
_FEWEST = 4
"""Blocks from which a heating tells the rate."""


def fit_of_run(
    lehr: Lehr, plan: Plan, readings: Readings, fitted_at: datetime, run_id: int | None = None
) -> EquipmentFit | None:
    """Fit a lehr to a run, as far as the run tells.

    Parameters
    ----------
    lehr : Lehr
        As entered; its room temperature is taken as it is.
    plan : Plan
    readings : Readings
        Of the run.
    fitted_at : datetime
        Aware; the time it stands for.
    run_id : int, optional

    Returns
    -------
    EquipmentFit or None
        ``None`` where the run shows neither a cooling with the power off nor a heating at full
        power.
    """
    found: list[Fitted] = []
    remarks: list[str] = []
    scatter = None
    constant = lehr.cooling_time_constant
    shown = coasting_of(plan, lehr, readings)
    if shown is not None and shown.temperature_span >= LEAST_SPAN:
        try:
            fit = fit_lehr(lehr, shown)
        except FurnaceError as error:
            remarks.append(str(error))
        else:
            found.append(fit.time_constant)
            scatter = fit.scatter
            # Of the power, off all the while, nothing else was to be expected.
            remarks += fit.remarks[:-1]
            if fit.time_constant.determined:
                constant = fit.time_constant.value
    else:
        remarks.append("The run shows no long cooling with the power off.")
    rate = _full_power(lehr, plan, readings, constant)
    if rate is not None:
        found.append(rate)
    if not found:
        return None
    return EquipmentFit(
        equipment=lehr.name,
        equipment_kind=EquipmentKind.LEHR,
        fitted_at=fitted_at,
        parameters=tuple(found),
        scatter=scatter,
        run_id=run_id,
        remarks=tuple(remarks),
    )


def _full_power(lehr: Lehr, plan: Plan, readings: Readings, constant: float) -> Fitted | None:
    """Rate at full power without loss, from heating that stayed behind the program [K/s]."""
    time = readings.time
    if time.size < 2:
        return None
    quiet = smoothed(time, readings.temperature)
    planned = plan.temperature_at(time)
    behind = np.isfinite(planned) & (quiet < planned - _BEHIND)
    usable = behind[:-1] & behind[1:] & joined_steps(time)
    block = np.floor((time - time[0]) / _BLOCK)
    rates = []
    for number in np.unique(block[:-1][usable]).tolist():
        mine = np.flatnonzero((block == number) & behind)
        if mine.size < 3 or time[mine[-1]] - time[mine[0]] < 0.6 * _BLOCK:
            continue
        slope = float(np.polyfit(time[mine] - time[mine[0]], quiet[mine], 1)[0])
        if slope <= 0.0:
            continue
        true = float(quiet[mine].mean()) - lehr.thermocouple_offset
        rates.append(slope + (true - lehr.ambient) / constant)
    if len(rates) < _FEWEST:
        return None
    logs = np.log(rates)
    half = float(student.ppf(0.5 + LEVEL / 2.0, logs.size - 1)) * float(logs.std(ddof=1))
    bounds = LEHR_LIMITS["max_heating_rate"]
    return fitted(
        FULL_POWER,
        float(np.exp(logs.mean())),
        half / float(np.sqrt(logs.size)),
        (bounds[0] / 100.0, bounds[1] * 10.0),
    )
