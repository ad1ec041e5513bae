"""Courses of a gap: between its ends, never quicker than the lehr can."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.equipment.lehr import Lehr
from core.verdict.gap_courses import (
    QUICKER,
    Course,
    Ends,
    coldest_of,
    course,
    faster_than_the_law,
)

LEHR = Lehr("gap lehr", 3.0 * 3600.0)
COURSES = [Course.EARLY, Course.LATE, Course.COLDEST]


def whole(ends, which):
    time, curve = course(LEHR, ends, which)
    return (
        np.concatenate(([ends.start], time, [ends.end])),
        np.concatenate(([ends.before], curve, [ends.after])),
    )


@settings(max_examples=150)
@given(
    before=st.floats(330.0, 900.0),
    after=st.floats(330.0, 900.0),
    minutes=st.floats(11.0, 900.0),
    which=st.sampled_from(COURSES),
)
def test_courses_are_ones_a_lehr_can_go(before, after, minutes, which):
    ends = Ends(1e9, 1e9 + 60.0 * minutes, before, after)
    time, curve = whole(ends, which)
    assert (np.diff(time) > 0).all()
    assert curve.max() <= max(before, after) + 1e-6
    assert curve.min() >= min(before, after, coldest_of(LEHR, ends)) - 1e-6
    assert curve.min() >= LEHR.ambient - 1e-6
    if faster_than_the_law(LEHR, ends):
        return
    rate = -np.diff(curve) / np.diff(time)
    law = (curve[:-1] - LEHR.ambient) / (QUICKER * LEHR.cooling_time_constant)
    # Chords of a falling exponential are less steep than its beginning; the last is cut short.
    assert (rate <= law * 1.02 + 1e-6 + 2.0 / np.diff(time)).all()
    if after > before:
        needed = (after - before) / (ends.end - ends.start)
        assert (-rate <= max(LEHR.max_heating_rate, needed) * 1.02 + 2.0 / np.diff(time)).all()


def test_coldest_is_power_off_then_full_power():
    """By hand: down by Newton's law for s, up at 200 K/h, as warm again after two hours."""
    ends = Ends(0.0, 7200.0, 790.0, 790.0)
    constant = QUICKER * LEHR.cooling_time_constant
    off = np.linspace(0.0, 7200.0, 2_000_001)
    down = LEHR.ambient + (790.0 - LEHR.ambient) * np.exp(-off / constant)
    back = down + LEHR.max_heating_rate * (7200.0 - off)
    expected = down[np.argmin(np.abs(back - 790.0))]
    assert coldest_of(LEHR, ends) == pytest.approx(expected, abs=0.05)


def test_a_longer_gap_can_have_been_colder():
    found = [coldest_of(LEHR, Ends(0.0, 60.0 * m, 800.0, 780.0)) for m in (20, 60, 180, 600)]
    assert found == sorted(found, reverse=True)


def test_a_fall_no_shut_lehr_makes_is_noticed():
    assert faster_than_the_law(LEHR, Ends(0.0, 900.0, 800.0, 600.0))
    assert not faster_than_the_law(LEHR, Ends(0.0, 3600.0, 800.0, 700.0))
    assert not faster_than_the_law(LEHR, Ends(0.0, 900.0, 600.0, 800.0))
