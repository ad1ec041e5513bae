"""How long the stress engine takes, beside the same equations handed to a general ODE solver.

Run ``python -m pytest tests/benchmarks/test_bench_stress.py --benchmark-only`` on one core; figures
in brackets are the ratios within each group. The peer of the first group is
scipy.integrate.solve_ivp (BDF) on the same finite volumes, spectra and glass, one slab a run, at
the tolerance at which it is as accurate as the engine; of twelve pieces it would need twelve runs
or more (vessels have two sections).
"""

from time import process_time

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from core.glass.heat import conductivity, heat_capacity
from core.glass.library import find_glass
from core.glass.properties import properties_of
from core.piece.piece import CooledFrom, Geometry, Piece, Shape
from core.piece.surface import EMISSIVITY, STEFAN_BOLTZMANN
from core.stress.accuracy import Accuracy
from core.stress.batch import lay_out
from core.stress.engine import stresses, stresses_of_each
from core.stress.history import ChamberHistory
from core.stress.log_reduction import history_from_log
from core.stress.relaxation import SODA_LIME, log_rate
from core.stress.section import StressPiece, StressSection, stress_piece

GLASS = properties_of(find_glass("clear float"))
SOAK, ROOM = GLASS.annealing_point.value + 5.0, 293.15
HOUR = 3600.0


def in_group(name: str):
    """Timed by what this process uses, so that other work on the machine does not count."""
    return pytest.mark.benchmark(group=name, timer=process_time, min_rounds=10)


def night(nights: int = 1, slower: float = 1.0) -> ChamberHistory:
    """Sixteen hours: soak, two ramps, then the lehr's own losses, drawn by 24 corners."""
    coast = np.arange(1, 25) / 3.0
    hours = np.concatenate(([0.0, 2.0, 6.0, 8.0], 8.0 + coast)) * slower
    losses = ROOM + (SOAK - 180 - ROOM) * np.exp(-coast / 3.0)
    kelvin = np.concatenate(([SOAK, SOAK, SOAK - 90, SOAK - 180], losses))
    again = [hours + n * (hours[-1] + 1.0) for n in range(nights)]
    return ChamberHistory(np.concatenate(again) * HOUR, np.tile(kelvin, nights))


def studio_pieces() -> list[StressPiece]:
    """Twelve kinds of pieces with seventeen sections."""
    vessels = [
        Piece(
            f"vessel {n}",
            1,
            Shape.VESSEL,
            "g",
            wall_thickness=0.004 + 0.001 * n,
            base_thickness=0.012 + 0.003 * n,
        )
        for n in range(5)
    ]
    plates = [
        Piece(
            f"plate {n}",
            1,
            Shape.PLATE,
            "g",
            wall_thickness=0.003 + 0.002 * n,
            cooled_from=CooledFrom.ONE if n else CooledFrom.BOTH,
        )
        for n in range(3)
    ]
    solids = [
        Piece(f"{shape} {mm}", 1, shape, "g", diameter=mm / 1000)
        for shape, mm in (
            (Shape.CYLINDER, 30),
            (Shape.CYLINDER, 50),
            (Shape.SPHERE, 30),
            (Shape.SPHERE, 60),
        )
    ]
    return [stress_piece(piece, GLASS) for piece in (*vessels, *plates, *solids)]


PIECES = studio_pieces()
SLAB = StressPiece("slab", GLASS, (StressSection("body", Geometry.SLAB, 0.020),))
NIGHT = night()


