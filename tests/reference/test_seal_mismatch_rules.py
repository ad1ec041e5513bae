"""Verdicts against what seal makers and colour makers go by.

* About 300e-6 of mismatch is where the glass of a standard seal is likely to break: ASTM F14 and
  F144, scope (read).
* 1 kg/mm2 (9.8 MPa) of tension was the usual limit of glass seals, and can safely be exceeded:
  Redston G.D., Stanworth J.E. 1945, J. Soc. Glass Technol. 29, 48, abstract (read).
* Colour and clear held to 0.5e-7 1/K go together, some 2e-7 is tried, 10e-7 is not (common
  practice, no source).
"""

from __future__ import annotations

import pytest

from core.glass.glass import Glass, MeasuredPoints
from core.glass.library import find_glass
from core.joined.cylinders import Cylinders
from core.joined.elastic_pair import Elastic
from core.joined.joint import join
from core.joined.layers import Layers, layer_stress
from core.joined.strength import ALLOWED_TENSION, FRACTURE_MISMATCH, FRACTURE_TENSION, Verdict

KILOGRAM_PER_SQUARE_MILLIMETRE = 9.80665e6


def _blue(expansion: float) -> Glass:
    """The same base with a colourant too small to change its analysis, well measured."""
    points = MeasuredPoints(expansion=expansion * 1e-7, expansion_error=0.1e-7, source="seal test")
    return Glass(f"blue {expansion}", find_glass("harbour clear").composition, points)


def test_mismatch_that_breaks_seals_is_our_fracture_tension():
    body = Elastic(70e9, 0.22)
    casing = layer_stress(body, body, Layers(1.0, 0.001, free_to_bend=False), FRACTURE_MISMATCH)
    all_ways = casing.casing[0].value
    one_way = 70e9 * FRACTURE_MISMATCH
    assert one_way < FRACTURE_TENSION < all_ways


def test_allowed_tension_is_within_the_old_limit_of_seals():
    assert 0.5 * KILOGRAM_PER_SQUARE_MILLIMETRE < ALLOWED_TENSION < KILOGRAM_PER_SQUARE_MILLIMETRE


@pytest.mark.parametrize(
    ("mismatch", "verdict"),
    [(0.0, Verdict.SAFE), (0.5, Verdict.SAFE), (2.5, Verdict.DOUBTFUL), (10.0, Verdict.WILL_CRACK)],
)
def test_classes_of_a_thin_casing(mismatch, verdict):
    joint = join(_blue(95.0), _blue(95.0 + mismatch), Cylinders(0.010, 0.0105))
    assert joint.verdict is verdict
