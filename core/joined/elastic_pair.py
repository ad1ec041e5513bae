"""The two partners of a joint as elastic bodies, and the stress each is left with."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from core.errors import GlassError


@dataclass(frozen=True)
class Elastic:
    """An isotropic elastic body.

    Attributes
    ----------
    youngs_modulus : float
        [Pa], positive.
    poissons_ratio : float
        [-], 0 to below 0.5.

    Raises
    ------
    GlassError
        If a number is not that of a solid; ``field`` names it.
    """

    youngs_modulus: float
    poissons_ratio: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.youngs_modulus) and self.youngs_modulus > 0):
            raise GlassError(
                f"A Young's modulus of {self.youngs_modulus:g} Pa is not possible.",
                field="youngs_modulus",
            )
        if not 0.0 <= self.poissons_ratio < 0.5:
            raise GlassError(
                f"A Poisson's ratio of {self.poissons_ratio:g} is not that of a glass.",
                field="poissons_ratio",
                remedy="Glasses have 0.15 to 0.3.",
            )

    @property
    def biaxial_modulus(self) -> float:
        """E/(1 - nu) [Pa]: stress of unit strain all ways in a sheet."""
        return self.youngs_modulus / (1.0 - self.poissons_ratio)


class Direction(StrEnum):
    """Direction of a stress in a joint."""

    RADIAL = "radial"
    HOOP = "hoop"
    AXIAL = "axial"
    IN_PLANE = "in the plane"


@dataclass(frozen=True)
class Stress:
    """A principal stress somewhere in a joint.

    Attributes
    ----------
    value : float
        [Pa], tension positive.
    direction : Direction
    place : str
        Where in the partner: ``"throughout"``, ``"at the join"``, ``"on the free face"``.
    """

    value: float
    direction: Direction
    place: str


@dataclass(frozen=True)
class PairStress:
    """Stress of a joint at room temperature.

    Attributes
    ----------
    core, casing : tuple of Stress
        The principal stresses of each partner at the places where they are largest.
    curvature : float
        Bending of flat layers [1/m], positive when the casing's face is hollow (it shrank more);
        0 for bodies that stay straight.
    """

    core: tuple[Stress, ...]
    casing: tuple[Stress, ...]
    curvature: float = 0.0


def peak_tension(stresses: tuple[Stress, ...]) -> Stress:
    """The largest of the stresses; its value is negative when all are compression."""
    return max(stresses, key=lambda stress: stress.value)
