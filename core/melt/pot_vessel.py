"""The pot as a vessel: its shape, what it holds, and how high the glass stands."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

from core.errors import FurnaceError
from core.melt.limits import require, require_name
from core.melt.refractory import SHIPPED, Refractory


@dataclass(frozen=True)
class PotVessel:
    """A round pot, straight or tapered.

    Attributes
    ----------
    name : str
    top_diameter, bottom_diameter : float
        Inside, at the rim and at the floor [m].
    depth : float
        Inside, floor to rim [m].
    wall_thickness, base_thickness : float
        [m].
    freeboard : float
        Height below the rim that stays empty [m].
    exposed_share : float
        Share of the outer side that faces the chamber: 1 of a pot that stands free, 0 of one
        built in up to the rim.
    material : Refractory
    """

    name: str
    top_diameter: float
    bottom_diameter: float
    depth: float
    wall_thickness: float = 0.025
    base_thickness: float = 0.03
    freeboard: float = 0.03
    exposed_share: float = 1.0
    material: Refractory = SHIPPED["clay-alumina pot"]

    def __post_init__(self) -> None:
        require_name(self.name, "The pot")
        for field in ("top_diameter", "bottom_diameter", "depth"):
            label = f"A {field.replace('_', ' ')}"
            require(getattr(self, field) * 1000, 20.0, 3000.0, field, label, "mm")
        for field in ("wall_thickness", "base_thickness"):
            label = f"A {field.replace('_', ' ')}"
            require(getattr(self, field) * 1000, 2.0, 300.0, field, label, "mm")
        require(self.exposed_share, 0.0, 1.0, "exposed_share", "An exposed share")
        require(self.freeboard * 1000, 0.0, 500.0, "freeboard", "A freeboard", "mm")
        if self.freeboard >= 0.9 * self.depth:
            raise FurnaceError(
                f"A freeboard of {self.freeboard * 1000:.0f} mm leaves nothing of a pot "
                f"{self.depth * 1000:.0f} mm deep.",
                field="freeboard",
                remedy="Give the empty height below the rim, such as 30 mm.",
            )

    def diameter(self, level: float) -> float:
        """Inside diameter [m] at a height above the floor [m]."""
        share = level / self.depth
        return self.bottom_diameter + (self.top_diameter - self.bottom_diameter) * share

    def volume(self, level: float) -> float:
        """Volume [m3] up to a level [m]: a frustum."""
        low, high = self.bottom_diameter, self.diameter(level)
        return math.pi * level / 12.0 * (low * low + low * high + high * high)

    @functools.cached_property
    def brimful(self) -> float:
        """Volume up to the rim [m3]."""
        return self.volume(self.depth)

    @property
    def usable_volume(self) -> float:
        """Volume up to the freeboard [m3]."""
        return self.volume(self.depth - self.freeboard)

    def level(self, volume: float) -> float:
        """Level [m] at which a volume [m3] stands; the rim at most.

        With the diameter d = d0 + s z, the volume is pi/(12 s) (d^3 - d0^3): solved for z.
        """
        if volume <= 0.0:
            return 0.0
        if volume >= self.brimful:
            return self.depth
        low = self.bottom_diameter
        slope = (self.top_diameter - low) / self.depth
        x = 12.0 * slope * volume / (math.pi * low**3)
        if abs(x) < 1e-6:  # the cube root cancels: take its series instead
            return 4.0 * volume / (math.pi * low * low) * (1.0 - x / 3.0)
        return low / slope * (math.cbrt(1.0 + x) - 1.0)

    def capacity(self, density: float) -> float:
        """Glass it holds up to the freeboard [kg] at the melt's density [kg/m3]."""
        return self.usable_volume * density

    @property
    def mass(self) -> float:
        """Mass of the pot [kg]."""
        wall, base = self.wall_thickness, self.base_thickness
        height = self.depth + base
        low, high = self.bottom_diameter + 2 * wall, self.top_diameter + 2 * wall
        outer = math.pi * height / 12.0 * (low * low + low * high + high * high)
        return (outer - self.brimful) * self.material.density

    @property
    def outer_side(self) -> float:
        """Area of the outer side that faces the chamber [m2]."""
        mean = (self.top_diameter + self.bottom_diameter) / 2.0 + 2.0 * self.wall_thickness
        return math.pi * mean * (self.depth + self.base_thickness) * self.exposed_share

    @property
    def floor_area(self) -> float:
        """Area of the floor inside [m2]."""
        return math.pi / 4.0 * self.bottom_diameter**2

    def side_area(self, level: float) -> float:
        """Area of the inner side up to a level [m2]."""
        return math.pi * (self.bottom_diameter + self.diameter(level)) / 2.0 * level
