"""Stress of sections: elastic closed forms, balance of force and moment, sections joined."""

import numpy as np
import pytest
from test_engine import EVERY_KIND, GLASS, night, piece, section

from core.errors import StressError
from core.piece.piece import CooledFrom, Geometry, Piece, Shape
from core.stress import slab, solid
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.mesh import mean_weights, node_places, running_integral
from core.stress.section import (
    Faces,
    FirstState,
    Shelf,
    StressPiece,
    StressSection,
    Surroundings,
    stress_piece,
)
from core.units import ZERO_CELSIUS

NODES = 9
E, NU = 70e9, 0.22
SHEAR, BULK = E / 2 / (1 + NU), E / 3 / (1 - 2 * NU)
PARABOLA = 1e-5 * (1.0 - node_places(NODES) ** 2)
"""A thermal strain, greatest in the middle."""


def slabs(count: int = 1, *, joined: bool = False, bends: bool = False, mm: float = 10.0):
    places = np.tile(node_places(NODES), (count, 1))
    return slab.Slabs(
        weight=np.tile(mean_weights(NODES, 0), (count, 1)),
        place=places,
        thickness=np.array([mm * (n + 1) for n in range(count)]) / 1000,
        group=np.zeros(count, dtype=np.intp) if joined else np.arange(count),
        bends=np.full(count, bends),
        shear_modulus=np.full(count, SHEAR),
        bulk_modulus=np.full(count, BULK),
    )


def test_weights_integrate_parabolas_exactly():
    x = node_places(NODES)
    for power in range(3):
        assert mean_weights(NODES, power) @ x**2 == pytest.approx((power + 1) / (power + 3))
        assert running_integral(x, power)[-1] @ (1 + x + x**2) == pytest.approx(
            sum(1 / (power + k) for k in (1, 2, 3))
        )


def test_a_slab_that_cannot_bend_is_stressed_by_what_departs_from_the_mean():
    """Timoshenko & Goodier 1951: E/(1 - nu) (mean - local)."""
    stress = slab.even_out(slabs(), PARABOLA[None])[0]
    assert stress == pytest.approx(E / (1 - NU) * (PARABOLA @ mean_weights(NODES, 0) - PARABOLA))


def test_a_slab_that_may_bow_feels_nothing_of_a_straight_gradient():
    straight = 1e-5 * node_places(NODES)[None]
    assert slab.even_out(slabs(bends=True), straight) == pytest.approx(0.0, abs=1e-3)
    assert np.abs(slab.even_out(slabs(), straight)).max() > 1e5


def test_joined_slabs_share_one_strain_by_thickness():
    """Two plates glued all over: each is stressed by the other's share of the difference."""
    strain = np.zeros((2, NODES))
    strain[1] = 1e-5
    one, other = slab.even_out(slabs(2, joined=True), strain)
    assert one == pytest.approx(E / (1 - NU) * 1e-5 * 2 / 3)
    assert other == pytest.approx(-E / (1 - NU) * 1e-5 / 3)


@pytest.mark.parametrize("power", [1, 2])
def test_solids_are_stressed_as_in_the_closed_forms(power):
    """Timoshenko & Goodier 1951: of a strain e (1 - x^2), in units of E e/(1 - nu).

    Cylinder: axial -1/2 in the middle, +1/2 at the surface; hoop -1/4 and +1/2. Sphere: -2/5 in the
    middle, hoop +2/5 at the surface.
    """
    solids = solid.Solids(power, mean_weights(NODES, power), np.array([SHEAR]), np.array([BULK]))
    stress = solid.even_out(solids, PARABOLA[None])
    unit = E / (1 - NU) * 1e-5
    expected = {1: (-1 / 2, 1 / 2, -1 / 4, 1 / 2), 2: (-2 / 5, 2 / 5, -2 / 5, 2 / 5)}[power]
    found = stress.axial[0, 0], stress.axial[0, -1], stress.hoop[0, 0], stress.hoop[0, -1]
    assert np.array(found) / unit == pytest.approx(expected, abs=1e-9)
    assert stress.radial[0, -1] == pytest.approx(0.0, abs=1e-6)
    assert stress.radial[0, 0] == pytest.approx(stress.hoop[0, 0])


@pytest.mark.parametrize("index", range(len(EVERY_KIND)))
def test_force_is_balanced_at_every_step(index):
    one = EVERY_KIND[index]
    stress = stresses((one,), night(100.0))[0]
    peak = max(np.abs(s.stress).max() for s in stress.sections)
    for found in stress.sections:
        if found.section.geometry is Geometry.SPHERE and found.section.is_slab is False:
            continue  # its hoop stress alone balances nothing
        power = 1 if not found.section.is_slab else 0
        weight = mean_weights(NODES, power, both_faces=found.section.faces is Faces.SHELF)
        assert np.abs(found.stress @ weight).max() < 1e-9 * peak
        if found.section.may_bend:
            lever = 0.5 - found.depth / found.section.thickness
            assert np.abs(found.stress @ (weight * lever)).max() < 1e-9 * peak
    if one.joined:
        force = sum(s.joint_stress * s.section.thickness for s in stress.sections)
        assert np.abs(force).max() < 1e-9 * peak * 0.025


def test_a_bowing_plate_keeps_less_than_one_that_cannot():
    stiff, free = stresses(EVERY_KIND[1:3], night(100.0))
    assert free.permanent_core < 0.6 * stiff.permanent_core


def test_wall_and_base_alike_have_no_stress_between_them():
    alike = piece(section(mm=8.0), section(mm=8.0), joined=True)
    found = stresses((alike,), night(100.0))[0]
    assert found.permanent_joint == pytest.approx(0.0, abs=1e-3)
    assert found.peak_joint == pytest.approx(0.0, abs=1e-3)


