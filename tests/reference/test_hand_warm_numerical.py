"""When the core is hand-warm, against the full heat equation solved numerically.

Source: scipy.integrate.solve_ivp (BDF, method of lines) on one-dimensional conduction with the
temperature-dependent heat capacity, conductivity, radiation and convection of the core package;
only the lumping into one lag is ours.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.sparse import diags_array

from core.equipment.lehr import Lehr
from core.glass.glass import Glass, MeasuredPoints
from core.glass.heat import conductivity, heat_capacity
from core.glass.properties import properties_of
from core.piece.piece import CooledFrom, Piece, Shape
from core.piece.response import PieceResponse
from core.piece.surface import surface_coefficient
from core.plan.hand_warm import core_temperatures, first_time_below

GLASS = properties_of(
    Glass("test", measured=MeasuredPoints(748.15, 788.15, expansion=95e-7, source="invented"))
)
HAND_WARM = 273.15 + 45.0
NODES = 25


def core_history(length: float, chamber, end: float, start: float):
    """Core temperature of a slab of conduction length ``length`` [m] behind ``chamber(t)`` [K]."""
    step = length / NODES
    density = GLASS.density.value
    tridiagonal = diags_array([1.0, 1.0, 1.0], offsets=[-1, 0, 1], shape=(NODES, NODES))

    def slope(time, temperature):
        between = 0.5 * (temperature[1:] + temperature[:-1])
        flux = np.zeros(NODES + 1)
        flux[1:-1] = conductivity(GLASS, between) * np.diff(temperature) / step
        outer = temperature[-1:]
        around = 0.5 * (outer + chamber(time))
        resistance = 1.0 / surface_coefficient(around) + 0.5 * step / conductivity(GLASS, outer)
        flux[-1] = ((chamber(time) - outer) / resistance)[0]
        return np.diff(flux) / step / (density * heat_capacity(GLASS, temperature))

    return solve_ivp(
        slope,
        (0.0, end),
        np.full(NODES, start),
        method="BDF",
        rtol=1e-6,
        jac_sparsity=tridiagonal,
        dense_output=True,
    )


@pytest.mark.parametrize(
    ("mm", "sides"), [(3.0, "one"), (20.0, "both"), (22.0, "one"), (60.0, "both")]
)
@pytest.mark.parametrize("hours", [2.0, 4.5])
def test_hand_warm_is_never_early_and_seldom_late(mm, sides, hours):
    lehr = Lehr("l", hours * 3600, ambient=291.15)
    start = 720.0
    end = 20 * lehr.cooling_time_constant

    def chamber(time):
        return lehr.ambient + (start - lehr.ambient) * np.exp(-time / lehr.cooling_time_constant)

    piece = Piece(
        "slab", 1, Shape.PLATE, "test", wall_thickness=mm / 1000, cooled_from=CooledFrom(sides)
    )
    time = np.linspace(0.0, end, 6000)
    core = core_temperatures((PieceResponse(piece, GLASS),), time, chamber(time))
    found = first_time_below(time, core, HAND_WARM)
    assert found is not None
    ours = found[0]
    length = piece.sections()[0].conduction_length
    solved = core_history(length, chamber, end, start)
    exact_time = np.linspace(0.0, end, 20_000)
    exact = exact_time[np.argmax(solved.sol(exact_time)[0] < HAND_WARM)]
    assert exact - 120.0 <= ours <= exact * 1.12
