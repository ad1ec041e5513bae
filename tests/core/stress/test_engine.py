"""The engine as a whole, on one glass and simple histories."""

from dataclasses import replace

import numpy as np
import pytest

from core.errors import StoppedError, StressError
from core.glass.glass import Glass, MeasuredPoints
from core.glass.properties import properties_of
from core.piece.piece import Geometry
from core.stress.accuracy import FOR_A_CHILLED_SKIN, Accuracy
from core.stress.engine import stresses, stresses_of_each
from core.stress.history import ChamberHistory
from core.stress.section import (
    COLDEST,
    HOTTEST,
    Faces,
    FirstState,
    Shelf,
    StressPiece,
    StressSection,
)
from core.units import SECONDS_PER_HOUR, ZERO_CELSIUS

GLASS = properties_of(
    Glass(
        "sheet",
        measured=MeasuredPoints(
            ZERO_CELSIUS + 505, ZERO_CELSIUS + 540, expansion=92e-7, source="invented"
        ),
    )
)
SOAK, ROOM = ZERO_CELSIUS + 545, ZERO_CELSIUS + 20


def night(rate_per_hour: float, soak_hours: float = 2.0) -> ChamberHistory:
    """Soak, cool at one rate to the room, and wait until all is even."""
    ramp = (SOAK - ROOM) / rate_per_hour
    hours = np.cumsum([0.0, soak_hours, ramp, 3.0])
    return ChamberHistory(hours * SECONDS_PER_HOUR, np.array([SOAK, SOAK, ROOM, ROOM]))


def section(geometry: Geometry = Geometry.SLAB, mm: float = 20.0, **more) -> StressSection:
    return StressSection("body", geometry, mm / 1000, **more)


def piece(*sections: StressSection, **more) -> StressPiece:
    return StressPiece("piece", GLASS, sections or (section(),), **more)


EVERY_KIND = (
    piece(),
    piece(section(faces=Faces.OUTER)),
    piece(section(faces=Faces.OUTER, may_bend=True)),
    piece(section(faces=Faces.SHELF, shelf=Shelf())),
    piece(section(Geometry.CYLINDER, 8.0, faces=Faces.OUTER, curvature_radius=0.04)),
    piece(section(Geometry.CYLINDER)),
    piece(section(Geometry.SPHERE)),
    piece(section(mm=5.0), section(mm=20.0), joined=True),
)


@pytest.mark.parametrize("rate", [3.0, 100.0, 3000.0])
def test_twice_the_nodes_and_half_the_steps_change_no_stress_by_half_a_percent(rate):
    history = night(rate)
    usual = stresses(EVERY_KIND, history)
    finer = stresses(EVERY_KIND, history, accuracy=Accuracy().refined())
    for one, other in zip(usual, finer, strict=True):
        assert one.permanent_core == pytest.approx(other.permanent_core, rel=0.005)
        assert one.permanent_surface == pytest.approx(other.permanent_surface, rel=0.005)
        assert one.permanent_joint == pytest.approx(other.permanent_joint, rel=0.005)
        assert one.peak_joint == pytest.approx(other.peak_joint, rel=0.005)
        assert one.peak.stress == pytest.approx(other.peak.stress, rel=0.005)
        assert one.fictive_temperature == pytest.approx(other.fictive_temperature, abs=0.1)


def test_core_is_left_in_tension_and_skin_in_compression():
    for stress in stresses(EVERY_KIND[:1] + EVERY_KIND[5:7], night(100.0)):
        assert stress.permanent_core > 0 > stress.permanent_surface
        assert stress.settled


def test_a_piece_does_not_feel_what_is_reckoned_beside_it():
    history, other = night(30.0), night(300.0)
    alone = [stresses((p,), history)[0] for p in EVERY_KIND]
    together = stresses_of_each(EVERY_KIND, (other, history))[1]
    for one, both in zip(alone, together, strict=True):
        assert both.permanent_core == pytest.approx(one.permanent_core, rel=1e-5)
        assert both.peak.stress == pytest.approx(one.peak.stress, rel=1e-5)
        assert both.peak.time == pytest.approx(one.peak.time, rel=1e-5)


def test_put_in_later_is_as_if_the_history_began_then():
    late = replace(piece(), enters=1.0 * SECONDS_PER_HOUR)
    begins_then = stresses((piece(),), night(60.0, soak_hours=1.0))[0]
    first, second = stresses((piece(), late), night(60.0, soak_hours=2.0))
    assert second.permanent_core == pytest.approx(begins_then.permanent_core, rel=1e-5)
    assert second.sections[0].time[0] == SECONDS_PER_HOUR
    assert first.permanent_core == pytest.approx(second.permanent_core, rel=0.01)


def test_straight_from_the_pipe_the_chilled_skin_is_warmed_and_pressed_then_at_rest():
    pipe = FirstState(core=ZERO_CELSIUS + 620, skin=ZERO_CELSIUS + 480)
    from_pipe, settled = stresses((replace(piece(), first_state=pipe), piece()), night(60.0))
    assert from_pipe.permanent_core == pytest.approx(settled.permanent_core, rel=0.01)
    assert from_pipe.sections[0].core_temperature[0] == pytest.approx(ZERO_CELSIUS + 620)
    assert from_pipe.sections[0].skin_temperature[0] == pytest.approx(ZERO_CELSIUS + 480)
    # The core warms the skin, which has no room to grow.
    soon = from_pipe.sections[0].time < 30.0
    assert from_pipe.sections[0].skin_stress[soon].min() < -5e6


