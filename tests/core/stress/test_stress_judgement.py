"""Stresses beside limits."""

from dataclasses import replace

import pytest
from test_engine import EVERY_KIND, night

from core.stress.engine import stresses
from core.stress.result import judge

VESSEL = stresses(EVERY_KIND[7:], night(100.0))[0]
ROOMY = {
    "permanent_tension": 1e9,
    "temporary_tension": 1e9,
    "permanent_joint": 1e9,
    "temporary_joint": 1e9,
}


@pytest.mark.parametrize(
    ("limit", "value"),
    [
        ("permanent_tension", VESSEL.permanent_core),
        ("temporary_tension", VESSEL.peak.stress),
        ("permanent_joint", VESSEL.permanent_joint),
        ("temporary_joint", VESSEL.peak_joint),
    ],
)
def test_each_limit_counts_by_itself(limit, value):
    assert value > 0
    just = judge(VESSEL, **{**ROOMY, limit: value})
    assert just.within_limits
    assert just.margin == pytest.approx(1.0)
    over = judge(VESSEL, **{**ROOMY, limit: value / 1.01})
    assert not over.within_limits
    assert over.margin == pytest.approx(1 / 1.01)


def test_compression_in_the_core_breaks_no_limit_of_tension():
    squeezed = replace(VESSEL, sections=(replace(VESSEL.sections[0], permanent_core=-5e6),))
    assert judge(squeezed, **ROOMY).permanent == float("inf")


def test_a_piece_answers_with_its_worst_section():
    wall, base = VESSEL.sections
    assert VESSEL.worst is base
    assert VESSEL.permanent_core == base.permanent_core > wall.permanent_core
    assert VESSEL.peak == max((wall.peak, base.peak), key=lambda p: p.stress)
    assert VESSEL.retardation == base.retardation
    assert VESSEL.fictive_temperature == base.fictive_temperature
