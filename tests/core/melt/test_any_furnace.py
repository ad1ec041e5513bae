"""Whatever furnace can be described is followed, with its energy accounted for."""

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from quay_furnace import MELT

from core.melt.charge_material import batch, cullet
from core.melt.furnace_limits import ceiling
from core.melt.furnace_run import FurnaceRun
from core.melt.heat_source import ElectricElements, GasBurner
from core.melt.melting_furnace import Layer, MeltingFurnace, Opening, WallSection
from core.melt.pot_vessel import PotVessel
from core.melt.refractory import SHIPPED
from core.melt.setting import Setting

KELVIN = 273.15


@st.composite
def sections(draw):
    layers = draw(
        st.lists(
            st.builds(Layer, st.sampled_from(list(SHIPPED.values())), st.floats(0.005, 0.4)),
            min_size=1,
            max_size=3,
        )
    )
    area = draw(st.floats(0.2, 5.0))
    outer = area * draw(st.floats(1.0, 3.0))
    return WallSection("s", area, tuple(layers), outer, draw(st.floats(0.1, 1.0)))


SOURCES = st.one_of(
    st.builds(
        ElectricElements,
        st.floats(500.0, 5e4),
        st.floats(0.005, 1.0),
        st.floats(0.2, 1.0),
        st.floats(100.0, 1e5),
    ),
    st.builds(
        GasBurner,
        st.floats(3000.0, 1e5),
        air_ratio=st.floats(1.0, 2.0),
        air_temperature=st.floats(253.0, 800.0),
        gas_emissivity=st.floats(0.05, 0.5),
        film=st.floats(0.0, 50.0),
        heat_capacity=st.floats(100.0, 1e5),
    ),
)
OPENINGS = st.builds(Opening, st.floats(0.0, 0.3), st.floats(0.05, 0.5), st.floats(0.0, 0.4))


# A failing furnace would be shrunk for minutes.
@settings(max_examples=25, phases=[Phase.explicit, Phase.generate])
@given(
    SOURCES,
    st.lists(sections(), min_size=1, max_size=3),
    OPENINGS,
    st.floats(0.04, 1.0),
    st.floats(0.0, 1.0),
    st.floats(-10.0, 1500.0),
    st.floats(100.0, 1600.0),
    st.floats(0.0, 1.0),
    st.booleans(),
    st.floats(-20.0, 45.0),
)
def test_any_furnace(source, walls, hole, size, exposed, start, wanted, share, raw, room):
    furnace = MeltingFurnace("f", source, tuple(walls), hole, room + KELVIN)
    pot = PotVessel("p", size, 0.8 * size, size, 0.03, 0.03, 0.005, exposed)
    run = FurnaceRun(furnace, pot, MELT, start + KELVIN, 0.5 * share * pot.capacity(MELT.density))
    material = batch(moisture=0.1) if raw else cullet()
    run.go(Setting(0.0, wanted + KELVIN, opening=share), 3600.0)
    run.charge(material, max(1e-3, share) * run.room(material), furnace.ambient)
    run.go(Setting(run.time, wanted + KELVIN, 0.003, 0.5 * share), run.time + 20_000.0)
    run.go(Setting(run.time, None, opening=share), run.time + 20_000.0)
    course = run.course()
    assert course.worst_imbalance < 1e-4
    coldest = min(room, start, 0.0) + KELVIN
    for curve in (course.chamber, course.glass, course.source, course.hot, course.cold):
        assert np.isfinite(curve).all()
        assert curve.min() > coldest - 5.0
        assert curve.max() < 4500.0
    made = course.glass_mass + course.heap_mass * material.glass_per_kg
    assert np.diff(made[course.time > 3601.0]) == pytest.approx(0.0, abs=1e-6 * made.max())
    assert ceiling(furnace, pot, MELT, 0.02) > furnace.ambient - 1.0
