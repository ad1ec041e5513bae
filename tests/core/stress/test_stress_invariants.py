"""What must hold for any night, by generated cases."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from test_engine import GLASS, ROOM, SOAK, night, piece, section

from core.piece.piece import Geometry
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.mesh import mean_weights
from core.units import SECONDS_PER_HOUR

FEW = settings(max_examples=12)
rates = st.floats(2.0, 2000.0)
thicknesses = st.floats(1.0, 60.0)
bodies = st.sampled_from(list(Geometry))


@st.composite
def nights(draw) -> ChamberHistory:
    """Holds and ramps up and down anywhere between the room and 620 °C."""
    count = draw(st.integers(2, 6))
    hours = draw(st.lists(st.floats(0.05, 6.0), min_size=count, max_size=count))
    stops = draw(st.lists(st.floats(ROOM, SOAK + 75), min_size=count, max_size=count))
    time = np.concatenate(([0.0], np.cumsum(hours))) * SECONDS_PER_HOUR
    return ChamberHistory(time, np.array([SOAK, *stops]))


@FEW
@given(nights(), thicknesses)
def test_no_net_force_at_any_step(history, mm):
    slab, cylinder, vessel = stresses(
        (
            piece(section(mm=mm)),
            piece(section(Geometry.CYLINDER, mm)),
            piece(section(mm=mm), section(mm=4.0), joined=True),
        ),
        history,
    )
    for found, power in ((slab, 0), (cylinder, 1)):
        stress = found.sections[0].stress
        peak = np.abs(stress).max()
        assert np.abs(stress @ mean_weights(9, power)).max() <= 1e-9 * peak
    force = sum(s.joint_stress * s.section.thickness for s in vessel.sections)
    size = max(np.abs(s.joint_stress).max() for s in vessel.sections)
    assert np.abs(force).max() <= 1e-9 * max(size, 1e3) * 0.3


@FEW
@given(rates, thicknesses, bodies)
def test_faster_cooling_leaves_more_stress(rate, mm, geometry):
    one = piece(section(geometry, mm))
    slow, fast = (stresses((one,), night(r))[0] for r in (rate, 1.3 * rate))
    assert fast.permanent_core > slow.permanent_core
    assert fast.permanent_surface < slow.permanent_surface
    assert fast.fictive_temperature > slow.fictive_temperature


@FEW
@given(rates, st.lists(st.floats(0.0, 1.0), min_size=1, max_size=30))
def test_more_corners_on_the_same_lines_change_nothing(rate, shares):
    plain = night(rate)
    time = np.union1d(plain.time, plain.time[-1] * np.array(shares))
    time = time[np.append(True, np.diff(time) > 1.0)]
    split = ChamberHistory(time, np.interp(time, plain.time, plain.temperature))
    pieces = (piece(section(mm=12.0)), piece(section(Geometry.SPHERE, 40.0)))
    for one, other in zip(stresses(pieces, plain), stresses(pieces, split), strict=True):
        assert abs(one.permanent_core / other.permanent_core - 1) < 0.005
        assert abs(one.peak.stress / other.peak.stress - 1) < 0.005


@FEW
@given(st.floats(1.0, 6.0), bodies)
def test_a_slow_even_history_leaves_no_stress(mm, geometry):
    found = stresses((piece(section(geometry, mm)),), night(0.2))[0]
    unit = GLASS.youngs_modulus.value * GLASS.expansion.value
    # Less than a hundredth of a kelvin's worth.
    assert abs(found.permanent_core) < 0.01 * unit
    assert found.peak.stress < 0.01 * unit


@FEW
@given(nights(), thicknesses, bodies)
def test_temperatures_stay_between_those_the_chamber_had(history, mm, geometry):
    found = stresses((piece(section(geometry, mm)),), history)[0].sections[0]
    slack = 0.05
    assert found.temperature.max() <= history.temperature.max() + slack
    assert found.temperature.min() >= history.temperature.min() - slack
    assert np.isfinite(found.stress).all()


@FEW
@given(st.floats(0.0, 1e9), rates)
def test_only_time_since_the_start_counts(origin, rate):
    plain = night(rate)
    moved = ChamberHistory(plain.time + origin, plain.temperature)
    one, other = (stresses((piece(),), h)[0] for h in (plain, moved))
    assert abs(one.permanent_core / other.permanent_core - 1) < 1e-3
    assert abs(other.peak.time - origin - one.peak.time) < 0.01 * plain.duration
