"""Slow cooling rates and soaks against annealing tables by thickness and expansion.

Sources
-------
Ordinary ware: Shand E.B. 1958, Glass Engineering Handbook (McGraw-Hill), commercial annealing
schedule; from memory, unverified. Rates in °C/min as printed there.
Lead casting crystal: Gaffer Glass technical note "Annealing Schedule for Casting Crystal";
the maker calls it conservative. Rates in °C/h for slabs cooled from both sides.
"""

from datetime import UTC, datetime

import numpy as np
import pytest
from handbook_tables import LEAD_CASTING, ORDINARY_WARE

from core.equipment.lehr import Controller, Entry, Lehr
from core.glass.glass import Estimate, Glass, GlassProperties, MeasuredPoints
from core.glass.properties import properties_of
from core.load.load import Load, StressLimits
from core.load.load_stress import drawn_history
from core.piece import cooling_stress
from core.piece.piece import CooledFrom, Piece, Shape
from core.piece.response import PieceResponse
from core.plan.best import best_plan
from core.plan.corners import NONE
from core.plan.soak import soak_time
from core.plan.stress_check import Limit
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.section import stress_piece

E_MODULUS, POISSON, KAPPA = 70e9, 0.22, 4.8e-7
"""Constants the tables are judged with: soda-lime, near the annealing point."""


def glass(expansion: float) -> GlassProperties:
    """Soda-lime constants with the expansion of the table's column."""

    def known(value: float) -> Estimate:
        return Estimate(value, "soda-lime, handbook constants")

    return GlassProperties(
        name="table",
        strain_point=known(273.15 + 510),
        annealing_point=known(273.15 + 550),
        softening_point=None,
        working_point=None,
        melting_point=None,
        expansion=known(expansion),
        density=known(2500.0),
        youngs_modulus=known(E_MODULUS),
        poissons_ratio=known(POISSON),
        stress_optical_coefficient=known(2.62e-12),
        heat_capacity_terms=(0.000504 * 4184, 0.1797 * 4184),
        conductivity_terms=(0.975, 8.58e-4),
    )


def plate(thickness_mm: float, sides: str) -> Piece:
    return Piece(
        "plate", 1, Shape.PLATE, "table", wall_thickness=thickness_mm / 1000,
        cooled_from=CooledFrom(sides),
    )  # fmt: skip


@pytest.mark.parametrize(("alpha", "sides", "mm", "slow", "hold", "final"), ORDINARY_WARE)
def test_tension_left_by_the_handbooks_slow_rate_is_a_commercial_anneal(
    alpha, sides, mm, slow, hold, final
):
    """All rows imply 0.15-0.25 MPa by the elastic formula: the band of a commercial anneal."""
    (section,) = plate(mm, sides).sections()
    modulus = cooling_stress.thermal_stress_modulus(E_MODULUS, POISSON, alpha * 1e-7)
    per_rate = cooling_stress.core_stress_per_rate(section, np.asarray(KAPPA), modulus)
    assert 0.15e6 <= float(per_rate) * slow / 60 <= 0.25e6


@pytest.mark.parametrize(("alpha", "sides", "mm", "slow", "hold", "final"), ORDINARY_WARE)
def test_our_slow_rate_agrees_with_the_handbook(alpha, sides, mm, slow, hold, final):
    """Default limit over default safety factor, within a quarter of the printed (rounded) rate."""
    response = PieceResponse(plate(mm, sides), glass(alpha * 1e-7))
    limits = StressLimits()
    at_annealing = np.asarray(response.properties.annealing_point.value)
    (cause,) = response.permanent(at_annealing)
    ours = limits.permanent_tension / limits.safety_factor / float(cause.per_rate)
    assert ours * 60 == pytest.approx(slow, rel=0.27)


@pytest.mark.parametrize(("alpha", "sides", "mm", "slow", "hold", "final"), ORDINARY_WARE)
def test_our_final_rate_is_not_above_the_handbooks(alpha, sides, mm, slow, hold, final):
    """Below the strain point, with the glass's own constants at 400 °C."""
    response = PieceResponse(plate(mm, sides), glass(alpha * 1e-7))
    limits = StressLimits()
    (cause,) = response.temporary(np.asarray(273.15 + 400.0))
    ours = limits.temporary_tension / limits.safety_factor / float(cause.per_rate)
    assert 0.6 * final < ours * 60 < 1.35 * final


@pytest.mark.parametrize(("alpha", "sides", "mm", "slow", "hold", "final"), ORDINARY_WARE)
def test_our_soak_is_not_shorter_than_the_handbooks(alpha, sides, mm, slow, hold, final):
    response = PieceResponse(plate(mm, sides), glass(alpha * 1e-7))
    ours = soak_time((response,), 273.15 + 555).duration / 60
    # From both sides the handbook holds as long as from one; half the way is heated through sooner.
    assert ours >= hold * (1.0 if sides == "one" else 0.9)
    assert ours <= hold * 2 + 20


