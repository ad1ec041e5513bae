"""Keeping as many rows in order of time as can be."""

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.run.log_order import longest_rising

NAN = float("nan")


@pytest.mark.parametrize(
    ("times", "kept"),
    [
        ([], []),
        ([NAN], []),
        ([1, 2, 3], [0, 1, 2]),
        ([1, 2, 2, 3], [0, 1, 3]),  # the first of equals
        ([1, 2, 2], [0, 1]),
        ([0, 4, 4, 1], [0, 1]),  # the run that stands first in the file
        ([0, 5, 3, 6], [0, 1, 3]),
        ([1, 99, 2, 3, 4], [0, 2, 3, 4]),  # one wild date costs one row
        ([5, 6, 1, 2, 3], [2, 3, 4]),
        ([1, NAN, 2], [0, 2]),
    ],
)
def test_rows_kept(times, kept):
    assert longest_rising([float(time) for time in times]) == kept


@given(st.lists(st.integers(0, 6), max_size=9))
def test_no_longer_run_exists(times):
    kept = longest_rising([float(time) for time in times])
    assert all(times[a] < times[b] for a, b in pairwise(kept))
    for size in range(len(kept) + 1, len(times) + 1):
        for rows in combinations(range(len(times)), size):
            values = [times[row] for row in rows]
            assert any(b <= a for a, b in pairwise(values))
