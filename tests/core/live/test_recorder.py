"""From a source into a book that is full, held or comes back."""

import itertools
import threading
import time
from datetime import UTC, datetime, timedelta

import pytest

from core.errors import BookError, BookLockedError, RunError
from core.live.events import EventKind, LiveReading, Poll, Signal, SignalKind, as_run_event
from core.live.recorder import LiveRecorder

START = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)


def reading(i, every=10.0):
    return LiveReading(START + timedelta(seconds=every * i), 800.0 + i)


def live(readings):
    return [
        LiveReading(datetime.fromtimestamp(moment, UTC), value)
        for moment, value in zip(readings.time, readings.temperature, strict=True)
    ]


class Tape:
    """A source that plays what it was given."""

    def __init__(self, *polls, wait=0.0):
        self.polls, self.wait, self.name, self.closed = list(polls), wait, "tape", False

    def poll(self, clock):
        numbers = self.polls.pop(0) if self.polls else []
        return Poll(tuple(reading(i) for i in numbers), (), Signal(SignalKind.GOOD))

    def close(self):
        self.closed = True


class Shelf:
    """A store that can be full, and knows what it acknowledged."""

    def __init__(self):
        self.kept, self.error, self.calls = [], None, 0

    def __call__(self, readings):
        self.calls += 1
        if self.error is not None:
            raise self.error
        self.kept += live(readings)


@pytest.fixture
def at_once(monkeypatch):
    """No pause between two tries."""
    monkeypatch.setattr("core.live.recorder._FIRST_PAUSE", 0.0)


def kinds(step):
    return [event.kind for event in step.events]


def test_readings_are_stored_in_order():
    shelf = Shelf()
    recorder = LiveRecorder(Tape([0, 1], [], [2]), shelf)
    steps = [recorder.step() for _ in range(3)]
    assert [len(step.stored) for step in steps] == [2, 0, 1]
    assert shelf.kept == [reading(0), reading(1), reading(2)]
    assert steps[-1].state.stored == 3
    assert steps[-1].state.last == reading(2)


@pytest.mark.parametrize(
    "error",
    [
        BookError("The disk with “book” is full; nothing was written."),
        BookLockedError("“book” is in use by another program."),
        OSError(28, "No space left on device"),
    ],
)
@pytest.mark.usefixtures("at_once")
def test_what_cannot_be_stored_waits_is_told_once_and_nothing_is_lost(error):
    shelf = Shelf()
    recorder = LiveRecorder(Tape([0], [1], [2], [3], [4]), shelf)
    recorder.step()
    shelf.error = error
    first, second = recorder.step(), recorder.step()
    assert kinds(first) == [EventKind.NOT_STORED]
    assert str(error) in first.events[0].sentence
    assert kinds(second) == []
    assert second.state.waiting == 2
    assert second.state.trouble
    assert recorder.waiting == (reading(1), reading(2))
    shelf.error = None
    third = recorder.step()
    assert kinds(third) == [EventKind.STORED_AGAIN]
    assert shelf.kept == [reading(i) for i in range(4)]
    assert third.state.trouble == ""


def test_what_came_is_told_whether_stored_or_not():
    shelf = Shelf()
    shelf.error = BookError("full")
    step = LiveRecorder(Tape([0, 1, 1]), shelf).step()
    assert step.stored == ()
    assert step.came == (reading(0), reading(1))


def test_tries_are_spaced_out():
    shelf = Shelf()
    shelf.error = BookError("full")
    recorder = LiveRecorder(Tape(*([i] for i in range(50))), shelf)
    for _ in range(50):
        recorder.step()
    assert shelf.calls == 1
    assert len(recorder.waiting) == 50


def test_a_reading_the_book_refuses_does_not_hold_up_the_others():
    kept = []

    def store(readings):
        if reading(2) in live(readings):
            raise RunError("The run has a reading at that time already.", field="time")
        kept.extend(live(readings))

    step = LiveRecorder(Tape([0, 1, 2, 3, 4]), store).step()
    assert kept == [reading(i) for i in (0, 1, 3, 4)]
    assert kinds(step) == [EventKind.REFUSED]
    assert step.state.waiting == 0


@pytest.mark.usefixtures("at_once")
def test_memory_is_bounded_and_the_curve_keeps_its_course():
    shelf = Shelf()
    shelf.error = BookError("full")
    recorder = LiveRecorder(Tape(range(60), range(60, 120)), shelf, most_waiting=100)
    recorder.step()
    assert EventKind.THINNED in kinds(recorder.step())
    waiting = recorder.waiting
    assert len(waiting) == 60
    assert waiting[-1] == reading(119)
    spacing = {(b.time - a.time).total_seconds() for a, b in itertools.pairwise(waiting)}
    assert spacing == {20.0}


def test_a_gap_is_marked_with_both_its_ends():
    recorder = LiveRecorder(Tape([0, 1, 2, 3], [40], [41]), Shelf())
    recorder.step()
    (event,) = recorder.step().events
    assert event.kind is EventKind.GAP
    assert (event.since, event.time) == (reading(3).time, reading(40).time)
    assert "0:06" in event.sentence
    note = as_run_event(event)
    assert (note.time, note.text) == (reading(3).time, event.sentence)
    assert recorder.step().events == ()


def test_a_gap_since_the_recording_before_is_marked_and_nothing_is_stored_twice():
    shelf = Shelf()
    recorder = LiveRecorder(Tape([0, 1, 2], [40]), shelf, after=reading(1).time)
    recorder.step()
    assert shelf.kept == [reading(2)]
    shelf = Shelf()
    later = LiveRecorder(Tape([40]), shelf, after=reading(1).time)
    assert kinds(later.step()) == [EventKind.GAP]


def test_a_logger_set_to_a_slower_pace_is_soon_believed():
    numbers = [*range(20), *range(20, 300, 12)]
    recorder = LiveRecorder(Tape(numbers), Shelf())
    assert len(recorder.step().events) <= 5


def test_it_runs_until_told_to_stop_and_then_stores_what_waits():
    shelf, steps = Shelf(), []
    tape = Tape([0], [1], wait=60.0)
    stop = threading.Event()
    recorder = LiveRecorder(tape, shelf)
    shelf.error = BookError("full")

    def told(step):
        steps.append(step)

    thread = threading.Thread(target=recorder.run, args=(stop, told))
    thread.start()
    while not steps:
        time.sleep(0.005)
    shelf.error = None
    asked = time.monotonic()
    stop.set()
    thread.join(5.0)
    assert not thread.is_alive()
    assert time.monotonic() - asked < 1.0  # the wait of a minute was cut short
    assert tape.closed
    assert shelf.kept == [reading(0)]
    assert steps[-1].state.waiting == 0
