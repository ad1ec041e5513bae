"""The program as keyed in, run by an ideal controller, and the stress the glass behind it meets.

Source: :mod:`viscoelastic_collocation`, an independent solution of heat, structure and stress
(spectral collocation, scipy.integrate.solve_ivp BDF), and the same solver on plain conduction. What
is tested starts at the lines on the card: neither the plan's own curve nor the planner's replay is
used. The glass is taken as believed, and as soft and as stiff as it may be.
"""

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.sparse import diags_array
from viscoelastic_collocation import Model

from core.equipment.lehr import Controller, Entry, Lehr
from core.glass.glass import Glass, MeasuredPoints
from core.glass.heat import conductivity, heat_capacity
from core.glass.properties import properties_of
from core.load.load import Load
from core.piece.piece import CooledFrom, Piece, Shape
from core.piece.surface import surface_coefficient
from core.plan.planner import make_plan
from core.plan.program import rate_lines, time_lines
from core.units import TemperatureUnit

STRAIN, ANNEALING, SOFTENING = 748.15, 788.15, 973.15
SHEET = Glass(
    "test",
    measured=MeasuredPoints(STRAIN, ANNEALING, SOFTENING, expansion=95e-7, source="invented"),
)
GLASS = properties_of(SHEET)
NODES = 24
AMBIENT, HOURS, OFFSET = 291.15, 3.0, 7.0
BUTTON = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)


def planned(mm: float, sides: str, controller: Controller, start: float | None):
    pane = Piece(
        "slab", 1, Shape.PLATE, "test", wall_thickness=mm / 1000, cooled_from=CooledFrom(sides)
    )
    lehr = Lehr("l", HOURS * 3600, AMBIENT, thermocouple_offset=OFFSET, controller=controller)
    load = Load("night", (pane,), {"test": SHEET}, lehr, BUTTON, start_temperature=start)
    return make_plan(load), load, pane.sections()[0].conduction_length


def keyed_in(plan, controller: Controller):
    """Corners (seconds, true chamber temperature) of what an ideal controller does, then losses."""
    fahrenheit = controller.unit is TemperatureUnit.FAHRENHEIT
    per_kelvin = 1.8 if fahrenheit else 1.0

    def true(target: float) -> float:
        celsius = (target - 32.0) / 1.8 if fahrenheit else target
        return celsius + 273.15 - OFFSET

    time, chamber = [0.0], [plan.segments[0].start_temperature - OFFSET]
    if controller.entry is Entry.RATE:
        lines = rate_lines(plan, controller)
        for line in lines:
            change = abs(true(line.target) - chamber[-1]) * per_kelvin
            time += [time[-1] + change / line.rate * 3600]
            time += [time[-1] + line.hold * 60]
            chamber += [true(line.target)] * 2
    else:
        lines = time_lines(plan, controller)
        for line in lines:
            time.append(time[-1] + line.minutes * 60)
            chamber.append(true(line.target))
    assert len(lines) <= controller.max_segments
    coasting = np.linspace(0.0, 3.0 * HOURS * 3600, 41)[1:]
    excess = (chamber[-1] - AMBIENT) * np.exp(-coasting / (HOURS * 3600))
    time, chamber = np.array(time), np.array(chamber)
    return np.append(time, time[-1] + coasting), np.append(chamber, AMBIENT + excess)


def profiles(length: float, time: np.ndarray, chamber: np.ndarray):
    """Cell temperatures of a slab, even at first, at 4000 moments: (moments, cells by moments)."""
    step = length / NODES
    tridiagonal = diags_array([1.0, 1.0, 1.0], offsets=[-1, 0, 1], shape=(NODES, NODES))

    def slope(now, kelvin):
        around = np.interp(now, time, chamber)
        flux = np.zeros(NODES + 1)
        between = 0.5 * (kelvin[1:] + kelvin[:-1])
        flux[1:-1] = conductivity(GLASS, between) * np.diff(kelvin) / step
        outer = kelvin[-1:]
        film = surface_coefficient(0.5 * (outer + around))
        flux[-1] = ((around - outer) / (1 / film + 0.5 * step / conductivity(GLASS, outer)))[0]
        return np.diff(flux) / step / (GLASS.density.value * heat_capacity(GLASS, kelvin))

    moments = np.linspace(0.0, time[-1], 4000)
    solved = solve_ivp(
        slope, (0.0, time[-1]), np.full(NODES, chamber[0]), method="BDF", rtol=1e-6, atol=1e-5,
        t_eval=moments, jac_sparsity=tridiagonal, max_step=900.0,
    )  # fmt: skip
    return moments, solved.y


