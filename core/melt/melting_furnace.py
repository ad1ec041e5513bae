"""A melting furnace as described: source, wall sections in layers, opening, room, prices."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from core.errors import FurnaceError
from core.melt.combustion import carbon_dioxide
from core.melt.heat_source import GasBurner, HeatSource
from core.melt.limits import require, require_name, require_temperature
from core.melt.refractory import Refractory
from core.units import SECONDS_PER_HOUR, ZERO_CELSIUS

JOULE_PER_KILOWATT_HOUR = 1000.0 * SECONDS_PER_HOUR


@dataclass(frozen=True)
class Layer:
    """One layer of a wall; thickness [m]."""

    material: Refractory
    thickness: float

    def __post_init__(self) -> None:
        require(self.thickness * 1000.0, 1.0, 2000.0, "thickness", "A thickness", "mm")


@dataclass(frozen=True)
class WallSection:
    """Crown, wall, floor, door: a part of the shell built the same throughout.

    Attributes
    ----------
    name : str
    area : float
        Inside [m2].
    layers : tuple of Layer
        From the hot face outward.
    outer_area : float or None
        Outside [m2]; the area grows linearly through the wall, as in a cylinder. ``None``: as
        inside.
    emissivity : float
        Of the hot face.
    outer_film : float or None
        Heat transfer to the room [W/(m2 K)], 0 of a face that loses nothing; ``None``: free
        convection and radiation.
    """

    name: str
    area: float
    layers: tuple[Layer, ...]
    outer_area: float | None = None
    emissivity: float = 0.85
    outer_film: float | None = None

    def __post_init__(self) -> None:
        require_name(self.name, "The wall section")
        require(self.area, 0.001, 500.0, "area", "An area", "m2")
        if self.outer_area is not None:
            require(self.outer_area, 0.001, 2000.0, "outer_area", "An outer area", "m2")
        require(self.emissivity, 0.05, 1.0, "emissivity", "An emissivity")
        if self.outer_film is not None:
            require(self.outer_film, 0.0, 1e4, "outer_film", "A film coefficient", "W/(m2 K)")
        if not self.layers:
            raise FurnaceError(
                f"“{self.name}” has no layers.",
                field="layers",
                remedy="Name them from the hot face outward.",
            )

    @property
    def thickness(self) -> float:
        """Of all layers [m]."""
        return math.fsum(layer.thickness for layer in self.layers)

    @property
    def outside(self) -> float:
        """Outer area [m2]."""
        return self.area if self.outer_area is None else self.outer_area


@dataclass(frozen=True)
class Opening:
    """The gathering hole or door: what it loses when it stands open.

    Attributes
    ----------
    area : float
        Fully open [m2].
    height : float
        Clear height [m]; drives the air through it.
    wall_thickness : float
        Length of the tunnel through the wall [m].
    open_at_night, open_at_work : float
        Share open while melting (a loose door, a sight hole) and while working.
    charging_time : float
        How long it stands fully open for one charge [s].
    """

    area: float = 0.0177
    height: float = 0.15
    wall_thickness: float = 0.115
    open_at_night: float = 0.02
    open_at_work: float = 0.4
    charging_time: float = 120.0

    def __post_init__(self) -> None:
        require(self.area, 0.0, 10.0, "area", "An opening", "m2")
        require(self.height, 0.01, 3.0, "height", "A height of the opening", "m")
        require(self.wall_thickness, 0.0, 2.0, "wall_thickness", "A wall thickness", "m")
        require(self.open_at_night, 0.0, 1.0, "open_at_night", "A share open")
        require(self.open_at_work, 0.0, 1.0, "open_at_work", "A share open")
        require(self.charging_time / 60.0, 0.0, 60.0, "charging_time", "A charging time", "min")

    @property
    def diameter(self) -> float:
        """Of a round opening of this area [m]."""
        return math.sqrt(4.0 * self.area / math.pi)

    def round_of(self, diameter: float) -> Opening:
        """The same opening, round and of another diameter [m]."""
        require(diameter * 1000.0, 0.0, 3000.0, "diameter", "An opening", "mm")
        area = math.pi / 4.0 * diameter**2
        return replace(self, area=area, height=max(diameter, 0.01))

    @property
    def radiating_area(self) -> float:
        """Area of a black hole that radiates as much as this one fully open [m2].

        Two equal coaxial discs joined by a reradiating wall exchange (1 + F)/2 of what they would
        face to face, F their view factor (standard enclosure of three surfaces, Incropera and
        DeWitt, Fundamentals of Heat and Mass Transfer, ch. 13).
        """
        if self.area == 0.0:
            return 0.0
        ratio = math.sqrt(self.area / math.pi) / max(self.wall_thickness, 1e-6)
        s = 2.0 + 1.0 / max(ratio * ratio, 1e-12)
        view = 2.0 / (s + math.sqrt(s * s - 4.0))  # 0.5 (s - sqrt(s^2 - 4)), without cancellation
        return self.area * (1.0 + view) / 2.0


@dataclass(frozen=True)
class EnergyTerms:
    """What the studio pays and emits for a kilowatt-hour; ``None`` where it was not said.

    Attributes
    ----------
    price : float or None
        Per kWh, in ``currency``; of gas per kWh net.
    currency : str
    carbon_dioxide : float or None
        [kg/kWh]; of gas that of burning it, unless said otherwise.
    """

    price: float | None = None
    currency: str = "EUR"
    carbon_dioxide: float | None = None

    def __post_init__(self) -> None:
        if self.price is not None:
            require(self.price, 0.0, 1e4, "price", "A price per kWh")
        if self.carbon_dioxide is not None:
            require(self.carbon_dioxide, 0.0, 5.0, "carbon_dioxide", "An emission", "kg/kWh")


@dataclass(frozen=True)
class MeltingFurnace:
    """A furnace with one pot chamber.

    Attributes
    ----------
    name : str
    source : ElectricElements or GasBurner
    sections : tuple of WallSection
    opening : Opening
    ambient : float
        Room [K].
    energy : EnergyTerms
    """

    name: str
    source: HeatSource
    sections: tuple[WallSection, ...]
    opening: Opening = field(default_factory=Opening)
    ambient: float = ZERO_CELSIUS + 20.0
    energy: EnergyTerms = field(default_factory=EnergyTerms)

    def __post_init__(self) -> None:
        require_name(self.name, "The furnace")
        require_temperature(self.ambient, -30.0, 60.0, "ambient", "A room temperature")
        if not self.sections:
            raise FurnaceError(
                f"“{self.name}” has no walls.",
                field="sections",
                remedy="Describe crown, wall and floor.",
            )

    @property
    def is_gas(self) -> bool:
        """True of a furnace with a burner."""
        return isinstance(self.source, GasBurner)

    @property
    def carbon_dioxide_per_joule(self) -> float | None:
        """CO2 [kg/J]: as stated, of gas by default that of burning it, else ``None``."""
        if self.energy.carbon_dioxide is not None:
            return self.energy.carbon_dioxide / JOULE_PER_KILOWATT_HOUR
        return carbon_dioxide(self.source.fuel) if isinstance(self.source, GasBurner) else None