class PeerSlab:
    """The engine's equations of one slab, method of lines, for solve_ivp."""

    def __init__(self) -> None:
        batch = lay_out([SLAB], Accuracy().nodes)
        self.volume, self.spread = batch.volume[0], batch.spread[0]
        self.weight = batch.weight[0]
        self.shear, self.bulk = float(batch.shear_modulus[0]), float(batch.bulk_modulus[0])
        self.liquid = [float(term[0]) for term in batch.liquid]
        self.nodes = self.volume.size

    def slope(self, time: float, state: np.ndarray) -> np.ndarray:
        n, kelvin = self.nodes, state[: self.nodes]
        partial = state[n : 7 * n].reshape(6, n)
        held = state[7 * n :].reshape(6, n)
        chamber = np.interp(time, NIGHT.time, NIGHT.temperature)
        flow = np.zeros(n + 1)
        between = conductivity(GLASS, 0.5 * (kelvin[1:] + kelvin[:-1]))
        flow[1:-1] = self.spread * between * np.diff(kelvin)
        apart = chamber - kelvin[-1]
        flow[-1] = EMISSIVITY * STEFAN_BOLTZMANN * (chamber**4 - kelvin[-1] ** 4)
        flow[-1] += 2.525 * (apart**2 + 1e-4) ** 0.125 * apart
        stored = self.volume * GLASS.density.value * heat_capacity(GLASS, kelvin)
        warming = np.diff(flow) / stored
        shares = np.array(SODA_LIME.structure_shares)
        rate = np.exp(log_rate(*self.liquid, SODA_LIME.non_linearity, kelvin, shares @ partial))
        settling = (kelvin - partial) * rate / np.array(SODA_LIME.structure_times)[:, None]
        alpha = GLASS.expansion.value
        liquid = alpha * (SODA_LIME.liquid_expansion_ratio - 1.0)
        thermal = alpha * warming + liquid * (shares @ settling)
        lost = held * rate / np.array(SODA_LIME.shear_times)[:, None]
        pull = 2.0 * self.shear * thermal + lost.sum(axis=0)
        membrane = self.weight @ pull / (2.0 * self.shear)
        compliance = 1.0 / 3.0 + 4.0 * self.shear / (9.0 * self.bulk)
        stress = (2.0 * self.shear * membrane - pull) / compliance
        strain = membrane - thermal - 2.0 / (9.0 * self.bulk) * stress
        gained = 2.0 * self.shear * np.array(SODA_LIME.shear_shares)[:, None] * strain
        return np.concatenate((warming, settling.ravel(), (gained - lost).ravel()))

    def core_stress(self, rtol: float) -> float:
        """Stress in the middle at the end of the night [Pa]."""
        n = self.nodes
        state = np.concatenate((np.full(7 * n, SOAK), np.zeros(6 * n)))
        allowed = np.concatenate((np.full(7 * n, 10.0 * rtol), np.full(6 * n, 1e6 * rtol)))
        for start, end in zip(NIGHT.time[:-1], NIGHT.time[1:], strict=True):
            found = solve_ivp(
                self.slope, (start, end), state, method="BDF", rtol=rtol, atol=allowed
            )
            state = found.y[:, -1]
        return 3.0 * float(state[7 * n :].reshape(6, n)[:, 0].sum())


PEER_TOLERANCE = 1e-5
"""At which the peer is 0.3 % from its own limit; the engine is 0.2 % from its own."""


@in_group("a night: twelve pieces, seventeen sections, against one slab by BDF")
def test_twelve_pieces_through_sixteen_hours(benchmark):
    found = benchmark(stresses, PIECES, NIGHT)
    assert len(found) == 12


@in_group("a night: twelve pieces, seventeen sections, against one slab by BDF")
def test_peer_one_slab_by_scipy_bdf(benchmark):
    peer = PeerSlab()
    found = benchmark.pedantic(peer.core_stress, args=(PEER_TOLERANCE,), rounds=2)
    own = stresses([SLAB], NIGHT)[0].sections[0].core_stress[-1]
    assert found == pytest.approx(own, rel=0.01)


@in_group("a section through a night, as a share of twelve pieces")
def test_a_section_takes_a_hundredth_of_the_peers_time(benchmark):
    peer = PeerSlab()
    begin = process_time()
    peer.core_stress(PEER_TOLERANCE)
    of_peer = process_time() - begin
    benchmark(stresses, PIECES, NIGHT)
    sections = sum(len(piece.sections) for piece in PIECES)
    assert of_peer >= 100.0 * benchmark.stats.stats.min / sections


@in_group("candidates: 12 pieces through 30 schedules against 12 through one")
def test_thirty_schedules_at_once(benchmark):
    histories = [night(slower=1.0 + 0.01 * n) for n in range(30)]
    found = benchmark(stresses_of_each, PIECES, histories)
    assert len(found) == 30


@in_group("candidates: 12 pieces through 30 schedules against 12 through one")
def test_one_schedule(benchmark):
    assert len(benchmark(stresses, PIECES, NIGHT)) == 12


@in_group("duration: 3, 6 and 12 nights")
@pytest.mark.parametrize("nights", [3, 6, 12])
def test_cost_grows_with_duration(benchmark, nights):
    assert benchmark(stresses, PIECES, night(nights))


@in_group("pieces: 12, 48 and 192")
@pytest.mark.parametrize("times", [1, 4, 16])
def test_cost_grows_with_pieces(benchmark, times):
    assert benchmark(stresses, PIECES * times, NIGHT)


@in_group("a log of 30 days, a reading a second, against numpy's mean of it")
def test_a_month_of_seconds_is_reduced(benchmark):
    time, kelvin = month()
    found = benchmark.pedantic(history_from_log, args=(time, kelvin), rounds=3, warmup_rounds=1)
    assert found.duration == pytest.approx(time[-1] - time[0])


@in_group("a log of 30 days, a reading a second, against numpy's mean of it")
def test_peer_mean_of_a_month(benchmark):
    kelvin = month()[1]
    assert benchmark(np.mean, kelvin) > 0


def month() -> tuple[np.ndarray, np.ndarray]:
    """Thirty nights with noise, read every second."""
    time = np.arange(0.0, 30 * 24 * HOUR)
    noise = np.random.default_rng(1).normal(0.0, 0.3, time.size)
    return time, np.interp(np.mod(time, 24 * HOUR), NIGHT.time, NIGHT.temperature) + noise
