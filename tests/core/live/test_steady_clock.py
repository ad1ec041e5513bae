"""A computer that sleeps, and a clock that is set, as three clocks see it."""

from datetime import UTC, datetime

import pytest

from core.live.events import EventKind
from core.live.steady_clock import SteadyClock

BEGUN = datetime(2026, 11, 24, 22, 0, tzinfo=UTC).timestamp()


class Computer:
    def __init__(self, *, counts_sleep):
        self.wall, self.running, self.boot = BEGUN, 500.0, 900.0
        self.clock = SteadyClock(
            lambda: self.wall, lambda: self.running, (lambda: self.boot) if counts_sleep else None
        )

    def work(self, seconds):
        self.wall += seconds
        self.running += seconds
        self.boot += seconds

    def sleep(self, seconds):
        self.wall += seconds
        self.boot += seconds

    def kinds(self, expected=10.0):
        return [event.kind for event in self.clock.check(expected)]

    def time(self):
        return self.clock.now().timestamp() - BEGUN


@pytest.fixture(params=[True, False], ids=["counts sleep", "does not"])
def computer(request):
    return Computer(counts_sleep=request.param)


def test_a_quiet_night_tells_nothing(computer):
    for _ in range(100):
        computer.work(10.0)
        computer.wall += 0.01  # put right bit by bit
        assert computer.kinds() == []
    assert computer.time() == pytest.approx(1001.0)


def test_a_sleep_is_told_with_its_length(computer):
    computer.work(10.0)
    computer.kinds()
    computer.sleep(7500.0)
    computer.work(1.0)
    (event,) = computer.clock.check(10.0)
    assert event.kind is EventKind.ASLEEP
    assert "2:05" in event.sentence
    assert event.since.timestamp() == BEGUN + 10.0
    assert computer.time() == 7511.0


def test_a_clock_set_forward_is_followed():
    computer = Computer(counts_sleep=True)
    computer.work(10.0)
    computer.wall += 3600.0
    assert computer.kinds() == [EventKind.CLOCK_FORWARD]
    assert computer.time() == 3610.0


def test_a_clock_set_back_is_told_and_no_hour_comes_twice(computer):
    computer.work(100.0)
    computer.kinds()
    computer.wall -= 3600.0
    computer.work(10.0)
    assert computer.kinds() == [EventKind.CLOCK_BACK]
    assert computer.time() == 110.0
    computer.work(10.0)
    assert computer.kinds() == []
    assert computer.time() == 120.0
    # Put right again: back to the wall clock, without a leap.
    computer.wall += 3600.0
    computer.work(10.0)
    assert computer.kinds() == [EventKind.CLOCK_FORWARD]
    assert computer.time() == 130.0


def test_time_never_goes_back_by_little_corrections(computer):
    last = -1.0
    for i in range(50):
        computer.work(0.1)
        computer.wall -= 0.5 if i % 10 == 0 else 0.0
        assert computer.time() >= last
        last = computer.time()
    assert computer.kinds() == []


def test_a_program_that_was_held_up(computer):
    computer.work(10.0)
    computer.kinds()
    computer.work(300.0)
    assert computer.kinds(expected=10.0) == [EventKind.HELD_UP]
    computer.work(300.0)
    assert computer.kinds(expected=295.0) == []


def test_the_clock_of_this_computer():
    before = datetime.now(UTC)
    clock = SteadyClock()
    first = clock.now()
    assert before <= first <= clock.now() <= datetime.now(UTC)
    assert clock.check(0.0) == ()
