"""Heat through the thickness: balance of energy, symmetry, order in the step."""

import numpy as np
import pytest
from test_engine import EVERY_KIND, GLASS, ROOM, SOAK, night, piece, section

from core.glass.heat import mean_heat_capacity
from core.piece.piece import Geometry
from core.stress.batch import lay_out
from core.stress.conduction import STAGES, Conduction
from core.stress.engine import stresses
from core.stress.section import Faces, Shelf, Surroundings


def cooled(steps: int, seconds: float = 4000.0, geometry: Geometry = Geometry.SLAB):
    """Temperatures of a section in a chamber that falls steadily by 200 K, in equal steps."""
    batch = lay_out([piece(section(geometry))], 9)
    conduction = Conduction(batch)
    t = np.full((1, 10), SOAK)
    slope, step = np.zeros_like(t), np.array([seconds / steps])
    for n in range(steps):
        around = SOAK - 200.0 * (n + STAGES) / steps
        new, _ = conduction.step(t, slope, step, around)
        slope, t = (new - t) / step, new
    return t[0, 1:], batch


@pytest.mark.parametrize("geometry", list(Geometry))
def test_temperature_is_of_second_order_in_the_step(geometry):
    finest = cooled(1600, geometry=geometry)[0]
    errors = [np.abs(cooled(n, geometry=geometry)[0] - finest).max() for n in (25, 50, 100)]
    assert errors[1] < errors[0] / 3.0
    assert errors[2] < errors[1] / 3.0
    assert errors[2] < 0.02


@pytest.mark.parametrize("geometry", list(Geometry))
def test_what_the_glass_loses_has_crossed_its_surface(geometry):
    steps, h = 800, 80.0
    batch = lay_out([piece(section(geometry), surroundings=Surroundings(0.0, 0.0, h))], 9)
    conduction = Conduction(batch)
    t = np.full((1, 10), SOAK)
    slope, step, lost = np.zeros_like(t), np.array([2.0]), 0.0
    for _ in range(steps):
        new, _ = conduction.step(t, slope, step, np.full((2, 1), ROOM))
        lost += step[0] * h * (0.5 * (new[0, -1] + t[0, -1]) - ROOM)
        slope, t = (new - t) / step, new

    def held(kelvin: np.ndarray) -> float:
        per_mass = mean_heat_capacity(GLASS, kelvin) * (kelvin - 273.15)
        return float(batch.density[0] * (batch.volume[0] * per_mass).sum())

    assert lost == pytest.approx(held(np.full(9, SOAK)) - held(t[0, 1:]), rel=2e-3)


def test_glass_as_warm_as_its_chamber_stays_so():
    batch = lay_out(EVERY_KIND, 9)
    even = np.full((batch.count, 10), SOAK)
    step = np.full(batch.count, 1e5)
    new, bend = Conduction(batch).step(even, 0 * even, step, np.full((2, batch.count), SOAK))
    assert new == pytest.approx(even, abs=1e-9)
    assert bend == pytest.approx(0.0, abs=1e-9)


def test_no_step_leaves_all_as_it_is():
    batch = lay_out(EVERY_KIND, 9)
    t = np.linspace(700.0, 800.0, batch.count * 10).reshape(-1, 10)
    new, _ = Conduction(batch).step(
        t, 0 * t, np.zeros(batch.count), np.full((2, batch.count), 300.0)
    )
    assert new == pytest.approx(t, abs=1e-9)


def test_cooled_from_one_face_is_half_of_one_twice_as_thick():
    outer = piece(section(mm=10.0, faces=Faces.OUTER))
    both = piece(section(mm=20.0))
    one, two = stresses((outer, both), night(60.0))
    assert one.permanent_core == pytest.approx(two.permanent_core, rel=1e-9)
    assert one.peak.stress == pytest.approx(two.peak.stress, rel=1e-9)


def test_a_hollow_wall_of_great_radius_is_a_plate():
    wall = section(Geometry.CYLINDER, 8.0, faces=Faces.OUTER, curvature_radius=50.0)
    plate = section(mm=8.0, faces=Faces.OUTER)
    one, other = stresses((piece(wall), piece(plate)), night(100.0))
    assert one.permanent_core == pytest.approx(other.permanent_core, rel=1e-3)
    tight = section(Geometry.CYLINDER, 8.0, faces=Faces.OUTER, curvature_radius=0.010)
    assert stresses((piece(tight),), night(100.0))[0].permanent_core < 0.9 * one.permanent_core


def test_a_warm_shelf_holds_the_lower_face_back():
    shelf = piece(section(faces=Faces.SHELF, shelf=Shelf()))
    free = piece(section())
    on_shelf, in_air = stresses((shelf, free), night(60.0))
    lower = on_shelf.sections[0].temperature[:, 0]
    upper = on_shelf.sections[0].temperature[:, -1]
    cooling = on_shelf.sections[0].time > 3 * 3600
    assert (lower - upper)[cooling].max() > 1.0
    assert on_shelf.permanent_core > in_air.permanent_core
