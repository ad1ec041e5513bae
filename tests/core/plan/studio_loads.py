"""Invented loads that the planner's tests share."""

from datetime import UTC, datetime, timedelta

from core.equipment.lehr import Controller, Lehr
from core.glass.glass import Glass, MeasuredPoints
from core.load.load import Load
from core.piece.piece import CooledFrom, Piece, Shape

BUTTON = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)

CLEAR = Glass(
    "harbour test glass",
    measured=MeasuredPoints(
        strain_point=273.15 + 475.0,
        annealing_point=273.15 + 515.0,
        expansion=95e-7,
        source="invented sheet",
    ),
)
SOFT = Glass(
    "soft test glass",
    measured=MeasuredPoints(
        strain_point=273.15 + 390.0,
        annealing_point=273.15 + 430.0,
        expansion=90e-7,
        source="invented sheet",
    ),
)


def plate(mm: float, sides: str = "both", name: str = "plate", glass: Glass = CLEAR) -> Piece:
    return Piece(
        name, 1, Shape.PLATE, glass.name, wall_thickness=mm / 1000, cooled_from=CooledFrom(sides)
    )


def decanter(wall: float = 4.0, base: float = 22.0, base_sides: str = "both") -> Piece:
    return Piece(
        "decanter",
        6,
        Shape.VESSEL,
        CLEAR.name,
        wall_thickness=wall / 1000,
        base_thickness=base / 1000,
        cooled_from=CooledFrom.ONE,
        base_cooled_from=CooledFrom(base_sides),
    )


def ball(mm: float) -> Piece:
    return Piece("ball", 1, Shape.SPHERE, CLEAR.name, diameter=mm / 1000)


def lehr(hours: float = 4.5, controller: Controller | None = None, **settings: float) -> Lehr:
    return Lehr("test lehr", hours * 3600, controller=controller or Controller(), **settings)


def load(*pieces: Piece, oven: Lehr | None = None, hours: float | None = 14.5, **more) -> Load:
    return Load(
        name="test load",
        pieces=pieces,
        glasses={CLEAR.name: CLEAR, SOFT.name: SOFT},
        lehr=oven or lehr(),
        button_time=BUTTON,
        out_by=None if hours is None else BUTTON + timedelta(hours=hours),
        **more,
    )
