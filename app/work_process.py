"""Heavy reckoning in a process of its own.

In a thread of this process it would share the interpreter with the window: drawing takes many short
turns of Python, and each has to wait for the reckoning to give way. No Qt here: the process that
serves the window has no use for it.
"""

from __future__ import annotations

import logging
import multiprocessing
import signal
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from core.errors import LehrkeeperError, StoppedError

log = logging.getLogger(__name__)

_GLANCE = 0.02
"""[s] Between two looks whether the work was called off."""
_PATIENCE = 1.0
"""[s] That the work may take to stop before its process is ended."""
_DONE, _FAILED, _PROGRESS = "done", "failed", "progress"
_STOP = "stop"


class WorkProcess:
    """Runs one function after another in another process, started when first needed.

    If the process dies, this work and all later is done in the calling thread instead.
    """

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._process: BaseProcess | None = None
        self._line: Connection | None = None
        self._lost = False
        self._closed = False

    def run(
        self,
        function: Callable[..., Any],
        *args: Any,
        cancelled: Callable[[], bool],
        progress: Callable[[float], None] | None = None,
    ) -> Any:
        """The function's result; to be called from a thread that may wait.

        Parameters
        ----------
        function : callable
            Of a module, as are its arguments and result what can be pickled. Is handed
            ``cancelled``, and ``progress`` where that is given.
        cancelled : callable
            True when the work is to stop.
        progress : callable, optional
            Told 0 to 1.

        Raises
        ------
        StoppedError
            If it was called off.
        Exception
            What the function raised.
        """
        while not self._turn.acquire(timeout=_GLANCE):
            if cancelled():
                raise StoppedError("Stopped.")
        try:
            if not self._lost:
                return self._run(function, args, cancelled, progress)
        except (EOFError, OSError):
            if self._closed:
                raise StoppedError("Stopped.") from None
            log.warning("The process for heavy work ended; from now on the window does it.")
            self._lost = True
            self._end()
        finally:
            self._turn.release()
        more = {} if progress is None else {"progress": progress}
        return function(*args, cancelled=cancelled, **more)

    def close(self) -> None:
        """End the process."""
        self._closed = True
        self._end()

    def _run(
        self,
        function: Callable[..., Any],
        args: tuple[Any, ...],
        cancelled: Callable[[], bool],
        progress: Callable[[float], None] | None,
    ) -> Any:
        line = self._started()
        line.send((function, args, progress is not None))
        stop_at: float | None = None
        while True:
            if line.poll(_GLANCE):
                what, told = line.recv()
                if what == _DONE:
                    return told
                if what == _FAILED:
                    raise told
                if progress is not None:
                    progress(told)
            elif stop_at is None and cancelled():
                line.send(_STOP)
                stop_at = time.monotonic() + _PATIENCE
            elif stop_at is not None and time.monotonic() > stop_at:
                self._end()
                raise StoppedError("Stopped.")

    def _started(self) -> Connection:
        if self._closed:
            raise StoppedError("Stopped.")
        if self._line is None or self._process is None or not self._process.is_alive():
            self._end()
            way = multiprocessing.get_context("spawn")
            self._line, theirs = way.Pipe()
            self._process = way.Process(target=_serve, args=(theirs,), daemon=True)
            self._process.start()
            # Only the process itself holds its end now: if it dies, ours says so.
            theirs.close()
        return self._line

    def _end(self) -> None:
        line, process = self._line, self._process
        self._line = self._process = None
        if line is not None:
            line.close()
        if process is not None:
            process.kill()
            process.join(_PATIENCE)


def _serve(line: Connection) -> None:
    """Do what is asked until the other end is gone."""
    # Ctrl+C in a terminal is for the window, which then closes the line.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    with suppress(EOFError, OSError):
        while True:
            asked = line.recv()
            if asked != _STOP:  # one that came after the answer had left
                line.send(_answer(line, *asked))


def _answer(
    line: Connection,
    function: Callable[..., Any],
    args: tuple[Any, ...],
    tells: bool,  # noqa: FBT001 -- unpacked from what came over the line
) -> tuple[str, Any]:
    stopped = False

    def cancelled() -> bool:
        nonlocal stopped
        if not stopped and line.poll():
            stopped = line.recv() == _STOP
        return stopped

    more = {"progress": lambda done: line.send((_PROGRESS, done))} if tells else {}
    try:
        return _DONE, function(*args, cancelled=cancelled, **more)
    except (EOFError, OSError):
        raise
    except Exception as error:
        if not isinstance(error, LehrkeeperError):
            log.exception("A defect in heavy work.")
        return _FAILED, error
