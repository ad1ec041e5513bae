"""Long logs brought to few corners, judged by the stress they leave."""

import numpy as np
import pytest
from test_engine import GLASS, ROOM, SOAK, night

from core.errors import StressError
from core.piece.piece import Geometry
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.log_reduction import history_from_log
from core.stress.section import StressPiece, StressSection

PIECES = tuple(
    StressPiece(f"{geometry} {mm} mm", GLASS, (StressSection("body", geometry, mm / 1000),))
    for geometry, mm in ((Geometry.SLAB, 4.0), (Geometry.SLAB, 25.0), (Geometry.SPHERE, 60.0))
)
RANDOM = np.random.default_rng(20)


def curve(seconds: float = 1.0) -> tuple[np.ndarray, np.ndarray]:
    """A night that ends with the lehr's own losses, read every so many seconds."""
    hours = np.array([0.0, 2.0, 6.0, 8.0])
    time = np.arange(0.0, 20 * 3600.0, seconds)
    kelvin = np.interp(time, hours * 3600, [SOAK, SOAK, SOAK - 100, SOAK - 180])
    later = time > 8 * 3600
    kelvin[later] = ROOM + (SOAK - 180 - ROOM) * np.exp(-(time[later] - 8 * 3600) / (4 * 3600))
    return time, kelvin


def assert_same_stress(reduced: ChamberHistory, whole: ChamberHistory, within: float) -> None:
    for few, every in zip(stresses(PIECES, reduced), stresses(PIECES, whole), strict=True):
        assert few.permanent_core == pytest.approx(every.permanent_core, rel=within)
        assert few.permanent_surface == pytest.approx(every.permanent_surface, rel=within)
        assert few.peak.stress == pytest.approx(every.peak.stress, rel=within)


@pytest.mark.parametrize("seconds", [1.0, 10.0, 60.0])
def test_a_clean_log_leaves_the_same_stress(seconds):
    time, kelvin = curve(seconds)
    reduced = history_from_log(time, kelvin)
    assert reduced.time.size < 200
    assert_same_stress(reduced, ChamberHistory(*curve(30.0)), within=0.01)


@pytest.mark.parametrize(
    "spoil",
    [
        pytest.param(lambda v: v + RANDOM.normal(0.0, 0.3, v.size), id="noise"),
        pytest.param(lambda v: np.round(v, 1), id="tenths"),
    ],
)
def test_noise_and_read_out_leave_no_stress(spoil):
    time, kelvin = curve()
    reduced = history_from_log(time, spoil(kelvin))
    assert reduced.time.size < 400
    assert_same_stress(reduced, ChamberHistory(*curve(30.0)), within=0.015)


def test_whole_degrees_leave_the_permanent_stress_alone():
    time, kelvin = curve()
    reduced = stresses(PIECES, history_from_log(time, np.round(kelvin)))
    whole = stresses(PIECES, ChamberHistory(*curve(30.0)))
    for few, every in zip(reduced, whole, strict=True):
        assert few.permanent_core == pytest.approx(every.permanent_core, rel=0.01)


def test_an_open_door_is_not_averaged_away():
    time, kelvin = curve()
    open_door = (time > 5 * 3600) & (time < 5 * 3600 + 20)
    kelvin[open_door] -= 120.0 * np.sin(np.pi * (time[open_door] - 5 * 3600) / 20.0)
    reduced = history_from_log(time, kelvin)
    at = np.interp(time[open_door], reduced.time, reduced.temperature)
    assert np.abs(at - kelvin[open_door]).max() < 6.0
    near = (time > 5 * 3600 - 60) & (time < 5 * 3600 + 120)
    whole = ChamberHistory(*(v[near | (time % 60 == 0)] for v in (time, kelvin)))
    assert_same_stress(reduced, whole, within=0.015)


def test_a_gap_in_which_much_happened_is_refused():
    time, kelvin = curve(10.0)
    kept = (time < 3 * 3600) | (time > 5 * 3600)
    with pytest.raises(StressError, match="2:00 hours there is no reading while the chamber"):
        history_from_log(time[kept], kelvin[kept])


def test_a_gap_in_which_nothing_happened_and_readings_by_hand_are_taken():
    time, kelvin = curve(10.0)
    soaking = (time < 1800) | (time > 6000)
    assert history_from_log(time[soaking], kelvin[soaking]).duration == time[-1]
    by_hand = np.arange(0.0, 20.0) * 3600.0
    assert history_from_log(by_hand, np.interp(by_hand, time, kelvin)).time.size <= 20


@pytest.mark.parametrize("count", [2, 3, 4, 5])
def test_few_readings_are_kept(count):
    history = night(100.0)
    time = np.linspace(0.0, 1200.0, count)
    reduced = history_from_log(time, np.interp(time, history.time, history.temperature))
    assert reduced.time[0] == 0.0
    assert reduced.time[-1] == 1200.0
    assert reduced.temperature == pytest.approx(SOAK)


def test_a_log_out_of_order_is_refused():
    with pytest.raises(StressError, match="steps back"):
        history_from_log([0.0, 20.0, 10.0, 30.0], [800.0, 800.0, 800.0, 800.0])
