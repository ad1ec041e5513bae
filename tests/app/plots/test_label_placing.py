"""Labels keep out of each other's way and stay near what they name."""

import itertools

from hypothesis import given
from hypothesis import strategies as st

from app.plots.placing import rows, sides, spread

pixels = st.floats(min_value=0.0, max_value=500.0)


@given(st.lists(pixels, max_size=8))
def test_spread_labels_do_not_touch_and_keep_their_order(wanted: list[float]) -> None:
    height = 20.0
    placed = spread(wanted, height, 0.0, 500.0)
    order = sorted(range(len(wanted)), key=lambda i: (placed[i], i))
    for one, other in itertools.pairwise(order):
        assert placed[other] - placed[one] >= height - 1e-6
        assert wanted[one] <= wanted[other] + 1e-9
    assert all(height / 2 - 1e-6 <= place <= 500 - height / 2 + 1e-6 for place in placed)


@given(st.lists(st.integers(0, 20).map(lambda n: 10.0 + 24.0 * n), unique=True, max_size=8))
def test_labels_with_room_stay_where_they_belong(wanted: list[float]) -> None:
    assert spread(wanted, 20.0, 0.0, 500.0) == wanted


@given(st.lists(st.tuples(pixels, st.floats(1.0, 120.0)), max_size=10))
def test_labels_of_one_row_do_not_overlap(items: list[tuple[float, float]]) -> None:
    spans = [(x, x + width) for x, width in items]
    numbers = rows(spans, gap=4.0)
    for row in set(numbers):
        mine = sorted(span for span, number in zip(spans, numbers, strict=True) if number == row)
        for (_, right), (left, _) in itertools.pairwise(mine):
            assert right + 4.0 <= left + 1e-9


def test_words_stand_where_they_cross_no_line() -> None:
    # "out by" just before "ready" goes left; "ready" has room on its right.
    assert sides([400.0, 450.0], [80.0, 80.0], 0.0, 600.0) == [True, False]
    # At the right edge there is only the left.
    assert sides([590.0], [80.0], 0.0, 600.0) == [True]
    assert sides([], [], 0.0, 600.0) == []
