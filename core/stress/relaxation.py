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
_NEAREST_T0 = 100.0
"""A VFT curve that turns rigid this close below the strain point [K] is no liquid's."""


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
            if len(shares) != len(times) or abs(sum(shares) - 1.0) > 1e-6 or min(times) <= 0:
                raise StressError(
                    "A relaxation spectrum needs positive times and shares that sum to 1.",
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
            if 0 <= curve.t0 < strain - _NEAREST_T0:
                return Liquid(_LOG_10 * curve.a, _LOG_10 * curve.b, curve.t0)
    rise = _LOG_10 * (STRAIN.log_viscosity - ANNEALING.log_viscosity)
    b = rise / (1.0 / strain - 1.0 / annealing)
    return Liquid(_LOG_10 * ANNEALING.log_viscosity - b / annealing, b, 0.0)


def log_rate(
    a: FloatArray,
    b: FloatArray,
    t0: FloatArray,
    x: float,
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
    x : float
        Non-linearity.
    temperature, fictive : ndarray
        [K]; all broadcast together.
    """
    above = np.maximum(fictive - t0, 40.0)  # no glass gets to the pole of its VFT curve
    u = b / above
    return -a - u * (1.0 + x * fictive / above * (fictive - temperature) / temperature)


def decay(y: FloatArray) -> tuple[FloatArray, FloatArray]:
    """exp(-y) and (1 - exp(-y))/y for y >= 0 of any size.

    They carry a relaxing quantity over a step in which its drive is linear in reduced time:
    exactly, and stably for any step.
    """
    kept = np.exp(-y)
    small = y < 1e-4
    mean = (1.0 - kept) / np.where(small, 1.0, y)
    return kept, np.where(small, 1.0 - 0.5 * y, mean)


def reduced_step(start: FloatArray, end: FloatArray, step: float) -> FloatArray:
    """Reduced time of a step whose ln(1/tau) goes in a straight line from start to end.

    Clipped to e^-120 to e^60 per second, beyond which nothing changes or everything has.
    """
    low = np.clip(start, -120.0, 60.0)
    change = np.clip(end, -120.0, 60.0) - low
    flat = np.abs(change) < 1e-6
    mean = np.where(flat, 1.0 + 0.5 * change, np.expm1(change) / np.where(flat, 1.0, change))
    return np.asarray(step * np.exp(low) * mean)


def follow_structure(
    relaxation: Relaxation,
    liquid: tuple[FloatArray, FloatArray, FloatArray],
    time: FloatArray,
    temperature: FloatArray,
    initial_fictive: FloatArray,
    resets: dict[int, FloatArray] | None = None,
) -> tuple[FloatArray, FloatArray]:
    """Fictive temperature and reduced time through a temperature history.

    Partial fictive temperatures (Markovsky A., Soules T.F. 1984, J. Am. Ceram. Soc. 67, C-56).
    Their implicit update is of first order in the step; here each partial temperature's distance
    d_k = T - Tf_k is carried over the step exactly for T linear in reduced time,

        d_k <- d_k exp(-y) + dT (1 - exp(-y))/y,   y = d(xi)/r_k,

    which is of second order and as stable: Tf_k never leaves the range of T and its old value.
    The rate at the step's end depends on Tf there and is corrected once.

    Parameters
    ----------
    relaxation : Relaxation
    liquid : tuple of ndarray, each broadcasting against (sections, nodes)
        ``(a, b, t0)`` as in :func:`log_rate`.
    time : ndarray, shape (steps + 1,)
    temperature : ndarray, shape (steps + 1, sections, nodes)
        [K].
    initial_fictive : ndarray, shape (sections, nodes)
        [K].
    resets : dict of int to ndarray, optional
        Sections (mask, shape (sections,)) that begin anew at a step, with ``initial_fictive``.

    Returns
    -------
    fictive : ndarray, shape (steps + 1, sections, nodes)
        [K].
    reduced : ndarray, shape (steps, sections, nodes)
        Reduced time of each step, in units of viscosity/modulus.
    """
    shares = np.array(relaxation.structure_shares)
    rates = 1.0 / np.array(relaxation.structure_times)
    a, b, t0 = liquid
    x = relaxation.non_linearity
    resets = resets or {}
    fictive = np.empty_like(temperature)
    reduced = np.empty((time.size - 1, *temperature.shape[1:]))
    fictive[0] = initial_fictive
    distance = np.repeat((temperature[0] - initial_fictive)[..., None], rates.size, axis=-1)
    now = log_rate(a, b, t0, x, temperature[0], fictive[0])
    drift = np.zeros_like(initial_fictive)
    steps = np.diff(time).tolist()
    for n, step in enumerate(steps):
        mask = resets.get(n)
        if mask is not None:
            fictive[n][mask] = initial_fictive[mask]
            distance[mask] = (temperature[n] - fictive[n])[mask][..., None]
            now = log_rate(a, b, t0, x, temperature[n], fictive[n])
            drift = np.where(mask[:, None], 0.0, drift)
        new = temperature[n + 1]
        change = new - temperature[n]
        end = log_rate(a, b, t0, x, new, fictive[n] + step * drift)
        gone = reduced_step(now, end, step)
        if gone.max() * rates[0] < 1e-9:  # rigid everywhere
            distance += change[..., None]
            fictive[n + 1] = fictive[n]
            now = end
        else:
            for _ in range(2):
                kept, mean = decay(gone[..., None] * rates)
                moved = distance * kept + change[..., None] * mean
                fictive[n + 1] = new - moved @ shares
                end = log_rate(a, b, t0, x, new, fictive[n + 1])
                gone = reduced_step(now, end, step)
            distance = moved
            now = end
        drift = (fictive[n + 1] - fictive[n]) / step
        reduced[n] = gone
    return fictive, reduced
