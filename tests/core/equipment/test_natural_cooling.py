"""A lehr's cooling by itself, against Newton's law integrated by scipy."""

from __future__ import annotations

import pytest
from scipy.integrate import solve_ivp

from core.equipment.cooling import natural_cooling
from core.equipment.lehr import Lehr
from core.units import ZERO_CELSIUS


def test_points_lie_on_the_integrated_curve() -> None:
    lehr = Lehr("quay", cooling_time_constant=4.0 * 3600, ambient=ZERO_CELSIUS + 20)
    points = natural_cooling(lehr, [ZERO_CELSIUS + t for t in (500.0, 300.0, 100.0, 45.0)])
    assert points[0].elapsed == 0.0
    # dT/dt = -(T - ambient)/tau, from the first point on (scipy.integrate.solve_ivp).
    solution = solve_ivp(
        lambda _, kelvin: -(kelvin - lehr.ambient) / lehr.cooling_time_constant,
        (0.0, points[-1].elapsed),
        [points[0].temperature],
        t_eval=[point.elapsed for point in points],
        rtol=1e-9,
    )
    assert solution.y[0] == pytest.approx([point.temperature for point in points], rel=1e-6)
    # 480 K above the room over 4 h: 120 K/h.
    assert points[0].fastest * 3600 == pytest.approx(120.0)


def test_what_it_never_reaches_is_left_out() -> None:
    lehr = Lehr("quay", cooling_time_constant=4.0 * 3600, ambient=ZERO_CELSIUS + 30)
    points = natural_cooling(lehr, [ZERO_CELSIUS + t for t in (200.0, 30.0, 25.0)])
    assert [point.temperature for point in points] == [ZERO_CELSIUS + 200.0]
    assert natural_cooling(lehr, [ZERO_CELSIUS + 10.0]) == ()
