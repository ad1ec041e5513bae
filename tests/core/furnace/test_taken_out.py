"""Glass taken out, weighed or counted in pieces."""

from datetime import UTC, datetime

import pytest

from core.errors import FurnaceError
from core.furnace.pot_events import Removal
from core.furnace.taken_out import pieces_out, weighed_out

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


def test_pieces_are_less_certain_than_a_scale():
    counted = pieces_out("Clear pot", NOON, 12, 0.75, "decanters")
    weighed = weighed_out("Clear pot", NOON, 9.0)
    assert counted.event.mass == weighed.event.mass == 9.0
    assert counted.event.error > 3.0 * weighed.event.error > 0.0
    assert (counted.note, counted.pot, counted.time) == ("decanters", "Clear pot", NOON)


def test_what_is_drained_is_drained():
    assert weighed_out("Clear pot", NOON, 9.0, Removal.DRAINED).event.how is Removal.DRAINED


@pytest.mark.parametrize("mass", [0.0, -1.0, 20_000.0, float("nan")])
def test_impossible_amounts_are_refused_at_their_field(mass):
    for make in (lambda: weighed_out("p", NOON, mass), lambda: pieces_out("p", NOON, 2, mass)):
        with pytest.raises(FurnaceError) as caught:
            make()
        assert caught.value.field == "mass"


@pytest.mark.parametrize("count", [0, 2.5, 99_999])
def test_impossible_counts_are_refused(count):
    with pytest.raises(FurnaceError) as caught:
        pieces_out("p", NOON, count, 1.0)
    assert caught.value.field == "count"
