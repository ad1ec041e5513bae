"""A furnace's heat loss, heat content and power fitted to a logged run.

Three factors on the description are fitted: on the conductivity of all walls, on the heat they
and the pot hold, and on the power. Temperatures alone do not tell the three from one another (a
furnace with everything doubled warms and cools alike), only their ratios; a metered power does.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from core.errors import FurnaceError, StoppedError
from core.melt.fit_interval import fitted, inseparable, spread_of
from core.melt.fit_remarks import fit_remarks
from core.melt.fitted import Fitted
from core.melt.furnace_run import FurnaceRun
from core.melt.glass_melt import GlassMelt, glass_melt
from core.melt.melt_task import MeltTask
from core.melt.melting_furnace import Layer, MeltingFurnace
from core.melt.pot_vessel import PotVessel
from core.melt.refractory import Refractory
from core.melt.setting import Setting
from core.melt.thermal_log import Bins, ThermalLog, binned, means_over

FloatArray = NDArray[np.float64]

BOUNDS = (0.3, 3.5)
"""Of every factor: beyond them the description is of another furnace."""
_MOST_BINS = 300
_LEAST_WIDTH = 300.0
"""[s]."""
_FINEST = 1200
"""Parts a log is first cut into."""
_SETTLING = 6 * 3600.0
"""[s] Left out at the start of a log that begins hot: how its walls were is not known."""
_START_SCALE = 30.0
"""[K] By which the temperature at the start may be off the first reading."""
_DIFFERENCE = 0.01
"""Step of the differences, in logarithms: wide, for the adaptive steps of a simulation scatter."""
_USUAL_RUNS = 12
"""Simulations after which a fit is said to be half done."""
_COLD = 60.0
"""[K] Above the room: colder, a furnace counts as cold through."""
_FINENESS = 5
_ERROR = 1.0
"""[K] In a step; far below what a furnace's thermocouple is worth."""
_UNEVEN = 0.02
"""Change of power within a bin, as a share of full power, at which its mean temperature begins to
say less."""
_MODEL_ERROR = 0.1
"""[K] Root mean square of what steps, nodes and bins of the fit's simulation cost; what the
description itself leaves out comes on top and shows in the scatter."""
LEAST_SPAN = 30.0
"""[K] A log that moves less says nothing of the heat content."""


@dataclass(frozen=True)
class FurnaceFit:
    """A furnace fitted to a log.

    Attributes
    ----------
    furnace : MeltingFurnace
        With the fitted factors in its walls and source; those that are not determined left as
        they were.
    pot : PotVessel
    parameters : tuple of Fitted
        Factors ``loss``, ``heat content`` and, unless it was metered, ``power``.
    time, logged, simulated : ndarray, shape (n,)
        [s from the log's start] and [K]: to lay one on the other.
    scatter : float
        Root mean square of their difference [K], where the power was even.
    remarks : tuple of str
        Plain sentences: what the log cannot tell, and what would.
    """

    furnace: MeltingFurnace
    pot: PotVessel
    parameters: tuple[Fitted, ...]
    time: FloatArray
    logged: FloatArray
    simulated: FloatArray
    scatter: float
    remarks: tuple[str, ...]

    @property
    def determined(self) -> bool:
        """True when the log settles every parameter."""
        return all(parameter.determined for parameter in self.parameters)


def scaled_furnace(
    furnace: MeltingFurnace, pot: PotVessel, loss: float, store: float, power: float
) -> tuple[MeltingFurnace, PotVessel]:
    """A furnace whose walls conduct, whose walls and pot hold, and which heats so much more."""
    sections = tuple(
        replace(
            section,
            layers=tuple(
                Layer(_scaled(layer.material, loss, store), layer.thickness)
                for layer in section.layers
            ),
        )
        for section in furnace.sections
    )
    source = replace(furnace.source, power=furnace.source.power * power)
    changed = replace(furnace, sections=sections, source=source)
    return changed, replace(pot, material=_scaled(pot.material, 1.0, store))


