"""What the engine reckons: sections of glass with their faces, supports and first state."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from core.errors import StressError
from core.glass.glass import GlassProperties
from core.glass.heat import conductivity, heat_capacity
from core.piece.piece import Geometry, Piece, Section, Shape
from core.piece.surface import EMISSIVITY
from core.stress.relaxation import SODA_LIME, Relaxation
from core.units import ZERO_CELSIUS

THINNEST, THICKEST = 0.3e-3, 0.3
"""Thickness or diameter a section may have [m]."""
COLDEST, HOTTEST = ZERO_CELSIUS - 100.0, ZERO_CELSIUS + 1500.0
"""Temperatures a history or first state may have [K]."""


class Faces(StrEnum):
    """How heat leaves a slab or a hollow wall."""

    BOTH = "both"
    """Both faces alike: only one half is reckoned."""
    OUTER = "outer"
    """One face; the other is insulated (closed form, still air inside)."""
    SHELF = "shelf"
    """Upper face to the chamber, lower face on a shelf."""


@dataclass(frozen=True)
class Shelf:
    """What a piece stands on, per area of contact.

    Attributes
    ----------
    resistance : float
        From glass to shelf [m2 K/W]; 0.003 is a still air gap of 0.1-0.2 mm with radiation across
        it, 0.0005 a smooth plate (common practice, no source).
    heat_content : float
        [J/(m2 K)], e.g. 30 mm of light firebrick 25e3 (common practice, no source).
    """

    resistance: float = 0.003
    heat_content: float = 25e3

    def __post_init__(self) -> None:
        if not 1e-5 <= self.resistance <= 10.0:
            raise StressError(
                f"A shelf resistance of {self.resistance:g} m2 K/W is not possible.",
                field="resistance",
                remedy="Use 0.00001 to 10.",
            )
        if not 10.0 <= self.heat_content <= 1e7:
            raise StressError(
                f"A shelf heat content of {self.heat_content:g} J/(m2 K) is not possible.",
                field="heat_content",
                remedy="Use 10 to 10 000 000.",
            )


@dataclass(frozen=True)
class Surroundings:
    """Exchange between surface and chamber.

    Attributes
    ----------
    emissivity : float
        Effective, grey: a lehr is much larger than the piece, so the glass's own counts (0.84,
        Pilkington ATS-129).
    convection : float
        c of natural convection c |dT|^(1/4) [W/(m2 K^1.25)]: 1.42 (dT/L)^(1/4) of a piece some
        0.1 m high (McAdams W.H. 1954, Heat Transmission; from memory).
    fixed : float
        A fixed coefficient on top [W/(m2 K)]: a fan, or the blast of tempering.
    """

    emissivity: float = EMISSIVITY
    convection: float = 2.525
    fixed: float = 0.0

    def __post_init__(self) -> None:
        for name, high in (("emissivity", 1.0), ("convection", 100.0), ("fixed", 1e7)):
            if not 0.0 <= getattr(self, name) <= high:
                raise StressError(
                    f"{name.capitalize()} {getattr(self, name):g} is not possible.",
                    field=name,
                    remedy=f"Use 0 to {high:g}.",
                )
        if self.emissivity + self.convection + self.fixed <= 0:
            raise StressError("No heat could leave the piece.", field="emissivity")


@dataclass(frozen=True)
class StressSection:
    """A section of one glass, whose stress depends on depth alone.

    Attributes
    ----------
    part : str
        ``"body"``, ``"wall"``, ``"base"``.
    geometry : Geometry
        Of heat flow and stress; a slab with ``curvature_radius`` is a hollow wall.
    thickness : float
        Of a slab or wall, diameter of a cylinder or sphere [m].
    faces : Faces
        Slabs and walls only.
    shelf : Shelf or None
        With ``Faces.SHELF``.
    may_bend : bool
        A flat plate cooled unevenly bows and sheds the moment; closed forms cannot.
    curvature_radius : float or None
        Inner radius of a hollow round wall [m]: heat flows radially, stress is that of a slab
        that cannot bend (thin against its radius).
    viewing_path : float or None
        Way of the light when a slab is looked through edge-on [m]; ``None``: 1 cm of it.
    """

    part: str
    geometry: Geometry
    thickness: float
    faces: Faces = Faces.BOTH
    shelf: Shelf | None = None
    may_bend: bool = False
    curvature_radius: float | None = None
    viewing_path: float | None = None

    def __post_init__(self) -> None:
        if not THINNEST <= self.thickness <= THICKEST:
            raise StressError(
                f"A thickness of {self.thickness * 1000:g} mm is outside 0.3 to 300 mm.",
                field="thickness",
                remedy="Check the number and its unit.",
            )
        if self.curvature_radius is not None:
            self._check_wall(self.curvature_radius)
        elif self.geometry is not Geometry.SLAB and self.faces is not Faces.BOTH:
            raise StressError("A solid body has one face all round.", field="faces")
        if self.viewing_path is not None and not 1e-4 <= self.viewing_path <= 10.0:
            raise StressError(
                f"Light cannot go {self.viewing_path:g} m through the piece.",
                field="viewing_path",
                remedy="Use 0.0001 to 10 m.",
            )
        if (self.faces is Faces.SHELF) != (self.shelf is not None):
            raise StressError("A shelf and a face on it go together.", field="shelf")

    def _check_wall(self, radius: float) -> None:
        if not radius >= self.thickness:
            raise StressError(
                "A wall thicker than its inner radius is no thin wall.",
                field="curvature_radius",
                remedy="Take it as solid.",
            )
        if self.geometry is Geometry.SLAB or self.faces is not Faces.OUTER:
            raise StressError(
                "A hollow wall is round and gives off its heat outside.", field="faces"
            )

    @property
    def is_slab(self) -> bool:
        """True where the stress is that of a slab (plates and hollow walls)."""
        return self.geometry is Geometry.SLAB or self.curvature_radius is not None

    @property
    def depth(self) -> float:
        """Distance from the first node (middle, insulated or lower face) to the cooled face [m]."""
        halved = self.faces is Faces.BOTH
        return self.thickness / 2 if halved else self.thickness


@dataclass(frozen=True)
class FirstState:
    """State of a piece when it enters.

    Attributes
    ----------
    core, skin : float
        [K]; between them a parabola, as after some time in the open air. Equal for an even piece.
    fictive : float or None
        Of a cold piece [K]; by default that of glass annealed before, where its viscosity is
        10^12.7 Pa s (from the slope of fictive temperature and the Maxwell time; a plausible
        value, no source). Above it the glass is taken as a liquid at rest: no stress.
    """

    core: float
    skin: float
    fictive: float | None = None

    def __post_init__(self) -> None:
        for name in ("core", "skin", "fictive"):
            value = getattr(self, name)
            if value is not None and not COLDEST <= value <= HOTTEST:
                raise StressError(
                    f"A {name} temperature of {value - ZERO_CELSIUS:g} °C is not possible.",
                    field=name,
                    remedy="Use -100 to 1500 °C.",
                )


@dataclass(frozen=True)
class StressPiece:
    """A piece as the engine takes it.

    Attributes
    ----------
    name : str
    properties : GlassProperties
    sections : tuple of StressSection
        Joined in one membrane strain when ``joined``.
    joined : bool
        Sections share one membrane strain (and cannot bend): a bound for full restraint.
    enters : float or None
        Time on the history's clock when it is put in [s]; ``None``: there from the start.
    first_state : FirstState or None
        ``None``: even, at the chamber's temperature when it enters.
    surroundings : Surroundings
    relaxation : Relaxation
    """

    name: str
    properties: GlassProperties
    sections: tuple[StressSection, ...]
    joined: bool = False
    enters: float | None = None
    first_state: FirstState | None = None
    surroundings: Surroundings = Surroundings()
    relaxation: Relaxation = SODA_LIME

    def __post_init__(self) -> None:
        if not self.sections:
            raise StressError(f"“{self.name}” has no section.", field="sections")
        if self.joined and any(not s.is_slab or s.may_bend for s in self.sections):
            raise StressError(
                f"“{self.name}”: only walls and bases that cannot bend are joined in one strain.",
                field="joined",
            )
        if self.enters is not None and not math.isfinite(self.enters):
            raise StressError("The time a piece is put in is not a number.", field="enters")
        glass = self.properties
        limits = {
            "density": (500.0, 10000.0),
            "youngs_modulus": (1e9, 500e9),
            "expansion": (1e-8, 5e-5),
            "poissons_ratio": (0.0, 0.45),
        }
        for name, (low, high) in limits.items():
            value = getattr(glass, name).value
            if not low <= value <= high:
                words = name.replace("_", " ")
                raise StressError(
                    f"“{glass.name}”: a {words} of {value:g} is not possible for glass.",
                    field=name,
                    remedy="Check the measured value and its unit.",
                )
        ends = np.array([COLDEST, HOTTEST])
        carried, stored = conductivity(glass, ends), heat_capacity(glass, ends)
        if not (carried.min() > 0.05 and stored.min() > 100.0):
            raise StressError(
                f"“{glass.name}”: its conductivity or heat capacity is not possible for glass.",
                field="conductivity_terms",
                remedy="Check its analysis.",
            )


def stress_piece(
    piece: Piece,
    properties: GlassProperties,
    *,
    shelf: Shelf | None = None,
    enters: float | None = None,
    first_state: FirstState | None = None,
    surroundings: Surroundings | None = None,
) -> StressPiece:
    """A piece of the load for the engine.

    A face that gives off no heat is insulated, and the wall cannot bend (it belongs to a closed
    form), as in the closed forms of :mod:`core.piece.cooling_stress`. With a ``shelf``, a vessel's
    base cooled from one face stands on it instead. A short cylinder reckoned as a disc is looked
    through from rim to rim.

    Parameters
    ----------
    piece : Piece
    properties : GlassProperties
        Of its glass.
    shelf : Shelf, optional
    enters, first_state, surroundings
        As in :class:`StressPiece`.
    """
    return StressPiece(
        name=piece.name,
        properties=properties,
        sections=tuple(_section(section, piece, shelf) for section in piece.sections()),
        joined=piece.shape is Shape.VESSEL,
        enters=enters,
        first_state=first_state,
        surroundings=surroundings or Surroundings(),
    )


def _section(section: Section, piece: Piece, shelf: Shelf | None) -> StressSection:
    if section.geometry is not Geometry.SLAB:
        return StressSection(section.part, section.geometry, section.thickness)
    faces, under = Faces.BOTH, None
    if section.conduction_length == section.thickness:
        stands = shelf is not None and section.part == "base"
        faces, under = (Faces.SHELF, shelf) if stands else (Faces.OUTER, None)
    return StressSection(
        section.part,
        Geometry.SLAB,
        section.thickness,
        faces=faces,
        shelf=under,
        viewing_path=piece.diameter,
    )
