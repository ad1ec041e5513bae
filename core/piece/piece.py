"""A piece as the glassmaker describes it, and the sections heat has to leave through."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.errors import PieceError

THINNEST = 0.0003
"""Thinnest section accepted [m]."""
THICKEST = 0.300
"""Thickest section (or diameter) accepted [m]."""

MOST_PIECES = 9999
"""Largest count of one kind of piece accepted."""


class Shape(StrEnum):
    """What a piece is like, as far as cooling goes."""

    PLATE = "plate"
    CYLINDER = "cylinder"
    SPHERE = "sphere"
    VESSEL = "vessel"


class CooledFrom(StrEnum):
    """Whether heat leaves a section through one face or both."""

    ONE = "one"
    BOTH = "both"


class Geometry(StrEnum):
    """The body whose closed-form solution a section uses."""

    SLAB = "slab"
    CYLINDER = "cylinder"
    SPHERE = "sphere"


@dataclass(frozen=True)
class Section:
    """One part of a piece that cools as a slab, cylinder or sphere.

    Attributes
    ----------
    part : str
        ``"wall"``, ``"base"`` or ``"body"``.
    geometry : Geometry
        Which closed form applies.
    thickness : float
        Thickness of a slab, diameter of a cylinder or sphere [m].
    conduction_length : float
        Distance heat travels [m]: half thickness (both faces), full thickness (one face), radius.
    """

    part: str
    geometry: Geometry
    thickness: float
    conduction_length: float


@dataclass(frozen=True)
class Piece:
    """One kind of piece in tonight's load; lengths in metres.

    Parameters
    ----------
    name : str
    count : int
        1 to 9999.
    shape : Shape
        ``PLATE`` (plate, or the wall of an open form), ``CYLINDER`` and ``SPHERE`` (solid),
        ``VESSEL`` (thin wall joined to a thick base).
    glass : str
        Name of its glass.
    wall_thickness : float, optional
        Needed for plates and vessels.
    base_thickness : float, optional
        Needed for vessels.
    diameter : float, optional
        Needed for cylinders and spheres.
    height : float, optional
        For a short cylinder (disc, paperweight): a height below the diameter cools it sooner.
    cooled_from : CooledFrom
        Faces of the wall or plate that heat leaves through; a narrow neck means one.
    base_cooled_from : CooledFrom
        The same for a vessel's base; standing on a solid shelf means one.

    Raises
    ------
    PieceError
        With ``field`` naming the dimension that is missing or out of 0.3-300 mm.
    """

    name: str
    count: int
    shape: Shape
    glass: str
    wall_thickness: float | None = None
    base_thickness: float | None = None
    diameter: float | None = None
    height: float | None = None
    cooled_from: CooledFrom = CooledFrom.BOTH
    base_cooled_from: CooledFrom = CooledFrom.ONE

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise PieceError("A piece has no name.", field="name", remedy="Give it one.")
        if not 1 <= self.count <= MOST_PIECES:
            raise PieceError(
                f"“{self.name}”: a count of {self.count} is not possible.",
                field="count",
                remedy=f"Use 1 to {MOST_PIECES}.",
            )
        needed = {
            Shape.PLATE: ("wall_thickness",),
            Shape.CYLINDER: ("diameter",),
            Shape.SPHERE: ("diameter",),
            Shape.VESSEL: ("wall_thickness", "base_thickness"),
        }[self.shape]
        for field in ("wall_thickness", "base_thickness", "diameter", "height"):
            value = getattr(self, field)
            if value is None:
                if field in needed:
                    words = field.replace("_", " ")
                    raise PieceError(
                        f"“{self.name}” needs a {words}.", field=field, remedy="Measure it."
                    )
                continue
            self._check_length(field, value)

    def _check_length(self, field: str, value: float) -> None:
        if not THINNEST <= value <= THICKEST:
            words = field.replace("_", " ").capitalize()
            raise PieceError(
                f"“{self.name}”: {words} {value * 1000:g} mm is outside 0.3 to 300 mm.",
                field=field,
                remedy="Check the number and its unit.",
            )

    def sections(self) -> tuple[Section, ...]:
        """The parts that cool on their own, wall before base."""
        if self.shape is Shape.SPHERE:
            assert self.diameter is not None  # noqa: S101 - checked on construction
            return (Section("body", Geometry.SPHERE, self.diameter, self.diameter / 2),)
        if self.shape is Shape.CYLINDER:
            return (self._solid_cylinder(),)
        assert self.wall_thickness is not None  # noqa: S101 - checked on construction
        if self.shape is Shape.PLATE:
            return (_slab("body", self.wall_thickness, self.cooled_from),)
        assert self.base_thickness is not None  # noqa: S101 - checked on construction
        return (
            _slab("wall", self.wall_thickness, self.cooled_from),
            _slab("base", self.base_thickness, self.base_cooled_from),
        )

    def _solid_cylinder(self) -> Section:
        """The round body, or the flat disc where that cools sooner (each bounds the lag)."""
        assert self.diameter is not None  # noqa: S101 - checked on construction
        radius = self.diameter / 2
        round_body = Section("body", Geometry.CYLINDER, self.diameter, radius)
        if self.height is None:
            return round_body
        disc = _slab("body", self.height, self.cooled_from)
        # Centre lag: R a^2/2k of the slab against R r^2/4k of the cylinder.
        disc_is_quicker = disc.conduction_length**2 / 2 < radius**2 / 4
        return disc if disc_is_quicker else round_body


def _slab(part: str, thickness: float, cooled_from: CooledFrom) -> Section:
    length = thickness if cooled_from is CooledFrom.ONE else thickness / 2
    return Section(part, Geometry.SLAB, thickness, length)
