"""When something is wrong with the program itself: a log, and a dialog to copy from."""

from __future__ import annotations

import logging
import logging.handlers
import platform
import sys
import traceback
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QCoreApplication, QStandardPaths, QThread, qVersion
from PySide6.QtGui import QFontDatabase, QGuiApplication
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QPlainTextEdit, QVBoxLayout

from app.widgets.label import Label

log = logging.getLogger(__name__)


def log_file() -> Path:
    """Where the program writes what went wrong."""
    folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppLocalDataLocation)
    return Path(folder) / "lehrkeeper.log"


def start_log(path: Path) -> logging.Handler | None:
    """Write the log to a file that starts afresh at half a megabyte; None if it cannot be."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handler = logging.handlers.RotatingFileHandler(
            path, maxBytes=500_000, backupCount=1, encoding="utf-8", delay=True
        )
    except OSError:
        logging.basicConfig(level=logging.WARNING)
        return None
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    root = logging.getLogger()
    root.addHandler(handler)
    root.setLevel(logging.INFO)
    logging.getLogger("alembic").setLevel(logging.WARNING)
    return handler


class FaultDialog(QDialog):
    """Says that something went wrong, with the text to send on."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.setWindowTitle("Something went wrong – Lehrkeeper")
        words = Label(
            "Something went wrong in the program. What you had saved is safe, and you can go on "
            "working. Please send this text to whoever looks after the program."
        )
        words.setWordWrap(True)
        self.report = QPlainTextEdit(text)
        self.report.setReadOnly(True)
        self.report.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        self.report.setAccessibleName("Report")
        buttons = QDialogButtonBox()
        self.copy = buttons.addButton("Copy the text", QDialogButtonBox.ButtonRole.ActionRole)
        self.go_on = buttons.addButton("Go on", QDialogButtonBox.ButtonRole.AcceptRole)
        self.copy.clicked.connect(lambda: QGuiApplication.clipboard().setText(text))
        buttons.accepted.connect(self.accept)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 18, 20, 16)
        column.setSpacing(12)
        column.addWidget(words)
        column.addWidget(self.report, 1)
        column.addWidget(buttons)
        self.resize(720, 460)


class FaultHook:
    """Takes the place of ``sys.excepthook``: logs, shows a dialog once at a time, goes on."""

    def __init__(self, version: str) -> None:
        self._version = version
        self._showing = False

    def install(self) -> None:
        """Use this hook from now on."""
        sys.excepthook = self

    def report(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> str:
        """The text to copy."""
        details = "".join(traceback.format_exception(kind, error, trace))
        return (
            f"Lehrkeeper {self._version}, Python {platform.python_version()}, "
            f"Qt {qVersion()}, {platform.platform()}\n\n{details}"
        )

    def __call__(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        """Handle an exception nobody caught."""
        if issubclass(kind, KeyboardInterrupt):
            QCoreApplication.quit()
            return
        log.error("An exception was not caught.", exc_info=(kind, error, trace))
        application = QCoreApplication.instance()
        if application is None or QThread.currentThread() is not application.thread():
            sys.__excepthook__(kind, error, trace)
            return
        if self._showing:
            return
        self._showing = True
        try:
            FaultDialog(self.report(kind, error, trace)).exec()
        finally:
            self._showing = False