@pytest.mark.parametrize(("mm", "soak_h", "slow"), [row[:3] for row in LEAD_CASTING])
def test_lead_castings_are_cooled_about_as_the_maker_says(mm, soak_h, slow):
    """The maker's first stage leaves 0.18-0.23 MPa with soda-lime constants, as ours does."""
    (section,) = plate(mm, "both").sections()
    modulus = cooling_stress.thermal_stress_modulus(E_MODULUS, POISSON, 90e-7)
    per_rate = cooling_stress.core_stress_per_rate(section, np.asarray(KAPPA), modulus)
    limits = StressLimits()
    ours = limits.permanent_tension / limits.safety_factor / float(per_rate)
    assert ours * 3600 == pytest.approx(slow, rel=0.2)


ROOM, HAND_WARM, BRISK = 273.15 + 20.0, 273.15 + 45.0, 600.0
"""A lehr brisk enough to follow the table where glass is hot (time constant [s])."""


def handbook_night(alpha, sides, mm, slow, hold, final):
    """Stresses by the engine, and minutes of cooling, of the printed schedule in a brisk lehr.

    Hold at the annealing point plus 5 °C; slow rate to 5 °C below the strain point, twice that for
    the next 50 °C, the final rate from there as far as the lehr follows.
    """
    glass_sheet = sheet(alpha)
    properties = properties_of(glass_sheet)
    soak = properties.annealing_point.value + 5.0
    strain = properties.strain_point.value
    time, chamber = [0.0, hold * 60.0], [soak, soak]
    for rate, bottom in ((slow, strain - 5.0), (2 * slow, strain - 55.0)):
        time.append(time[-1] + (chamber[-1] - bottom) / rate * 60.0)
        chamber.append(bottom)
    while chamber[-1] > ROOM + 3.0:
        step = 0.05 * (chamber[-1] - ROOM)
        fastest = (chamber[-1] - 0.5 * step - ROOM) / BRISK
        time.append(time[-1] + step / min(final / 60.0, fastest))
        chamber.append(chamber[-1] - step)
    history = ChamberHistory(
        np.array([*time, time[-1] + 36000.0]), np.array([*chamber, chamber[-1]])
    )
    (left,) = stresses([stress_piece(plate(mm, sides), properties)], history)
    return left, minutes_to_hand_warm(left) - hold


def minutes_to_hand_warm(left) -> float:
    """Minutes from the start until the core is hand-warm, by the engine's own temperatures."""
    (section,) = left.sections
    late = int(np.flatnonzero(section.core_temperature > HAND_WARM)[-1])
    step = slice(late, late + 2)
    core, time = section.core_temperature[step], section.time[step]
    return float(np.interp(-HAND_WARM, -core, time - left.sections[0].time[0])) / 60.0


def sheet(alpha: float) -> Glass:
    return Glass(
        "table", measured=MeasuredPoints(273.15 + 510, 273.15 + 550, expansion=alpha * 1e-7)
    )


SOME_ROWS = [row for row in ORDINARY_WARE if row[0] in {33, 90} and row[2] == 12.7]


@pytest.mark.parametrize(("alpha", "sides", "mm", "slow", "hold", "final"), SOME_ROWS)
def test_our_night_is_never_less_safe_than_the_handbooks(
    alpha, sides, mm, slow, hold, final, record_property
):
    """Held to what the printed schedule leaves and meets: no more stress, and no more time.

    Cooling is compared with cooling: until the core is hand-warm, after either soak.
    """
    left, minutes = handbook_night(alpha, sides, mm, slow, hold, final)
    limits = StressLimits(
        permanent_tension=left.permanent_core, temporary_tension=left.peak.stress, safety_factor=1.0
    )
    lehr = Lehr("brisk", BRISK, ROOM, controller=Controller(entry=Entry.TIME, max_segments=9))
    load = Load(
        "table",
        (plate(mm, sides),),
        {"table": sheet(alpha)},
        lehr,
        datetime(2026, 11, 24, 17, 30, tzinfo=UTC),
        limits=limits,
    )
    plan = best_plan(load, margins=NONE)
    assert plan.safe
    ours = {check.limit: check.stress for check in plan.replay.checks}
    assert ours[Limit.PERMANENT] <= left.permanent_core
    assert ours[Limit.TEMPORARY] <= left.peak.stress
    history = drawn_history(*plan.curve(), lehr)
    (again,) = stresses([stress_piece(plate(mm, sides), properties_of(sheet(alpha)))], history)
    cooling = minutes_to_hand_warm(again) - plan.segments[0].duration / 60.0
    saved = minutes - cooling
    record_property("night_saved_min", round(saved, 1))
    assert saved >= -0.01 * minutes


@pytest.mark.parametrize(("alpha", "sides", "mm", "slow", "hold", "final"), ORDINARY_WARE[::5])
def test_printed_schedules_leave_a_commercial_anneal_by_the_engine_too(
    alpha, sides, mm, slow, hold, final
):
    """With relaxation of structure they leave two to four times what the elastic formula says."""
    left, _ = handbook_night(alpha, sides, mm, slow, hold, final)
    # One temper disc of ASTM C148 is 22.8 nm at 4.06 mm, 2.1 MPa (from memory, unverified).
    assert 0.2e6 < left.permanent_core < 2.1e6
