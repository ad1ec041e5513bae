"""Background work: results on the GUI thread, newest wins, cancel and shutdown end it."""

import threading
import time
from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QObject, QThread
from pytestqt.qtbot import QtBot

from app.jobs import JobRunner
from core.errors import PlanError


@pytest.fixture
def runner(qtbot: QtBot) -> Iterator[JobRunner]:
    made = JobRunner()
    yield made
    assert made.shutdown(5.0)
    made.deleteLater()


def test_the_result_arrives_on_the_gui_thread(qtbot: QtBot, runner: JobRunner) -> None:
    seen: list[tuple[object, bool]] = []
    gui = QThread.currentThread()

    def done(result: object) -> None:
        seen.append((result, QThread.currentThread() is gui))

    def work(a: int, b: int) -> tuple[int, int]:
        return a + b, threading.get_ident()

    runner.submit(work, 2, 3, on_done=done)
    qtbot.waitUntil(lambda: bool(seen))
    (total, thread), on_gui = seen[0]
    assert total == 5
    assert on_gui
    assert thread != threading.get_ident()
    assert not runner.is_busy()


def test_large_numbers_arrive_whole(qtbot: QtBot, runner: JobRunner) -> None:
    """Milliseconds since 1970 do not fit into a C int."""
    seen: list[int] = []
    runner.submit(lambda: 1_795_000_000_000, on_done=seen.append)
    qtbot.waitUntil(lambda: bool(seen))
    assert seen == [1_795_000_000_000]


def test_only_the_newest_of_a_kind_delivers(qtbot: QtBot, runner: JobRunner) -> None:
    gate = threading.Event()
    seen: list[int] = []

    def work(number: int) -> int:
        assert gate.wait(5)
        return number

    for number in range(5):
        runner.submit(work, number, on_done=seen.append, kind="plan")
    gate.set()
    qtbot.waitUntil(lambda: not runner.is_busy())
    assert seen == [4]


def test_writes_are_all_delivered_in_order(qtbot: QtBot, runner: JobRunner) -> None:
    seen: list[int] = []
    for number in range(5):
        runner.submit(lambda n: n, number, on_done=seen.append, kind="write", supersede=False)
    qtbot.waitUntil(lambda: not runner.is_busy())
    assert seen == [0, 1, 2, 3, 4]


def test_progress_and_cancel(qtbot: QtBot, runner: JobRunner) -> None:
    stopped = threading.Event()
    steps: list[float] = []
    results: list[object] = []

    def work(*, progress: Callable[[float], None], cancelled: Callable[[], bool]) -> str:
        progress(0.25)
        while not cancelled():
            time.sleep(0.002)
        stopped.set()
        return "late"

    job = runner.submit(work, on_done=results.append, on_progress=steps.append)
    qtbot.waitUntil(lambda: steps == [0.25])
    job.cancel()
    qtbot.waitUntil(lambda: not runner.is_busy())
    assert stopped.is_set()
    assert results == []
    assert not job.running


def test_errors_a_person_can_mend_are_handed_over(qtbot: QtBot, runner: JobRunner) -> None:
    failed: list[PlanError] = []

    def work() -> None:
        raise PlanError("Too thick.", field="pieces")

    runner.submit(work, on_failed=failed.append)
    qtbot.waitUntil(lambda: bool(failed))
    assert failed[0].field == "pieces"


def test_defects_reach_the_excepthook(qtbot: QtBot, runner: JobRunner) -> None:
    def work() -> None:
        raise ZeroDivisionError("ours")

    with qtbot.captureExceptions() as caught:
        runner.submit(work, on_failed=lambda _: pytest.fail("not for the page"))
        qtbot.waitUntil(lambda: not runner.is_busy())
    assert caught[0][0] is ZeroDivisionError


def test_nothing_is_delivered_to_a_page_that_is_gone(qtbot: QtBot, runner: JobRunner) -> None:
    import shiboken6

    gate = threading.Event()
    owner = QObject()
    runner.submit(gate.wait, 5, owner=owner, on_done=lambda _: pytest.fail("page is gone"))
    shiboken6.delete(owner)
    gate.set()
    qtbot.waitUntil(lambda: not runner.is_busy())


def test_shutdown_cancels_waits_and_takes_nothing_more(qtbot: QtBot) -> None:
    runner = JobRunner()
    results: list[object] = []

    def work(*, cancelled: Callable[[], bool]) -> None:
        while not cancelled():
            time.sleep(0.002)

    runner.submit(work, on_done=results.append)
    assert runner.shutdown(5.0)
    assert not runner.submit(lambda: 1, on_done=results.append).running
    qtbot.wait(20)
    assert results == []
    runner.deleteLater()


def test_shutdown_does_not_wait_for_ever(qtbot: QtBot, caplog: pytest.LogCaptureFixture) -> None:
    runner = JobRunner()
    gate, started = threading.Event(), threading.Event()

    def work() -> None:
        started.set()
        gate.wait(10)

    runner.submit(work)
    assert started.wait(5)
    began = time.monotonic()
    assert not runner.shutdown(0.1)
    assert time.monotonic() - began < 2.0
    assert "did not stop" in caplog.text
    gate.set()
    assert runner.shutdown(5.0)
    runner.deleteLater()


def test_busy_news(qtbot: QtBot, runner: JobRunner) -> None:
    news: list[tuple[str, bool]] = []
    runner.busy_changed.connect(lambda kind, busy: news.append((kind, busy)))
    runner.submit(lambda: None, kind="plan")
    qtbot.waitUntil(lambda: len(news) == 2)
    assert news == [("plan", True), ("plan", False)]
