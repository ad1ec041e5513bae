"""Histories no chamber can have had are refused with a plain reason."""

import numpy as np
import pytest

from core.errors import StressError
from core.stress.history import ChamberHistory


@pytest.mark.parametrize(
    ("time", "temperature", "words"),
    [
        ([0.0, 60.0], [800.0], "differ in number"),
        ([0.0], [800.0], "says nothing of cooling"),
        ([], [], "says nothing of cooling"),
        ([0.0, 60.0, 30.0], [800.0, 790.0, 780.0], "steps back or stands still after place 2"),
        ([0.0, 60.0, 60.0], [800.0, 790.0, 780.0], "steps back or stands still after place 2"),
        ([0.0, np.nan], [800.0, 790.0], "time at place 2 of 2 is not a number"),
        ([0.0, 60.0], [800.0, np.nan], "temperature at place 2 of 2 is not a number"),
        ([0.0, 60.0], [np.inf, 790.0], "temperature at place 1 of 2 is not a number"),
        ([0.0, 60.0], [800.0, 0.0], "-273 °C is not possible"),
        ([0.0, 60.0], [800.0, 1800.0], "1527 °C is not possible"),
        ([0.0, 401 * 86400.0], [800.0, 790.0], "longer than 400 days"),
    ],
)
def test_what_cannot_be_is_refused(time, temperature, words):
    with pytest.raises(StressError, match=words):
        ChamberHistory(np.array(time), np.array(temperature))


def test_arrays_are_copied_and_cannot_be_changed():
    time, temperature = np.array([0.0, 60.0]), np.array([800.0, 790.0])
    history = ChamberHistory(time, temperature)
    temperature[0] = 0.0
    assert history.temperature[0] == 800.0
    assert history.duration == 60.0
    with pytest.raises(ValueError, match="read-only"):
        history.time[0] = 1.0
