"""How glass relaxes: published spectra of shear and structure, tied to the glass's own viscosity.

Two relaxations share one clock, the reduced time xi with d(xi) = dt / tau, tau = viscosity/G:

* shear stress is a sum of Maxwell elements, share w_k, time s_k tau;
* structure follows Tool, Narayanaswamy and Moynihan with a distribution of times: each partial
  fictive temperature relaxes towards T with time r_k tau, and their weighted sum is the fictive
  temperature Tf (Narayanaswamy O.S. 1971, J. Am. Ceram. Soc. 54, 491; Moynihan C.T. et al. 1976,
  Ann. N.Y. Acad. Sci. 279, 15).

The viscosity out of equilibrium is that of the equilibrium liquid at Tf, carried to T with the
share x of the activation energy the liquid has at Tf:

    ln eta(T, Tf) = ln eta(Tf) + x H(Tf)/R (1/T - 1/Tf),   H(T)/R = d ln eta / d(1/T).

For T = Tf it is the glass's own viscosity curve; for an Arrhenius liquid it is Narayanaswamy's
form exp[H/R (x/T + (1 - x)/Tf)] exactly.

Spectra, x and the expansion of the liquid: Carre H., Daudeville L. 1999, J. Eng. Mech. 125, 914;
the same table in Nielsen J.H. et al. 2010, Comput. Struct. 88, 963. They were measured on
soda-lime plate; for other glasses the shape of the spectra is an assumption.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import GlassError, StressError
from core.glass.fixed_points import ANNEALING, SOFTENING, STRAIN
from core.glass.glass import GlassProperties
from core.glass.viscosity_curve import vft_through

FloatArray = NDArray[np.float64]

SHEAR_MODULI = (1.585, 2.354, 3.486, 6.558, 8.205, 6.498)
"""Maxwell terms [GPa], sum 28.69; their shares are used with the glass's own modulus."""
SHEAR_TIMES = (6.658e-5, 1.197e-3, 1.514e-2, 0.1672, 0.7497, 3.292)
"""[s] at 869 K."""
STRUCTURE_SHARES = (0.05523, 0.08205, 0.1215, 0.2286, 0.286, 0.22662)
"""Shares of the structural relaxation [-]."""
STRUCTURE_TIMES = (5.965e-4, 1.077e-2, 0.1362, 1.505, 6.747, 29.63)
"""[s] at 869 K: nine times those of shear."""
NON_LINEARITY = 0.5
"""x [-]: share of the activation energy that goes with T, the rest with Tf."""
LIQUID_EXPANSION_RATIO = 25.1 / 9.1
"""Expansion of the liquid over that of the glass [-]; 32/9.1 in some of the same authors'."""

_LOG_10 = math.log(10.0)
_LOWEST_T0 = -200.0
"""[K] Nearly an Arrhenius line (t0 = 0) through all three points is still a sound curve."""
_NEAREST_T0 = 100.0
"""A VFT curve that turns rigid this close below the strain point [K] is no liquid's."""
_NEAREST_POLE = 40.0
"""No fictive temperature is taken nearer to t0 than this [K]."""
_FASTEST = 300.0
"""ln(1/tau) beyond which everything is at rest anyway; keeps exponentials finite."""


@dataclass(frozen=True)
class Relaxation:
    """Spectra of shear and structure; times as multiples of viscosity over shear modulus.

    Attributes
    ----------
    shear_shares, shear_times : tuple of float
        Sum of shares 1, sum of share times time 1 (that is what viscosity means).
    structure_shares, structure_times : tuple of float
        Sum of shares 1.
    non_linearity : float
        x, 0 to 1.
    liquid_expansion_ratio : float
        Expansion of liquid over glass; 1 switches the strain of structure off.
    """

    shear_shares: tuple[float, ...]
    shear_times: tuple[float, ...]
    structure_shares: tuple[float, ...]
    structure_times: tuple[float, ...]
    non_linearity: float = NON_LINEARITY
    liquid_expansion_ratio: float = LIQUID_EXPANSION_RATIO

    def __post_init__(self) -> None:
        pairs = (
            (self.shear_shares, self.shear_times),
            (self.structure_shares, self.structure_times),
        )
        for shares, times in pairs:
            if (
                len(shares) != len(times)
                or abs(sum(shares) - 1.0) > 1e-6
                or not all(0.0 < t < math.inf for t in times)
            ):
                raise StressError(
                    "A relaxation spectrum needs positive times and shares that sum to 1.",
                    field="relaxation",
                )
        if not 0.0 <= self.non_linearity <= 1.0 or not 0.0 <= self.liquid_expansion_ratio <= 100.0:
            raise StressError(
                "Non-linearity goes from 0 to 1, the expansion of liquid over glass from 0 to 100.",
                field="relaxation",
            )