HOT, COLD = None, AMBIENT
NIGHTS = [
    (20.0, "both", Controller(), HOT),
    (9.0, "one", Controller(unit=TemperatureUnit.FAHRENHEIT), COLD),
    (45.0, "both", Controller(entry=Entry.TIME, max_segments=5), HOT),
    (60.0, "both", Controller(max_segments=3, rate_step=0.1), HOT),
    (25.0, "both", Controller(Entry.TIME, TemperatureUnit.FAHRENHEIT, 3), COLD),
]


EVENING = 24 * 3600.0


def glass_shifted(by: float):
    """The glass with all its fixed points so much higher [K]."""
    points = {
        name: replace(getattr(GLASS, name), value=getattr(GLASS, name).value + by)
        for name in ("strain_point", "annealing_point", "softening_point")
    }
    return replace(GLASS, **points)


def corners(lehr: Lehr):
    """As believed, and the two ends of everything uncertain together [K]."""
    point = GLASS.annealing_point
    more = lehr.thermocouple_error + lehr.unevenness
    return 0.0, point.low - point.value - more, point.high - point.value + more


@pytest.mark.parametrize(("mm", "sides", "controller", "start"), NIGHTS)
def test_stress_behind_the_keyed_program_stays_within_the_limits(mm, sides, controller, start):
    plan, load, length = planned(mm, sides, controller, start)
    time, chamber = keyed_in(plan, controller)
    kept = np.append(np.diff(time) > 0.0, True)
    time, chamber = time[kept], chamber[kept]
    # Until even, then nothing of what is met on the way is left in what stays.
    time, chamber = np.append(time, time[-1] + EVENING), np.append(chamber, chamber[-1])
    limits = load.limits
    left = []
    for by in corners(load.lehr):
        glass = glass_shifted(by)
        model = Model(0, (length,), glass, nodes=6)
        rested = np.full((6, 1), max(chamber[0], glass.annealing_point.value - 11.0))
        found = model.solve(time, chamber, fictive=rested)
        left.append(found.main[0, 0, -1] * 1e6)
        met = found.main.max() * 1e6
        assert met <= limits.temporary_tension / limits.safety_factor * 1.02
    # Within 1 %: how far the engine may be from this solution.
    assert max(left) <= limits.permanent_tension * 1.01
    # The limit is not out of all proportion either: the night is no longer than whole rates need.
    assert max(left) >= 0.5 * limits.permanent_tension


@pytest.mark.parametrize(("mm", "sides", "controller", "start"), NIGHTS)
def test_core_is_cool_when_it_is_called_ready(mm, sides, controller, start):
    plan, load, length = planned(mm, sides, controller, start)
    time, chamber = keyed_in(plan, controller)
    moments, kelvin = profiles(length, time, chamber)
    ready = (plan.ready_at - plan.start).total_seconds()
    assert np.interp(ready, moments, kelvin[0]) <= load.hand_warm + 0.1


def test_cold_vessel_is_heated_and_cooled_within_the_wall_to_base_limits():
    """Wall and base behind the same keyed program, joined in one strain: full restraint."""
    thin, thick = 0.003, 0.014
    jug = Piece(
        "jug", 1, Shape.VESSEL, "test",
        wall_thickness=thin, base_thickness=thick, cooled_from=CooledFrom.ONE,
    )  # fmt: skip
    controller = Controller(max_segments=10)
    lehr = Lehr(
        "l", HOURS * 3600, AMBIENT, 900.0 / 3600, thermocouple_offset=OFFSET, controller=controller
    )
    load = Load("night", (jug,), {"test": SHEET}, lehr, BUTTON, start_temperature=AMBIENT)
    plan = make_plan(load)
    time, chamber = keyed_in(plan, controller)
    kept = np.append(np.diff(time) > 0.0, True)
    time, chamber = time[kept], chamber[kept]
    time, chamber = np.append(time, time[-1] + EVENING), np.append(chamber, chamber[-1])
    limits = load.limits
    # As believed only, and less finely: two thin sections together are slow to solve this way.
    shares = (thin / (thin + thick), thick / (thin + thick))
    model = Model(0, (thin, thick), GLASS, nodes=4, shares=shares)
    rested = np.full((4, 2), ANNEALING - 11.0)
    found = model.solve(time, chamber, fictive=rested, rtol=1e-4, atol=1e-3)
    mean = np.einsum("n,nst->st", model.weight, found.main) * 1e6
    assert np.abs(mean).max() <= limits.temporary_wall_base / limits.safety_factor * 1.02
    assert np.abs(mean[:, -1]).max() <= limits.permanent_wall_base * 1.01
    own = found.main[0, :, -1] * 1e6 - mean[:, -1]
    assert own.max() <= limits.permanent_tension * 1.01