def _scaled(material: Refractory, loss: float, store: float) -> Refractory:
    if loss == 1.0 and store == 1.0:
        return material
    c0, c1 = material.heat_capacity
    name = material.name
    if not name.endswith(", fitted"):
        name += ", fitted"
    return replace(
        material,
        name=name,
        conductivity=tuple((t, k * loss) for t, k in material.conductivity),
        heat_capacity=(c0 * store, c1 * store),
        source=f"{material.source}; conductivity x {loss:.3f}, heat capacity x {store:.3f} fitted",
    )


def fit_furnace(
    furnace: MeltingFurnace,
    pot: PotVessel,
    melt: GlassMelt,
    log: ThermalLog,
    *,
    glass_mass: float = 0.0,
    opening: float | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> FurnaceFit:
    """Fit the description of a furnace to a logged run without charges.

    Parameters
    ----------
    furnace, pot, melt
        As described; the fit starts from them.
    log : ThermalLog
        Its power is a share of the power on the plate.
    glass_mass : float
        In the pot all the while [kg].
    opening : float, optional
        Share of the opening that stood open; by default as at night.
    progress : callable, optional
        Told the share done, 0 to 1, as far as that can be foreseen.
    cancelled : callable, optional
        Asked between simulations; true stops the fit.

    Raises
    ------
    RunError
        If the log cannot be used at all.
    FurnaceError
        If the temperatures hardly change.
    StoppedError
        If it was cancelled.
    """
    if log.temperature_span < LEAST_SPAN:
        raise FurnaceError(
            f"The log moves by only {log.temperature_span:.0f} °C: it tells what holding takes, "
            "but not how the furnace warms and cools.",
            field="temperature",
            remedy=f"Log a heating or a cooling of at least {LEAST_SPAN:.0f} °C.",
        )
    bins = binned(log, max(_LEAST_WIDTH, log.duration / _FINEST), _MOST_BINS)
    share = furnace.opening.open_at_night if opening is None else opening
    cold = float(bins.temperature[np.isfinite(bins.temperature)][0]) < furnace.ambient + _COLD
    used = np.isfinite(bins.temperature)
    if not cold and log.duration > 3 * _SETTLING:
        used &= bins.middle > _SETTLING
    names = ("loss", "heat content") if log.metered else ("loss", "heat content", "power")
    seen: dict[tuple[float, ...], FloatArray] = {}

    weight = np.sqrt(bins.number[used] / bins.number[used].mean())
    weight /= np.sqrt(1.0 + (bins.uneven[used] / _UNEVEN) ** 2)
    began = float(bins.temperature[np.isfinite(bins.temperature)][0])

    def simulated(x: FloatArray) -> FloatArray:
        key = tuple(x.tolist())
        if key not in seen:
            if cancelled is not None and cancelled():
                raise StoppedError("The fit was stopped.")
            if progress is not None:
                progress(len(seen) / (len(seen) + _USUAL_RUNS))
            changed = scaled_furnace(furnace, pot, *_factors(x[1:]))
            start = began + _START_SCALE * float(x[0])
            seen[key] = _follow(*changed, melt, bins, start, glass_mass, share)
        return seen[key]

    def residuals(x: FloatArray) -> FloatArray:
        return np.asarray((simulated(x)[used] - bins.temperature[used]) * weight)

    parameters, at, pairs = _least_squares(names, residuals, bins.middle[used])
    if not log.metered and not all(parameter.determined for parameter in parameters):
        # The power as on the plate, and what then follows for the others.
        given, at, _ = _least_squares(names[:2], residuals, bins.middle[used])
        parameters = (*given, replace(parameters[2], determined=False))
    settled = [p.value if p.determined else 1.0 for p in parameters]
    changed, changed_pot = scaled_furnace(furnace, pot, *[*settled, 1.0][:3])
    fit = simulated(at)[used]
    return FurnaceFit(
        furnace=changed,
        pot=changed_pot,
        parameters=parameters,
        time=bins.middle[used],
        logged=bins.temperature[used],
        simulated=fit,
        scatter=float(np.sqrt(np.mean(np.square(residuals(at))) / np.mean(weight**2))),
        remarks=fit_remarks(parameters, pairs, BOUNDS, metered=log.metered),
    )


def fit_described(
    task: MeltTask,
    log: ThermalLog,
    glass_mass: float,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> FurnaceFit:
    """Fit the furnace and pot of a described melt; see :func:`fit_furnace`."""
    return fit_furnace(
        task.furnace,
        task.pot,
        glass_melt(task.glass, task.tint),
        log,
        glass_mass=glass_mass,
        progress=progress,
        cancelled=cancelled,
    )


def _differences(residuals: Callable[[FloatArray], FloatArray], x: FloatArray) -> FloatArray:
    """Jacobian by forward differences, shape (n, p)."""
    here = residuals(x)
    columns = []
    for i in range(len(x)):
        moved = x.copy()
        moved[i] += _DIFFERENCE if moved[i] < 0.5 else -_DIFFERENCE
        columns.append((residuals(moved) - here) / (moved[i] - x[i]))
    return np.array(columns).T


def _least_squares(
    names: tuple[str, ...], residuals: Callable[[FloatArray], FloatArray], times: FloatArray
) -> tuple[tuple[Fitted, ...], FloatArray, list[tuple[str, str]]]:
    """Parameters, where the fit ended, and the pairs it could not tell apart.

    The temperature at which the furnace stood before the log is fitted along: the first readings
    tell it no better than their noise.
    """
    low, high = (math.log(bound) for bound in BOUNDS)
    count = len(names)

    def jacobian(x: FloatArray) -> FloatArray:
        return _differences(residuals, x)

    found = least_squares(
        residuals,
        np.zeros(1 + count),
        jac=jacobian,
        bounds=([-1.0, *[low] * count], [1.0, *[high] * count]),
        xtol=1e-4,
        ftol=2e-3,
        max_nfev=25,
    )
    x = np.asarray(found.x)
    # Loss and heat content are fitted per power: that is what temperatures tell.
    sums = np.eye(1 + count)[1:]
    sums[:2, 3:] = 1.0
    spread = spread_of(
        np.asarray(found.jac), np.asarray(found.fun), times, _MODEL_ERROR, combined=sums
    )
    parameters = tuple(
        fitted(name, factor, float(half), BOUNDS)
        for name, factor, half in zip(names, _factors(x[1:]), spread.half_widths, strict=False)
    )
    return parameters, x, inseparable(names, spread)


def _factors(x: FloatArray) -> tuple[float, float, float]:
    """Loss, heat content and power from the logarithms of loss and heat content per power."""
    power = float(x[2]) if len(x) > 2 else 0.0
    low, high = BOUNDS
    loss, store = (min(high, max(low, math.exp(float(value) + power))) for value in x[:2])
    return loss, store, math.exp(power)


def _follow(
    furnace: MeltingFurnace,
    pot: PotVessel,
    melt: GlassMelt,
    bins: Bins,
    start: float,
    glass_mass: float,
    opening: float,
) -> FloatArray:
    """Thermocouple temperature at the middle of every bin [K], shape (n,)."""
    run = FurnaceRun(
        furnace, pot, melt, start, glass_mass, error=_ERROR, fineness=_FINENESS, sparing=True
    )
    if start > furnace.ambient + _COLD:
        run.settle_at(start, opening)
    run.longest = math.inf
    for end, power in zip(bins.end, bins.power, strict=True):
        run.go(Setting(0.0, None, opening=opening, power=float(power)), float(end))
    return means_over(bins, *run.trace())
