"""Slow work off the GUI thread: one job of a kind at a time, cancelled on request.

A job is a plain function of frozen inputs. If it takes ``progress`` or ``cancelled`` as keyword,
it is handed callables for them: ``progress(done)`` with 0..1 and ``cancelled() -> bool``.
Its callbacks run on the GUI thread. Of jobs of one kind only the newest delivers: edits that
come faster than results never show an old one. Heavy ones can be done in a process of their own.
"""

from __future__ import annotations

import inspect
import logging
import sys
import threading
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

import shiboken6
from PySide6.QtCore import QDeadlineTimer, QObject, QRunnable, QThreadPool, Signal, Slot

from core.errors import LehrkeeperError

if TYPE_CHECKING:
    from app.work_process import WorkProcess

log = logging.getLogger(__name__)


class Job:
    """One piece of work on its way; hold it to cancel it or to ask whether it still runs."""

    def __init__(
        self,
        kind: str,
        token: int,
        owner: QObject | None,
        on_done: Callable[[Any], None] | None,
        on_failed: Callable[[LehrkeeperError], None] | None,
        on_progress: Callable[[float], None] | None,
        work_process: WorkProcess | None = None,
    ) -> None:
        self.kind = kind
        self.work_process = work_process
        self.token = token
        self.owner = owner
        self.on_done = on_done
        self.on_failed = on_failed
        self.on_progress = on_progress
        self.running = True
        self._cancel = threading.Event()

    def cancel(self) -> None:
        """Ask the work to stop; it will not deliver any more."""
        self._cancel.set()

    @property
    def cancelled(self) -> bool:
        """True once it was asked to stop."""
        return self._cancel.is_set()


class _Work(QRunnable):
    """Runs the function on the pool and reports through the runner's bridge."""

    def __init__(self, job: Job, function: Callable[..., Any], args: tuple[Any, ...],
                 report: Callable[[Job, str, Any], None]) -> None:  # fmt: skip
        super().__init__()
        self._job = job
        self._function = function
        self._args = args
        self._report = report

    def run(self) -> None:
        job = self._job
        if job.cancelled:
            self._report(job, "stopped", None)
            return
        extras: dict[str, Any] = {}
        takes = _keywords(self._function)
        if "cancelled" in takes:
            extras["cancelled"] = lambda: job.cancelled
        if "progress" in takes:
            extras["progress"] = lambda done: self._report(job, "progress", float(done))
        function = self._function
        if job.work_process is not None:
            function = partial(job.work_process.run, function)
        try:
            result = function(*self._args, **extras)
        except LehrkeeperError as error:
            self._report(job, "failed", error)
        except BaseException as error:  # noqa: BLE001 -- a defect must reach the GUI thread's hook
            self._report(job, "defect", error)
        else:
            self._report(job, "done", result)


def _keywords(function: Callable[..., Any]) -> frozenset[str]:
    try:
        return frozenset(inspect.signature(function).parameters)
    except (TypeError, ValueError):
        return frozenset()


class JobRunner(QObject):
    """Starts jobs and brings their results back to the GUI thread.

    Create it on the GUI thread; call :meth:`shutdown` before the application ends.

    Signals
    -------
    busy_changed(str, bool)
        A kind has begun or has nothing left to do.
    """

    busy_changed = Signal(str, bool)
    _arrived = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pools: dict[str, QThreadPool] = {}
        self._jobs: dict[str, list[Job]] = {}
        self._count = 0
        self._closed = False
        self.work_process: WorkProcess | None = None
        """Where jobs are done that are to be done apart; ``None``: in threads like the others."""
        # The bridge is this object: it lives on the GUI thread and outlives every job.
        self._arrived.connect(self._deliver)

    def submit(
        self,
        function: Callable[..., Any],
        *args: Any,
        on_done: Callable[[Any], None] | None = None,
        on_failed: Callable[[LehrkeeperError], None] | None = None,
        on_progress: Callable[[float], None] | None = None,
        kind: str = "work",
        owner: QObject | None = None,
        supersede: bool = True,
        apart: bool = False,
    ) -> Job:
        """Run ``function(*args)`` in the background.

        Parameters
        ----------
        function : callable
            Must not touch Qt.
        on_done, on_failed, on_progress : callable, optional
            Called on the GUI thread with the result, the :class:`LehrkeeperError`, or 0..1.
            Any other exception is a defect and goes to ``sys.excepthook``.
        kind : str
            Jobs of one kind run one after the other.
        owner : QObject, optional
            Nothing is delivered once it is gone.
        supersede : bool
            Cancel earlier jobs of the kind; pass False for writes, which must all arrive.
        apart : bool
            Reckon in the process for heavy work, where there is one: for a second or more of pure
            Python. Function, arguments and result can be pickled, and it takes ``cancelled``.
        """
        self._count += 1
        process = self.work_process if apart else None
        job = Job(kind, self._count, owner, on_done, on_failed, on_progress, process)
        if self._closed:
            job.cancel()
            job.running = False
            return job
        if supersede:
            self.cancel(kind)
        waiting = self._jobs.setdefault(kind, [])
        waiting.append(job)
        if len(waiting) == 1:
            self.busy_changed.emit(kind, True)  # noqa: FBT003 -- a signal's argument
        self._pool(kind).start(_Work(job, function, args, self._report))
        return job

    def cancel(self, kind: str) -> None:
        """Ask all jobs of a kind to stop."""
        for job in self._jobs.get(kind, ()):
            job.cancel()

    def is_busy(self, kind: str | None = None) -> bool:
        """True while something of the kind (or anything) has not reported back."""
        if kind is not None:
            return bool(self._jobs.get(kind))
        return any(self._jobs.values())

    def shutdown(self, timeout: float = 3.0) -> bool:
        """Cancel everything and wait, at most ``timeout`` seconds; True when all has ended."""
        self._closed = True
        for kind in self._jobs:
            self.cancel(kind)
        if self.work_process is not None:
            self.work_process.close()
        deadline = QDeadlineTimer(round(timeout * 1000))
        ended = True
        for pool in self._pools.values():
            ended = pool.waitForDone(max(0, deadline.remainingTime())) and ended
        if not ended:
            log.warning("Background work did not stop within %.1f s.", timeout)
        return ended

    def _pool(self, kind: str) -> QThreadPool:
        pool = self._pools.get(kind)
        if pool is None:
            pool = QThreadPool(self)
            pool.setMaxThreadCount(1)
            self._pools[kind] = pool
        return pool

    def _report(self, job: Job, what: str, payload: Any) -> None:
        # On a pool thread; the signal is queued because the runner lives on the GUI thread.
        if shiboken6.isValid(self):
            self._arrived.emit((job, what, payload))

    @Slot(object)
    def _deliver(self, message: tuple[Job, str, Any]) -> None:
        job, what, payload = message
        wanted = not (
            job.cancelled
            or self._closed
            or (job.owner is not None and not shiboken6.isValid(job.owner))
        )
        if what == "progress":
            if wanted and job.on_progress is not None:
                job.on_progress(payload)
            return
        job.running = False
        waiting = self._jobs[job.kind]
        waiting.remove(job)
        if not waiting:
            self.busy_changed.emit(job.kind, False)  # noqa: FBT003
        if what == "defect":
            sys.excepthook(type(payload), payload, payload.__traceback__)
        elif wanted and what == "failed":
            if job.on_failed is None:
                sys.excepthook(type(payload), payload, payload.__traceback__)
            else:
                job.on_failed(payload)
        elif wanted and what == "done" and job.on_done is not None:
            job.on_done(payload)