@pytest.mark.parametrize(
    ("core", "skin", "mm", "share"),
    # A skin still soft takes its greatest tension in the first tenth of a second.
    [(1000, 450, 20.0, 0.005), (700, 500, 20.0, 0.005), (950, 600, 20.0, 0.02)],
)
def test_straight_from_the_pipe_finer_reckoning_changes_little(core, skin, mm, share):
    pipe = FirstState(core=ZERO_CELSIUS + core, skin=ZERO_CELSIUS + skin)
    from_pipe = (replace(piece(section(mm=mm)), first_state=pipe),)
    history = night(60.0)
    usual = stresses(from_pipe, history)[0]
    finer = stresses(from_pipe, history, accuracy=FOR_A_CHILLED_SKIN.refined())[0]
    greatest = np.abs(finer.sections[0].stress).max()
    assert usual.peak.stress == pytest.approx(finer.peak.stress, abs=share * greatest)
    assert usual.permanent_core == pytest.approx(finer.permanent_core, rel=0.005)
    assert usual.permanent_surface == pytest.approx(finer.permanent_surface, rel=0.005)


def test_pieces_from_the_pipe_and_even_ones_keep_their_order():
    pipe = FirstState(core=ZERO_CELSIUS + 620, skin=ZERO_CELSIUS + 480)
    mixed = [
        replace(piece(section(mm=mm)), name=f"{mm}", first_state=state)
        for mm, state in ((8.0, pipe), (6.0, None), (4.0, pipe), (2.0, None))
    ]
    together = stresses(mixed, night(60.0))
    assert [found.name for found in together] == [one.name for one in mixed]
    for one, found in zip(mixed, together, strict=True):
        alone = stresses((one,), night(60.0))[0]
        assert found.permanent_core == pytest.approx(alone.permanent_core, rel=1e-5)


def test_a_cold_piece_put_in_hot_has_its_core_in_tension_at_once():
    cold = FirstState(core=ROOM, skin=ROOM)
    heated = stresses((replace(piece(), first_state=cold),), night(60.0))[0]
    assert heated.peak.stress > 20e6
    assert heated.peak.time < 600.0
    assert heated.peak.depth == pytest.approx(0.010)


@pytest.mark.parametrize("mm", [0.3, 3.0, 300.0])
@pytest.mark.parametrize("seconds", [1e-3, 1.0])
def test_a_jump_from_the_hottest_to_the_coldest_is_followed(mm, seconds):
    """A step tried too long must not lead beyond all that glass can meet, nor to no number."""
    time = np.array([0.0, 3600.0, 3600.0 + seconds, 36000.0])
    jump = ChamberHistory(time, np.array([HOTTEST, HOTTEST, COLDEST, COLDEST]))
    found = stresses((piece(section(mm=mm)),), jump)[0].sections[0]
    assert np.isfinite(found.stress).all()
    assert found.temperature.min() >= COLDEST - 0.01
    assert found.temperature.max() <= HOTTEST + 0.01


def test_a_log_that_ends_hot_is_said_not_to_be_settled():
    history = ChamberHistory(np.array([0.0, 3600.0]), np.array([SOAK, SOAK - 20.0]))
    assert not stresses((piece(),), history)[0].settled


@pytest.mark.parametrize("rate", [5.0, 16.0, 100.0])
def test_once_settled_it_hardly_matters_how_the_night_goes_on(rate):
    """Cooled on at the same rate, or the lehr turned off, from the temperature of the end."""

    def ending_at(celsius: float, *more: tuple[float, float]):
        corners = [(0.0, 560.0), (2.0, 560.0), (2.0 + (560.0 - celsius) / rate, celsius)]
        corners += [(corners[-1][0] + hours, after) for hours, after in more]
        hours, degrees = np.array(corners).T
        history = ChamberHistory(hours * SECONDS_PER_HOUR, degrees + ZERO_CELSIUS)
        return stresses((piece(),), history)[0]

    assert not ending_at(450.0).settled
    assert ending_at(300.0).settled
    for celsius in (420.0, 390.0, 370.0, 350.0, 330.0):
        ended = ending_at(celsius)
        if ended.settled:
            for more in ((5.0, 20.0), ((celsius - 20.0) / rate, 20.0)):
                later = ending_at(celsius, more).permanent_core
                assert later == pytest.approx(ended.permanent_core, rel=0.08, abs=0.02e6)


def test_work_is_given_up_when_asked():
    with pytest.raises(StoppedError):
        stresses((piece(),), night(30.0), stopped=lambda: True)


@pytest.mark.parametrize("enters", [-5.0, 1e9, float("nan")])
def test_entering_outside_the_history_is_refused(enters):
    with pytest.raises(StressError):
        stresses((replace(piece(), enters=enters),), night(30.0))


def test_nothing_to_reckon_is_refused():
    with pytest.raises(StressError, match="no piece"):
        stresses((), night(30.0))
