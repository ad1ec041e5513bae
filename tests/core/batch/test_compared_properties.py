"""Target and batch side by side as glasses."""

import pytest

from core.batch.compared import Compared, compared_properties
from core.batch.material_file import shipped_materials
from core.batch.reckon import make_batch
from core.batch.request import Addition, BatchRequest
from core.composition.composition import Composition
from core.glass.glass import Glass
from core.glass.properties import properties_of
from core.working.working_properties import working_properties_of

CLEAR = Composition.from_percent({"SiO2": 70.0, "Na2O": 16.0, "CaO": 10.0, "K2O": 4.0})


def test_each_row_is_what_the_glass_itself_has() -> None:
    batch = make_batch(
        BatchRequest("blue", CLEAR, shipped_materials(), 20.0, additions=(Addition("Al2O3", 0.05),))
    )
    rows = {row.what: row for row in compared_properties(batch)}
    assert list(rows) == list(Compared)
    for composition, which in (
        (CLEAR, "target"),
        (batch.base, "reached"),
        (batch.glass, "with_additions"),
    ):
        glass = Glass("same", composition)
        known = properties_of(glass)
        assert getattr(rows[Compared.EXPANSION], which) == known.expansion
        assert getattr(rows[Compared.ANNEALING_POINT], which) == known.annealing_point
        wide = getattr(rows[Compared.WORKING_RANGE], which)
        assert wide == working_properties_of(glass).working_range
        assert wide.low < wide.value < wide.high
    # Five per cent more alumina stiffens the glass: the ends differ for a reason that is known.
    annealing = rows[Compared.ANNEALING_POINT]
    assert annealing.with_additions.value > annealing.reached.value + 3.0
    assert annealing.reached.value == pytest.approx(annealing.target.value, abs=0.5)
