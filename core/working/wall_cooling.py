"""How fast a wall of hot glass cools in the open air of the workshop.

A wall whose mean temperature is T loses heat through its cooled faces by radiation and natural
convection. Per cooled area it holds L = thickness / faces of glass, so

    rho c(T) L dT/dt = -q(Ts),
    q(Ts) = eps sigma (Ts^4 - Troom^4) + 1.42 (Ts - Troom)^(5/4) / H^(1/4),

and, in quasi-steady cooling, the face is colder than the mean by T - Ts = q L / (3 k): the
parabola of a slab cooled at a constant rate (:mod:`core.piece.lag`). Without that last relation
it is the lumped wall of the textbooks, good to a Biot number of 0.1; with it the time through the
working range agrees with the full heat equation within 2 % up to a Biot number of 1 (checked in
the tests).

Sources: convection McAdams W.H. 1954, Heat Transmission (laminar, vertical plane; from memory, as
in :mod:`core.piece.surface`); emissivity of float glass 0.84, Pilkington ATS-129 (2013). Hot glass
is half transparent to its own radiation: a wall of a millimetre or two gives off less than its
surface would (Sasaki S. et al. 2003, High Temp. High Press. 35/36, 303: emissivity grows with
thickness), thick hot glass 0.87-0.93 (values used in tempering models). Hence the wide interval
of :data:`EMISSIVITY_RANGE`; its lower end is common practice, no source. Touching a block, a
mould or a marver takes heat far faster than all of this.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import PieceError
from core.glass.glass import GlassProperties
from core.glass.heat import conductivity, heat_capacity
from core.piece.surface import EMISSIVITY, STEFAN_BOLTZMANN
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

EMISSIVITY_RANGE = (0.65, 0.93)
"""Thin walls at a bright heat to thick ones at a dull heat (module docstring)."""

_HEIGHT = 0.1
"""[m] Height of a middling piece; it enters by its fourth root only."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


@dataclass(frozen=True)
class Wall:
    """A wall of hot glass and the room it cools in.

    Attributes
    ----------
    thickness : float
        [m]; 0.2 to 50 mm.
    faces : int
        2 when both faces see the room; 1 for a closed bubble, whose inside sees only itself.
    room : float
        Temperature of the workshop [K].
    emissivity : float
        0 to 1.

    Raises
    ------
    PieceError
        If a number is outside its range; ``field`` names it.
    """

    thickness: float = 0.003
    faces: int = 2
    room: float = 25.0 + ZERO_CELSIUS
    emissivity: float = EMISSIVITY

    def __post_init__(self) -> None:
        if not 0.2e-3 <= self.thickness <= 50e-3:
            raise PieceError(
                f"A wall of {self.thickness * 1000:g} mm cannot be reckoned with.",
                field="thickness",
                remedy="Give 0.2 to 50 mm.",
            )
        if self.faces not in {1, 2}:
            raise PieceError(
                f"A wall has one or two faces in the open, not {self.faces}.", field="faces"
            )
        if not -50.0 <= self.room - ZERO_CELSIUS <= 300.0:
            raise PieceError(
                f"{self.room - ZERO_CELSIUS:g} °C is not the temperature of a workshop.",
                field="room",
                remedy="Give -50 to 300 °C.",
            )
        if not 0.0 < self.emissivity <= 1.0:
            raise PieceError(
                f"An emissivity of {self.emissivity:g} is not possible.",
                field="emissivity",
                remedy="Give more than 0 and at most 1; bare glass has about 0.84.",
            )

    @property
    def depth(self) -> float:
        """Thickness of glass behind each cooled face [m]."""
        return self.thickness / self.faces


def heat_loss(wall: Wall, surface: FloatArray) -> FloatArray:
    """Heat given off per cooled area [W/m2] at a surface temperature [K], any shape.

    The surface must be at least as warm as the room.
    """
    warmer = np.maximum(surface - wall.room, 0.0)
    radiation = wall.emissivity * STEFAN_BOLTZMANN * (surface**4 - wall.room**4)
    return np.asarray(radiation + 1.42 * warmer**1.25 / _HEIGHT**0.25)


def surface_temperature(properties: GlassProperties, wall: Wall, mean: FloatArray) -> FloatArray:
    """Temperature of the cooled face [K] when the wall's mean is ``mean`` [K], any shape.

    Solves T - Ts = q(Ts) L / (3 k) by Newton's method; q is convex and rises with Ts, so from the
    warm side the iteration falls to the root without overshooting.
    """
    resistance = wall.depth / (3.0 * conductivity(properties, mean))
    surface = np.array(mean, dtype=np.float64)
    for _ in range(30):
        warmer = np.maximum(surface - wall.room, 0.0)
        slope = 1.0 + resistance * (
            4.0 * wall.emissivity * STEFAN_BOLTZMANN * surface**3
            + 1.25 * 1.42 * warmer**0.25 / _HEIGHT**0.25
        )
        step = (surface + resistance * heat_loss(wall, surface) - mean) / slope
        surface = np.maximum(surface - step, wall.room)
        if float(np.max(np.abs(step))) < 1e-9:
            break
    return surface


def cooling_time(properties: GlassProperties, wall: Wall, hot: float, cold: float) -> float:
    """Time [s] in which the wall's mean temperature falls from ``hot`` to ``cold`` [K].

    Valid for walls in still air, 300-1300 °C, Biot numbers up to 1 (:func:`biot_number`). Internal
    radiation, left out, evens a thick hot wall further. Source: module docstring.

    Raises
    ------
    PieceError
        If ``cold`` is not between the room's temperature and ``hot``.
    """
    if not wall.room < cold < hot:
        raise PieceError(
            f"A wall cannot cool from {hot - ZERO_CELSIUS:.0f} to {cold - ZERO_CELSIUS:.0f} °C in "
            f"a room of {wall.room - ZERO_CELSIUS:.0f} °C.",
            field="room",
        )
    mean = 0.5 * (hot + cold) + 0.5 * (hot - cold) * _NODES
    lost = heat_loss(wall, surface_temperature(properties, wall, mean))
    held = properties.density.value * wall.depth * heat_capacity(properties, mean)
    return 0.5 * (hot - cold) * float(np.sum(_WEIGHTS * held / lost))


def biot_number(properties: GlassProperties, wall: Wall, temperature: float) -> float:
    """Biot number q L / (k (T - Troom)) [-] at a mean temperature [K] above the room's.

    Below 0.1 the wall is as good as even; above 1 it is not, and :func:`cooling_time` is a guide
    only.
    """
    if not (math.isfinite(temperature) and temperature > wall.room):
        raise PieceError("The wall must be hotter than the room.", field="temperature")
    mean = np.array([temperature])
    coefficient = heat_loss(wall, mean) / (mean - wall.room)
    return float((coefficient * wall.depth / conductivity(properties, mean))[0])
