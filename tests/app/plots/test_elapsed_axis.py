"""Time that counts from a moment several nights share."""

import numpy as np
import pytest

from app.plots.elapsed_axis import ElapsedAxis
from app.plots.time_words import Since

SOAK = Since("the start of the soak")


def labels(axis: ElapsedAxis, low: float, high: float, width: float = 900.0) -> list[str]:
    (step, values), *_ = axis.tickValues(low, high, width)
    return axis.tickStrings(values, 1.0, step)


def test_labels_are_round_hours_from_the_moment(qapp: object) -> None:
    axis = ElapsedAxis(SOAK)
    assert labels(axis, -3700.0, 4 * 3600.0 + 100.0, 600.0) == [
        "−1:00", "0:00", "1:00", "2:00", "3:00", "4:00",
    ]  # fmt: skip


def test_a_shared_hour_of_the_day_gives_clock_times_through_midnight(qapp: object) -> None:
    # The nights begin at a quarter past ten in the evening.
    axis = ElapsedAxis(Since("the button", hour=22.25 * 3600))
    assert labels(axis, 0.0, 4 * 3600.0, 600.0) == ["23:00", "00:00", "01:00", "02:00"]
    axis.set_words(Since("the button", hour=0.0))
    assert labels(axis, 0.0, 3600.0, 600.0)[0] == "00:00"


@pytest.mark.parametrize(
    ("moment", "words"), [(5400.0, "+1:30 h"), (-600.0, "−0:10 h"), (0.0, "+0:00 h")]
)
def test_moments_in_words(moment: float, words: str) -> None:
    assert SOAK.short(moment) == words
    assert SOAK.full(moment) == f"{words} from the start of the soak"


def test_a_long_reach_has_no_more_labels_than_room(qapp: object) -> None:
    axis = ElapsedAxis(SOAK)
    for span in np.geomspace(60.0, 1e7, 25):
        assert len(axis.tickValues(-span / 3, span, 800.0)[0][1]) <= 12
