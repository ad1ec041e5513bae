"""Heavy work in a process of its own: same results, called off at once, gone with the window."""

from __future__ import annotations

import os
import pickle
import signal
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot
from tonight_nights import FLOAT, tonight

import core.errors
from app.jobs import JobRunner
from app.work_process import WorkProcess
from core.errors import LehrkeeperError, Place, PlanError, StoppedError
from core.plan.best import best_plan


def seven(cancelled: Callable[[], bool]) -> tuple[int, int]:
    assert not cancelled()
    return 7, os.getpid()


def wait_till_called_off(path: Path, cancelled: Callable[[], bool]) -> None:
    path.write_text(str(os.getpid()), encoding="utf-8")
    while not cancelled():
        time.sleep(0.002)
    raise StoppedError("Stopped.")


def deaf(path: Path, cancelled: Callable[[], bool]) -> None:
    del cancelled
    path.write_text(str(os.getpid()), encoding="utf-8")
    time.sleep(60.0)


def refuse(cancelled: Callable[[], bool]) -> None:
    del cancelled
    raise PlanError("No.", field="lehr", place=Place("a.toml", 3), remedy="Do this.")


def fall_over(cancelled: Callable[[], bool]) -> None:
    del cancelled
    raise ZeroDivisionError("a defect")


def never() -> bool:
    return False


def is_alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def run_till_called_off(process: WorkProcess, mark: Path, gate: threading.Event) -> None:
    with pytest.raises(StoppedError):
        process.run(wait_till_called_off, mark, cancelled=gate.is_set)


@pytest.fixture(scope="module")
def process() -> Iterator[WorkProcess]:
    made = WorkProcess()
    yield made
    made.close()


def pid_of(process: WorkProcess) -> int:
    return process.run(seven, cancelled=never)[1]


def test_a_plan_is_the_same_as_in_this_process(process: WorkProcess) -> None:
    told: list[float] = []
    load = tonight(FLOAT)
    plan = process.run(best_plan, load, cancelled=never, progress=told.append)
    assert plan == best_plan(load)
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert pid_of(process) not in {os.getpid(), 0}


def test_errors_and_defects_come_back_as_they_are(process: WorkProcess) -> None:
    with pytest.raises(PlanError, match=r"^a\.toml, line 3: No\. Do this\.$") as refused:
        process.run(refuse, cancelled=never)
    assert refused.value.field == "lehr"
    with pytest.raises(ZeroDivisionError, match="a defect"):
        process.run(fall_over, cancelled=never)
    assert process.run(seven, cancelled=never)[0] == 7


def test_what_is_called_off_stops_and_the_next_is_done(
    process: WorkProcess, tmp_path: Path
) -> None:
    pid, mark = pid_of(process), tmp_path / "begun"
    with pytest.raises(StoppedError):
        process.run(wait_till_called_off, mark, cancelled=mark.exists)
    # Somebody waiting for his turn gives up as well.
    gate = threading.Event()
    mark.unlink()
    busy = threading.Thread(target=run_till_called_off, args=(process, mark, gate))
    busy.start()
    while not mark.exists():
        time.sleep(0.002)
    with pytest.raises(StoppedError):
        process.run(seven, cancelled=lambda: True)
    gate.set()
    busy.join()
    assert pid_of(process) == pid


def test_what_does_not_stop_is_ended(process: WorkProcess, tmp_path: Path) -> None:
    pid, mark = pid_of(process), tmp_path / "begun"
    with pytest.raises(StoppedError):
        process.run(deaf, mark, cancelled=mark.exists)
    assert not is_alive(pid)
    assert pid_of(process) != pid


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs POSIX signals")
def test_a_process_that_was_killed_costs_no_plan(qtbot: QtBot, tmp_path: Path) -> None:
    runner = JobRunner()
    runner.work_process = WorkProcess()
    mark, seen = tmp_path / "begun", []
    job = runner.submit(wait_till_called_off, mark, on_done=seen.append, apart=True)
    qtbot.waitUntil(lambda: mark.exists() and bool(mark.read_text(encoding="utf-8")))
    first = int(mark.read_text(encoding="utf-8"))
    os.kill(first, signal.SIGKILL)
    qtbot.waitUntil(lambda: mark.read_text(encoding="utf-8") == str(os.getpid()))
    job.cancel()
    runner.submit(seven, on_done=seen.append, apart=True)
    qtbot.waitUntil(lambda: seen == [(7, os.getpid())])
    assert runner.shutdown(5.0)
    runner.deleteLater()


def test_it_goes_with_the_window(qtbot: QtBot, tmp_path: Path) -> None:
    runner = JobRunner()
    runner.work_process = WorkProcess()
    mark = tmp_path / "begun"
    runner.submit(deaf, mark, apart=True)
    qtbot.waitUntil(lambda: mark.exists() and bool(mark.read_text(encoding="utf-8")))
    assert runner.shutdown(5.0)
    assert not is_alive(int(mark.read_text(encoding="utf-8")))
    runner.deleteLater()


def all_errors(of: type[LehrkeeperError] = LehrkeeperError) -> Iterator[type[LehrkeeperError]]:
    yield of
    for kind in of.__subclasses__():
        yield from all_errors(kind)


@pytest.mark.parametrize("kind", [e for e in all_errors() if e.__module__ == core.errors.__name__])
def test_every_error_can_cross(kind: type[LehrkeeperError]) -> None:
    error = kind("Wrong.", field="wall", place=Place("a.toml", 3), remedy="Mend it.")
    crossed = pickle.loads(pickle.dumps(error))  # noqa: S301 -- our own
    assert type(crossed) is kind
    assert (str(crossed), crossed.field, crossed.remedy) == (str(error), "wall", "Mend it.")
