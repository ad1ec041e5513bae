"""Pieces: what is refused, and what their sections are."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import PieceError
from core.piece.piece import CooledFrom, Geometry, Piece, Shape


def test_a_plate_cooled_from_one_side_carries_heat_through_all_of_it():
    one = Piece("p", 1, Shape.PLATE, "g", wall_thickness=0.01, cooled_from=CooledFrom.ONE)
    both = Piece("p", 1, Shape.PLATE, "g", wall_thickness=0.01)
    assert one.sections()[0].conduction_length == pytest.approx(0.01)
    assert both.sections()[0].conduction_length == pytest.approx(0.005)


def test_a_vessel_has_a_wall_and_a_base():
    vessel = Piece("v", 1, Shape.VESSEL, "g", wall_thickness=0.004, base_thickness=0.022)
    wall, base = vessel.sections()
    assert (wall.part, base.part) == ("wall", "base")
    assert base.conduction_length == pytest.approx(0.022)  # one side unless said otherwise


@given(st.floats(0.0005, 0.3), st.floats(0.0005, 0.3))
def test_a_short_cylinder_never_lags_more_than_a_long_one_or_a_disc(diameter, height):
    short = Piece("c", 1, Shape.CYLINDER, "g", diameter=diameter, height=height).sections()[0]
    lag = short.conduction_length**2 * {"slab": 1 / 2, "cylinder": 1 / 4}[short.geometry.value]
    assert lag <= (diameter / 2) ** 2 / 4 * (1 + 1e-12)
    assert lag <= (height / 2) ** 2 / 2 * (1 + 1e-12)


@pytest.mark.parametrize(
    ("settings", "field"),
    [
        ({"shape": Shape.PLATE}, "wall_thickness"),
        ({"shape": Shape.VESSEL, "wall_thickness": 0.004}, "base_thickness"),
        ({"shape": Shape.SPHERE}, "diameter"),
        ({"shape": Shape.PLATE, "wall_thickness": 0.0}, "wall_thickness"),
        ({"shape": Shape.PLATE, "wall_thickness": 0.4}, "wall_thickness"),
        ({"shape": Shape.PLATE, "wall_thickness": float("nan")}, "wall_thickness"),
        ({"shape": Shape.PLATE, "wall_thickness": 0.004, "count": 0}, "count"),
        ({"shape": Shape.PLATE, "wall_thickness": 0.004, "name": " "}, "name"),
    ],
)
def test_impossible_pieces_are_refused_at_their_field(settings, field):
    given_ = {"name": "piece", "count": 1, "glass": "g", **settings}
    with pytest.raises(PieceError) as caught:
        Piece(**given_)
    assert caught.value.field == field
    assert caught.value.remedy


def test_geometry_of_solids():
    ball = Piece("b", 1, Shape.SPHERE, "g", diameter=0.05).sections()[0]
    rod = Piece("r", 1, Shape.CYLINDER, "g", diameter=0.05).sections()[0]
    assert (ball.geometry, rod.geometry) == (Geometry.SPHERE, Geometry.CYLINDER)
    assert ball.conduction_length == rod.conduction_length == pytest.approx(0.025)
