"""An independent solution of cooling glass, for the tests only: heat, structure and stress at once.

Everything the engine splits into steps of its own is one system of ordinary differential equations
here: temperature, partial fictive temperatures and Maxwell stresses at every node, handed to
scipy.integrate.solve_ivp (BDF, with the exact Jacobian by complex steps). In depth, spectral
collocation in even polynomials, x the place between middle (0) and cooled face (1), s = x^2
(Trefethen L.N. 2000, Spectral Methods in MATLAB, SIAM): eight nodes do what hundreds of finite
volumes do. Solids are solved for the rate of displacement, with radial equilibrium collocated.

Equations, derived from the sources named:

* rho c dT/dt = x^-p d/dx(x^p k dT/dx); p = 0 slab, 1 cylinder, 2 sphere (Carslaw & Jaeger 1959);
* d(Tf_k)/dt = (T - Tf_k)/(r_k tau), Tf = sum g_k Tf_k (Narayanaswamy 1971, Moynihan et al. 1976);
* tau = eta/G; ln eta(T, Tf) = ln eta(Tf) + x H(Tf)/R (1/T - 1/Tf), eta(T) by Vogel's equation;
* thermal strain rate = alpha dT/dt + (alpha_liquid - alpha) dTf/dt (Narayanaswamy 1978);
* d(s_k)/dt = 2 G w_k de/dt - s_k/(l_k tau) for each deviator, elastic bulk (generalised Maxwell);
* no net force: slabs in their plane (sections joined: all together), cylinders along their axis.

Spectra: Carre H., Daudeville L. 1999, J. Eng. Mech. 125, 914 (transcribed here a second time).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.integrate import solve_ivp

from core.glass.glass import GlassProperties
from core.glass.heat import conductivity, heat_capacity

STEFAN_BOLTZMANN = 5.670374419e-8
MEGA = 1e6

G_TERMS = np.array([1.585, 2.354, 3.486, 6.558, 8.205, 6.498])
G_TIMES = np.array([6.658e-5, 1.197e-3, 1.514e-2, 0.1672, 0.7497, 3.292])
S_TERMS = np.array([0.05523, 0.08205, 0.1215, 0.2286, 0.286, 0.22662])
S_TIMES = np.array([5.965e-4, 1.077e-2, 0.1362, 1.505, 6.747, 29.63])
EXPANSION_RATIO = 25.1 / 9.1


def even_nodes(count: int, power: int):
    """Places s = x^2, the matrix d/ds, and weights of the mean over the body."""
    order = np.arange(count)
    s = 0.5 * (1.0 - np.cos(np.pi * order / (count - 1)))
    sign = (-1.0) ** order * np.where((order == 0) | (order == count - 1), 2.0, 1.0)
    slope = np.outer(sign, 1.0 / sign) / (s[:, None] - s[None, :] + np.eye(count))
    slope -= np.diag(slope.sum(axis=1))
    point, weight = np.polynomial.legendre.leggauss(3 * count)
    x = 0.5 * (point + 1.0)
    moments = np.polynomial.legendre.legvander(2.0 * x**2 - 1.0, count - 1).T @ (weight * x**power)
    vander = np.polynomial.legendre.legvander(2.0 * s - 1.0, count - 1)
    mean = np.linalg.solve(vander.T, moments)
    return s, slope, mean / mean.sum()


@dataclass
class Model:
    """A body and its glass; stresses in MPa, all else SI.

    ``depths`` are half thickness, full thickness (one face insulated) or radius; more than one
    only for slabs, joined in one strain by their ``shares`` of the thickness.
    """

    power: int
    depths: tuple[float, ...]
    glass: GlassProperties
    nodes: int = 8
    shares: tuple[float, ...] = (1.0,)
    emissivity: float = 0.84
    convection: float = 2.525
    fixed: float = 0.0
    ratio: float = EXPANSION_RATIO
    non_linearity: float = 0.5
    structure_times: np.ndarray = field(default_factory=lambda: S_TIMES)

    def __post_init__(self) -> None:
        self.s, self.slope, self.weight = self.places()
        youngs = self.glass.youngs_modulus.value / MEGA
        poisson = self.glass.poissons_ratio.value
        self.shear = youngs / (2.0 * (1.0 + poisson))
        self.bulk = youngs / (3.0 * (1.0 - 2.0 * poisson))
        mean_time = (G_TERMS * G_TIMES).sum() / G_TERMS.sum()
        self.stiff = (G_TERMS / G_TERMS.sum())[:, None, None, None]
        self.stress_times = (G_TIMES / mean_time)[:, None, None, None]
        self.parts = (S_TERMS / S_TERMS.sum())[:, None, None, None]
        self.part_times = (self.structure_times / mean_time)[:, None, None, None]
        self.depth = np.array(self.depths)[:, None]
        self.share = np.array(self.shares)[:, None]
        self.deviators = {0: 1, 1: 2, 2: 1}[self.power]
        self._vogel()
        if self.power:
            self._prepare_solid()

    def places(self):
        """Places of the nodes, d/ds and weights of the mean."""
        return even_nodes(self.nodes, self.power)

    # --- the glass -------------------------------------------------------------------------

    def _vogel(self) -> None:
        """log10 eta = A + B/(T - T0) through the fixed points (ASTM C336, C338); T0 = 0 of two."""
        points = [(13.5, self.glass.strain_point), (12.0, self.glass.annealing_point)]
        if self.glass.softening_point is not None:
            points.append((6.6, self.glass.softening_point))
        log = np.array([p[0] for p in points])
        kelvin = np.array([p[1].value for p in points])
        columns = [kelvin, np.ones_like(log)] + ([log] if log.size == 3 else [])
        a, c, *t0 = np.linalg.solve(np.stack(columns, axis=1), log * kelvin)
        self.t0 = t0[0] if t0 else 0.0
        self.b = np.log(10.0) * (c + a * self.t0)
        self.a = np.log(10.0) * a - np.log(self.shear * MEGA)

    def log_tau(self, kelvin, fictive):
        """ln(tau/s)."""
        above = fictive - self.t0
        activation = self.b * (fictive / above) ** 2
        from_liquid = self.a + self.b / above
        return from_liquid + self.non_linearity * activation * (1.0 / kelvin - 1.0 / fictive)

    # --- heat ------------------------------------------------------------------------------

    def inflow(self, skin, chamber):
        """Heat from chamber to surface [W/m2]: grey radiation, natural and fixed convection."""
        difference = chamber - skin
        inflow = self.emissivity * STEFAN_BOLTZMANN * (chamber**4 - skin**4)
        inflow = inflow + self.convection * (difference**2 + 1e-4) ** 0.125 * difference
        return inflow + self.fixed * difference

    def warming(self, kelvin, chamber):
        """dT/dt, shape (nodes, sections, columns)."""
        flux = 2.0 * conductivity(self.glass, kelvin) * self._along(kelvin)  # over x
        flux[-1] = self.inflow(kelvin[-1], chamber) * self.depth
        spread = (self.power + 1) * flux + 2.0 * self.s[:, None, None] * self._along(flux)
        capacity = self.glass.density.value * heat_capacity(self.glass, kelvin)
        return spread / (capacity * self.depth**2)

    def _along(self, values):
        return np.einsum("ij,j...->i...", self.slope, values)

    def _mean(self, values):
        return np.einsum("i,i...->...", self.weight, values)

    # --- stress ----------------------------------------------------------------------------

    def _slab_rates(self, thermal, held, tau):
        """d(s_k)/dt of slabs; in-plane stress is 3 sum s_k, free across."""
        lost = held[:, 0] / (self.stress_times * tau)
        twice = 2.0 * self.shear
        pull = -twice * thermal - lost.sum(axis=0)
        membrane = self.membrane(pull / twice)
        rate = (pull + twice * membrane) / (1.0 / 3.0 + 2.0 * twice / (9.0 * self.bulk))
        strain = membrane - thermal - 2.0 / (9.0 * self.bulk) * rate
        return (twice * self.stiff * strain - lost)[:, None], rate * (2.0 / 3.0)

    def membrane(self, pull):
        """Rate of the strain all sections share, so that no net force is left."""
        return -(self.share * self._mean(pull)).sum(axis=0) / self.share.sum()

    def _prepare_solid(self) -> None:
        """Matrix of radial equilibrium (and axial force) for u/x at the nodes and axial strain."""
        n, identity = self.nodes, np.eye(self.nodes)
        self.radial = identity + 2.0 * self.s[:, None] * self.slope
        stiff, side = self.bulk + 4.0 / 3.0 * self.shear, self.bulk - 2.0 / 3.0 * self.shear
        axial = int(self.power == 1)
        stress = np.zeros((n, n + axial))
        stress[:, :n] = stiff * self.radial + side * self.power * identity
        stress[:, n:] = side
        matrix = np.zeros((n + axial, n + axial))
        matrix[:n] = 2.0 * self.slope @ stress
        matrix[:n, :n] += self.power * 4.0 * self.shear * self.slope
        matrix[n - 1] = stress[-1]  # the surface is free
        if axial:
            matrix[n, :n] = side * (self.weight @ (self.radial + identity))
            matrix[n, n] = stiff
        self.solved = np.linalg.inv(matrix)

    def _solid_rates(self, thermal, held, tau):
        """d(s_k)/dt of radial (and hoop) deviators, and of the mean stress."""
        n = self.nodes
        lost = held / (self.stress_times * tau)[:, None]
        total = lost.sum(axis=0)
        hoop = total[1] if self.power == 1 else -0.5 * total[0]
        uneven = total[0] - hoop
        over_s = np.empty_like(uneven)
        over_s[1:] = uneven[1:] / self.s[1:, None, None]
        over_s[0] = self._along(uneven)[0]
        load = 3.0 * self.bulk * thermal + total[0]
        right = np.zeros((self.solved.shape[0], *load.shape[1:]), dtype=load.dtype)
        right[:n] = 2.0 * self._along(load) + self.power * over_s
        right[n - 1] = load[-1]
        if self.power == 1:
            along_axis = 3.0 * self.bulk * thermal - total[0] - hoop
            right[n] = self._mean(along_axis)
        moved = np.einsum("ij,j...->i...", self.solved, right)
        radial, around = np.einsum("ij,j...->i...", self.radial, moved[:n]), moved[:n]
        volume = radial + around + (moved[n] if self.power == 1 else around)
        mean = self.bulk * (volume - 3.0 * thermal)
        strains = np.stack([radial, around][: self.deviators]) - volume / 3.0
        return 2.0 * self.shear * self.stiff[:, None] * strains - lost, mean

    # --- the system ------------------------------------------------------------------------

    def _split(self, state):
        """Temperature, partial fictive temperatures, deviators, mean stress of a state."""
        n, m = self.nodes, len(self.depths)
        rows = state.reshape(-1, n, m, state.shape[-1])
        k = S_TERMS.size
        held = rows[1 + k : -1].reshape(G_TERMS.size, self.deviators, n, m, -1)
        return rows[0], rows[1 : 1 + k], held, rows[-1]

    def slope_of(self, time, state, chamber):
        """Rates of the whole state, shape (rows, columns)."""
        kelvin, partial, held, _ = self._split(state)
        fictive = (self.parts * partial).sum(axis=0)
        log = self.log_tau(kelvin, fictive)
        # Steps on trial may stray; nothing relaxes or all has beyond these.
        log = np.where(log.real > 200.0, 200.0, np.where(log.real < -60.0, -60.0, log))
        tau = np.exp(log)
        warming = self.warming(kelvin, chamber(time))
        settling = (kelvin - partial) / (self.part_times * tau)
        alpha = self.glass.expansion.value
        thermal = alpha * warming + (self.ratio - 1.0) * alpha * (self.parts * settling).sum(axis=0)
        stress = self._solid_rates if self.power else self._slab_rates
        relaxing, mean = stress(thermal, held, tau)
        rates = [warming[None], settling, relaxing.reshape(-1, *warming.shape), mean[None]]
        return np.concatenate(rates).reshape(state.shape)

    def solve(self, time, chamber, *, first=None, fictive=None, at=None, rtol=1e-6, atol=1e-5):
        """Follow a chamber of straight lines; returns a :class:`Solution`.

        ``first``: temperatures at the start, shape (nodes,) or (); ``fictive``: the same; ``at``:
        rising times to give the solution at, instead of the steps taken.
        """
        n, m = self.nodes, len(self.depths)
        start = chamber[0] if first is None else first
        kelvin = np.broadcast_to(np.reshape(start, (-1, 1)), (n, m))
        partial = kelvin if fictive is None else np.broadcast_to(fictive, (n, m))
        rest = np.zeros((G_TERMS.size * self.deviators + 1, n, m))
        rows = [kelvin[None], np.repeat(partial[None], S_TERMS.size, axis=0), rest]
        state = np.concatenate(rows).ravel()
        unit = 1e-30j * np.eye(state.size)
        times, states = [np.array([time[0]])], [state[:, None]]
        for i in range(len(time) - 1):
            rise = (chamber[i + 1] - chamber[i]) / (time[i + 1] - time[i])

            def around(now, base=chamber[i], since=time[i], rise=rise):
                return base + rise * (now - since)

            solved = solve_ivp(
                lambda now, y, around=around: self.slope_of(now, y[:, None], around)[:, 0],
                (time[i], time[i + 1]), state, method="BDF", rtol=rtol, atol=atol,
                jac=lambda now, y, around=around: (
                    self.slope_of(now, y[:, None] + unit, around).imag / 1e-30
                ),
                first_step=min(0.1, 0.1 * (time[i + 1] - time[i])), dense_output=at is not None,
            )  # fmt: skip
            assert solved.success, solved.message
            state = solved.y[:, -1]
            if at is None:
                times.append(solved.t[1:])
                states.append(solved.y[:, 1:])
            else:
                inside = at[(at > time[i]) & (at <= time[i + 1])]
                times.append(inside)
                states.append(solved.sol(inside) if inside.size else solved.y[:, :0])
        return Solution(self, np.concatenate(times), np.concatenate(states, axis=1))


class Solution:
    """Temperatures [K] and stresses [MPa], shape (nodes, sections, times)."""

    def __init__(self, model: Model, time, states) -> None:
        self.model, self.time = model, time
        self.temperature, partial, held, mean = model._split(states)
        self.fictive = (model.parts * partial).sum(axis=0)
        deviator = held.sum(axis=0)
        self.place = np.sqrt(model.s)
        if model.power == 0:
            self.radial = 0.0 * mean
            self.hoop = self.main = 3.0 * deviator[0]
        elif model.power == 1:
            self.radial, self.hoop = mean + deviator[0], mean + deviator[1]
            self.main = mean - deviator[0] - deviator[1]
        else:
            self.radial = mean + deviator[0]
            self.hoop = self.main = mean - 0.5 * deviator[0]

    def profile(self, values, place):
        """Values at other places, by the even polynomial through the nodes."""
        s = self.model.s
        vander = np.polynomial.legendre.legvander(2.0 * s - 1.0, s.size - 1)
        at = np.polynomial.legendre.legvander(2.0 * np.asarray(place) ** 2 - 1.0, s.size - 1)
        return np.tensordot(at @ np.linalg.inv(vander), values, 1)
