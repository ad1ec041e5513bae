"""What the engine answers for each piece."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.stress.retardation import Retardation
from core.stress.section import StressSection

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class PeakTension:
    """The greatest tension met, of all nodes and times.

    Attributes
    ----------
    stress : float
        [Pa]; 0 when there never was any.
    time : float
        On the history's clock [s].
    depth : float
        Below the cooled face [m].
    temperature : float
        Of the glass there and then [K].
    """

    stress: float
    time: float
    depth: float
    temperature: float


@dataclass(frozen=True, eq=False)
class SectionStress:
    """Stress in one section; tension is positive.

    In a piece whose sections are joined, stresses here are the section's own (their mean through
    the thickness taken off); the mean is ``joint``.

    Attributes
    ----------
    section : StressSection
    depth : ndarray, shape (n,)
        Below the cooled face [m], falling to 0.
    permanent : ndarray, shape (n,)
        In-plane stress of a slab, axial of a cylinder, hoop of a sphere, left once the piece has
        come to an even room temperature [Pa].
    permanent_hoop, permanent_radial : ndarray, shape (n,)
        [Pa]; of a slab the in-plane stress again and zero.
    permanent_core, permanent_surface : float
        At mid-plane (insulated face, centre) and at the cooled face [Pa]; on a shelf, or where the
        section may bend: the greatest inside and the lesser of both faces.
    permanent_joint : float
        Mean through the thickness left by joining, as a bound for full restraint [Pa].
    peak : PeakTension
        Greatest tension at any time, the section's own.
    retardation : Retardation
        What a polariscope should show of the permanent stress.
    fictive_temperature : float
        Mean at the end [K].
    time : ndarray, shape (m,)
        Steps on the history's clock [s].
    temperature, stress : ndarray, shape (m, n)
        At every step and node [K], [Pa]; the stress as ``permanent``.
    core_temperature, skin_temperature, core_stress, skin_stress, joint_stress : ndarray, (m,)
        Through the history [K], [Pa].
    """

    section: StressSection
    depth: FloatArray
    permanent: FloatArray
    permanent_hoop: FloatArray
    permanent_radial: FloatArray
    permanent_core: float
    permanent_surface: float
    permanent_joint: float
    peak: PeakTension
    retardation: Retardation
    fictive_temperature: float
    time: FloatArray
    temperature: FloatArray
    stress: FloatArray
    core_temperature: FloatArray
    skin_temperature: FloatArray
    core_stress: FloatArray
    skin_stress: FloatArray
    joint_stress: FloatArray


@dataclass(frozen=True, eq=False)
class PieceStress:
    """Stress in one piece.

    Attributes
    ----------
    name : str
    sections : tuple of SectionStress
    settled : bool
        False when some glass is still so hot at the end of the history that stress would change
        further (by some 8 % and 0.02 MPa, checked in the tests); ``permanent`` is then what would
        stay if it were cooled evenly, and at once, from there.
    """

    name: str
    sections: tuple[SectionStress, ...]
    settled: bool

    @property
    def permanent_core(self) -> float:
        """Greatest core tension of the sections, left for good [Pa]."""
        return max(s.permanent_core for s in self.sections)

    @property
    def permanent_surface(self) -> float:
        """Greatest surface compression, left for good [Pa], negative."""
        return min(s.permanent_surface for s in self.sections)

    @property
    def permanent_joint(self) -> float:
        """Greatest stress between joined sections, left for good, as a bound [Pa]; size only."""
        return max(abs(s.permanent_joint) for s in self.sections)

    @property
    def peak(self) -> PeakTension:
        """Greatest tension of any section at any time."""
        return max((s.peak for s in self.sections), key=lambda peak: peak.stress)

    @property
    def peak_joint(self) -> float:
        """Greatest stress between joined sections at any time, as a bound [Pa]; size only."""
        return max(float(np.abs(s.joint_stress).max()) for s in self.sections)

    @property
    def worst(self) -> SectionStress:
        """The section with the greatest core tension left."""
        return max(self.sections, key=lambda s: s.permanent_core)

    @property
    def retardation(self) -> Retardation:
        """What a polariscope should show of the section with the greatest core tension left."""
        return self.worst.retardation

    @property
    def fictive_temperature(self) -> float:
        """Of the section with the greatest core tension left, mean at the end [K]."""
        return self.worst.fictive_temperature


@dataclass(frozen=True)
class Judgement:
    """Stresses beside limits: how many times the stress would fit into the limit.

    Attributes
    ----------
    permanent, temporary : float
        Limit over stress of the sections' own core and peak tension; infinite without stress.
    permanent_joint, temporary_joint : float
        The same between joined sections.
    """

    permanent: float
    temporary: float
    permanent_joint: float
    temporary_joint: float

    @property
    def margin(self) -> float:
        """The smallest of them."""
        return min(self.permanent, self.temporary, self.permanent_joint, self.temporary_joint)

    @property
    def within_limits(self) -> bool:
        """True when every stress is at or below its limit."""
        return self.margin >= 1.0


def judge(
    stress: PieceStress,
    *,
    permanent_tension: float,
    temporary_tension: float,
    permanent_joint: float,
    temporary_joint: float,
) -> Judgement:
    """Compare with limits [Pa], taken as they are (no safety factor).

    The engine reckons what a safety factor on the closed forms has to cover (structural
    relaxation, transients, film), so the limits are not divided further; the margin tells how
    much is left for the scatter of the glass's constants.
    """

    def times(limit: float, value: float) -> float:
        return limit / value if value > 0 else float("inf")

    return Judgement(
        permanent=times(permanent_tension, stress.permanent_core),
        temporary=times(temporary_tension, stress.peak.stress),
        permanent_joint=times(permanent_joint, stress.permanent_joint),
        temporary_joint=times(temporary_joint, stress.peak_joint),
    )
