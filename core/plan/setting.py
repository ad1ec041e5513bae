"""Everything fixed of one night's problem, in the form the search for a cooling needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Lehr
from core.glass.glass import GlassProperties
from core.load.load import StressLimits
from core.plan.arrivals import Arrival, arrivals, day_before
from core.plan.cooling import Cooling
from core.plan.corners import Corner, Margins, glasses_at, pieces_at
from core.plan.night import Night
from core.plan.stress_check import allowed
from core.plan.trials import COARSE, STEADY, Case, ratios
from core.stress.accuracy import Accuracy
from core.stress.history import ChamberHistory

FloatArray = NDArray[np.float64]

SAFE_SIDE = 0.02
"""Ln of stress over limit that candidates keep below, for what coarse reckoning may be off."""
GRID_SIDE = 0.008
"""The same on the controller's grid, where only the replay comes after."""
STEADY_SIDE, STEADY_GRID_SIDE = 0.006, 0.003
"""The same by steadier reckoning, at the end of a search."""
CLOSE = 0.12
"""A piece this close [ln] to the one nearest its limit is followed through the search; any found
wanting afterwards is taken in."""
MATTERS = 0.7
"""A stress further [ln] from its limit than this behind the worst does not decide who is."""
OFF_BELOW_STRAIN = 10.0
"""The power never goes off above so far [K] below the lowest strain point, however slow the lehr:
a draught or a door would cool it in the range that matters. Common practice, no source."""


@dataclass(frozen=True)
class Setting:
    """A night with its cases (pieces at corners).

    Attributes
    ----------
    night : Night
    margins : Margins
    soft, stiff : tuple of GlassProperties
        The glasses at either corner.
    cases : tuple of Case
    past : ChamberHistory or None
        True chamber temperatures that the pieces have been through by the time the plan begins.
    continues : bool
        The plan goes on down from the present temperature, without another soak.
    came : tuple of Arrival
        How each piece of the load came into the lehr.
    hold : float or None
        How long the soak is held [s]; ``None``: by the closed form.
    room : int or None
        How many ramps the controller has segments for; ``None``: not counted.
    accuracy : Accuracy
        With which candidates are tried.
    side, grid_side : float
        Ln of stress over limit that candidates keep below, for what that may be off; on the
        controller's grid.
    """

    night: Night
    margins: Margins
    soft: tuple[GlassProperties, ...]
    stiff: tuple[GlassProperties, ...]
    cases: tuple[Case, ...]
    past: ChamberHistory | None = None
    continues: bool = False
    came: tuple[Arrival, ...] = ()
    hold: float | None = None
    room: int | None = None
    accuracy: Accuracy = COARSE
    side: float = SAFE_SIDE
    grid_side: float = GRID_SIDE

    @property
    def lehr(self) -> Lehr:
        """The lehr of the load."""
        return self.night.lehr

    @property
    def end(self) -> float:
        """Chamber temperature [K] the search counts time to."""
        return self.night.load.hand_warm

    @property
    def highest_off(self) -> float:
        """Highest true temperature [K] at which the power may go off."""
        lowest = min(r.properties.strain_point.value for r in self.night.responses)
        return max(lowest - OFF_BELOW_STRAIN, self.lehr.ambient + 2.0)

    def ratios(
        self,
        coolings: Sequence[Cooling],
        cases: Sequence[Case] | None = None,
        accuracy: Accuracy | None = None,
    ) -> FloatArray:
        """Ln of stress over what is allowed; see :func:`core.plan.trials.ratios`."""
        # A soak between makes the past forgotten; the replay still looks at it.
        past = self.past if self.continues else None
        used = tuple(cases or self.cases)
        if past is not None and self.came:
            used = tuple(replace(case, piece=self.came[case.index].of(case.piece)) for case in used)
        return ratios(used, coolings, self.lehr, self.end, accuracy or self.accuracy, past)

    def steadied(self) -> Setting:
        """The same problem, its candidates tried more finely."""
        return replace(self, accuracy=STEADY, side=STEADY_SIDE, grid_side=STEADY_GRID_SIDE)

    def close_cases(self, found: FloatArray) -> tuple[Case, ...]:
        """Cases that come near being the worst in any column; ``found`` is (cases, columns)."""
        nearest = found.max(axis=0)
        decides = nearest > found.max() - MATTERS
        matters = (found > nearest - CLOSE) & decides
        rows = np.flatnonzero(matters.any(axis=1))
        if rows.size == 0:
            rows = np.array([int(found.max(axis=1).argmax())])
        return tuple(self.cases[i] for i in rows)


def limits_of_piece(night: Night, index: int) -> StressLimits:
    """Limits of one of the load's pieces."""
    response = night.responses[index]
    coefficient = response.properties.stress_optical_coefficient.value
    return night.load.limits_of(response.piece, coefficient)


def setting_of(night: Night, margins: Margins) -> Setting:
    """Lay out a night's cases; identical pieces are followed once."""
    properties = {r.piece.glass: r.properties for r in night.responses}
    corners = (Corner.BELIEVED,) if margins.none else (Corner.SOFT, Corner.STIFF)
    load = night.load
    cases: list[Case] = []
    seen: set[tuple[object, ...]] = set()
    for corner in corners:
        glasses = glasses_at(load, properties, margins, corner)
        for index, piece in enumerate(pieces_at(load, glasses)):
            may = tuple(allowed(limits_of_piece(night, index)).values())
            own = load.pieces[index]
            placing = load.placing_of(own)
            key = (corner, piece.sections, piece.joined, own.glass, may, placing)
            if key not in seen:
                seen.add(key)
                cases.append(Case(index, corner, piece, may))
    came = arrivals(load)
    return Setting(
        night,
        margins,
        tuple(_distinct(glasses_at(load, properties, margins, Corner.SOFT))),
        tuple(_distinct(glasses_at(load, properties, margins, Corner.STIFF))),
        tuple(cases),
        past=day_before(night, came),
        came=came,
    )


def _distinct(glasses: Sequence[GlassProperties]) -> list[GlassProperties]:
    return list({id(glass): glass for glass in glasses}.values())