def published_relaxation() -> Relaxation:
    """The spectra of soda-lime plate (module docstring) as multiples of viscosity/modulus."""
    total = sum(SHEAR_MODULI)
    shear = tuple(g / total for g in SHEAR_MODULI)
    mean = sum(w * t for w, t in zip(shear, SHEAR_TIMES, strict=True))
    structure_total = sum(STRUCTURE_SHARES)
    return Relaxation(
        shear_shares=shear,
        shear_times=tuple(t / mean for t in SHEAR_TIMES),
        structure_shares=tuple(w / structure_total for w in STRUCTURE_SHARES),
        structure_times=tuple(t / mean for t in STRUCTURE_TIMES),
    )


SODA_LIME = published_relaxation()


@dataclass(frozen=True)
class Liquid:
    """ln(viscosity / Pa s) = a + b/(T - t0) of the equilibrium liquid; t0 = 0 for Arrhenius."""

    a: float
    b: float
    t0: float

    def temperature(self, log_viscosity: float) -> float:
        """Temperature [K] at log10(viscosity / Pa s)."""
        return self.t0 + self.b / (_LOG_10 * log_viscosity - self.a)


def liquid_of(properties: GlassProperties) -> Liquid:
    """Viscosity of a glass as used here: VFT through strain, annealing and softening point.

    Without a softening point, or where no sound VFT curve runs through the three, an Arrhenius
    line through strain and annealing point: right where stress sets in, too stiff when hot.

    Raises
    ------
    StressError
        If the strain point is not below the annealing point.
    """
    strain, annealing = properties.strain_point.value, properties.annealing_point.value
    if not 0 < strain < annealing:
        raise StressError(
            f"“{properties.name}”: the strain point must lie below the annealing point.",
            field="strain_point",
            remedy="Check both.",
        )
    if properties.softening_point is not None:
        points = [
            (STRAIN.log_viscosity, strain),
            (ANNEALING.log_viscosity, annealing),
            (SOFTENING.log_viscosity, properties.softening_point.value),
        ]
        try:
            curve = vft_through(points)
        except GlassError:
            pass
        else:
            if _LOWEST_T0 <= curve.t0 < strain - _NEAREST_T0:
                return Liquid(_LOG_10 * curve.a, _LOG_10 * curve.b, curve.t0)
    rise = _LOG_10 * (STRAIN.log_viscosity - ANNEALING.log_viscosity)
    b = rise / (1.0 / strain - 1.0 / annealing)
    return Liquid(_LOG_10 * ANNEALING.log_viscosity - b / annealing, b, 0.0)


def log_rate(
    a: FloatArray,
    b: FloatArray,
    t0: FloatArray,
    x: FloatArray,
    temperature: FloatArray,
    fictive: FloatArray,
) -> FloatArray:
    """Ln of modulus over viscosity, ln(1/tau) with tau in seconds; see the module docstring.

    Parameters
    ----------
    a : ndarray
        ln(viscosity) at infinite temperature less ln(shear modulus) [ln s].
    b, t0 : ndarray
        [K].
    x : ndarray
        Non-linearity.
    temperature, fictive : ndarray
        [K]; all broadcast together.
    """
    above = np.maximum(fictive - t0, _NEAREST_POLE)
    result = (fictive / temperature - 1.0) * fictive
    result *= x / above
    result += 1.0
    result *= -b / above
    result -= a
    return np.asarray(np.minimum(result, _FASTEST))