def test_the_base_of_a_vessel_is_left_in_tension_against_its_wall():
    found = stresses(EVERY_KIND[7:], night(100.0))[0]
    wall, base = found.sections
    assert wall.permanent_joint < 0 < base.permanent_joint
    assert found.permanent_joint == pytest.approx(-wall.permanent_joint)


def test_what_is_left_between_wall_and_base_does_not_wait_for_them_to_be_even():
    """The elastic rest of the evening out is the same whether it is followed or reckoned."""
    vessel = piece(section(mm=4.0), section(mm=22.0, faces=Faces.OUTER), joined=True)
    hours = np.array([0.0, 40.0, 60.0])
    kelvin = np.array([800.0, 640.0, 320.0])
    at_once = ChamberHistory(hours * 3600, kelvin)
    waited = ChamberHistory(np.append(hours, 108.0) * 3600, np.append(kelvin, 320.0))
    one, other = (stresses((vessel,), history)[0] for history in (at_once, waited))
    assert one.permanent_joint == pytest.approx(other.permanent_joint, rel=0.01)
    assert one.permanent_core == pytest.approx(other.permanent_core, rel=0.01)


def test_pieces_of_the_load_become_their_sections():
    vessel = Piece("decanter", 1, Shape.VESSEL, "g", wall_thickness=0.005, base_thickness=0.02)
    wall, base = stress_piece(vessel, GLASS).sections
    assert (wall.faces, base.faces) == (Faces.BOTH, Faces.OUTER)
    assert stress_piece(vessel, GLASS).joined
    standing = stress_piece(vessel, GLASS, shelf=Shelf()).sections
    assert [s.faces for s in standing] == [Faces.BOTH, Faces.SHELF]
    float_ = Piece("float", 1, Shape.PLATE, "g", wall_thickness=0.003, cooled_from=CooledFrom.ONE)
    assert stress_piece(float_, GLASS, shelf=Shelf()).sections[0].faces is Faces.OUTER
    disc = Piece("disc", 1, Shape.CYLINDER, "g", diameter=0.12, height=0.04)
    assert stress_piece(disc, GLASS).sections[0].viewing_path == 0.12
    ball = Piece("ball", 1, Shape.SPHERE, "g", diameter=0.05)
    assert stress_piece(ball, GLASS).sections[0].geometry is Geometry.SPHERE


NAN = float("nan")


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: section(mm=0.2), "outside 0.3 to 300 mm"),
        (lambda: section(mm=301.0), "outside 0.3 to 300 mm"),
        (lambda: section(mm=NAN), "outside 0.3 to 300 mm"),
        (lambda: section(Geometry.SPHERE, faces=Faces.OUTER), "one face all round"),
        (lambda: section(faces=Faces.SHELF), "go together"),
        (lambda: section(shelf=Shelf()), "go together"),
        (lambda: section(Geometry.CYLINDER, curvature_radius=0.01), "no thin wall"),
        (lambda: section(curvature_radius=0.1), "gives off its heat outside"),
        (lambda: section(viewing_path=0.0), "Light cannot go"),
        (lambda: Shelf(resistance=0.0), "shelf resistance"),
        (lambda: Shelf(heat_content=NAN), "shelf heat content"),
        (lambda: Surroundings(emissivity=1.2), "Emissivity 1.2"),
        (lambda: Surroundings(0.0, 0.0, 0.0), "No heat could leave"),
        (lambda: FirstState(core=2000.0, skin=800.0), "1726.85 °C is not possible"),
        (lambda: FirstState(core=800.0, skin=NAN), "skin temperature"),
        (lambda: StressPiece("p", GLASS, ()), "has no section"),
        (lambda: piece(section(Geometry.SPHERE), joined=True), "joined in one strain"),
        (lambda: piece(section(may_bend=True), joined=True), "joined in one strain"),
        (lambda: StressSection("body", Geometry.SLAB, -0.01), "outside 0.3 to 300 mm"),
    ],
)
def test_what_cannot_be_is_refused(make, words):
    with pytest.raises(StressError, match=words):
        make()


@pytest.mark.parametrize("mm", [0.3, 3.0, 300.0])
@pytest.mark.parametrize(
    "history",
    [
        pytest.param(([0.0, 1e-3, 3600.0], [1500.0, -100.0, -100.0]), id="quenched"),
        pytest.param(([0.0, 1.0, 2.0, 3600.0], [-100.0, 1500.0, 1500.0, 20.0]), id="shocked"),
        pytest.param(([0.0, 399 * 86400.0], [600.0, 20.0]), id="a year"),
        pytest.param(([0.0, 1e-6], [600.0, 20.0]), id="no time"),
    ],
)
def test_extremes_are_answered_with_numbers(mm, history):
    time, celsius = (np.array(values) for values in history)
    extreme = ChamberHistory(time, celsius + ZERO_CELSIUS)
    kinds = [
        piece(section(geometry, mm, **more))
        for geometry, more in (
            (Geometry.SLAB, {}),
            (Geometry.SLAB, {"faces": Faces.OUTER, "may_bend": True}),
            (Geometry.SLAB, {"faces": Faces.SHELF, "shelf": Shelf()}),
            (Geometry.CYLINDER, {}),
            (Geometry.SPHERE, {}),
        )
    ]
    for found in stresses((*kinds, piece(section(mm=mm), section(mm=0.3), joined=True)), extreme):
        for part in found.sections:
            for values in (part.permanent, part.stress, part.temperature, part.peak.stress):
                assert np.isfinite(values).all()
            assert part.temperature.max() < ZERO_CELSIUS + 1501
            assert part.temperature.min() > ZERO_CELSIUS - 101
