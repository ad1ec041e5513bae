"""A button that starts work of some seconds, with how far it is and a way to stop it."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QPushButton, QWidget

from app.studio import Studio
from app.theme import set_role


class BusyRow(QWidget):
    """One kind of job: begun by ``button``, stopped by ``stop``, told by ``progress``.

    Parameters
    ----------
    studio : Studio
    kind : str
        Of the jobs, see :class:`app.jobs.JobRunner`.
    words : str
        On the button.
    """

    def __init__(
        self, studio: Studio, kind: str, words: str, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._kind = kind
        self.button = QPushButton(words)
        set_role(self.button, "primary")
        self.stop = QPushButton("Stop")
        self.progress = QProgressBar()
        self.progress.setRange(0, 100)
        self.progress.setTextVisible(False)
        self.progress.setAccessibleName(f"{words}: how far it is")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.button)
        row.addWidget(self.stop)
        row.addWidget(self.progress, 1)
        self.stop.clicked.connect(lambda: studio.jobs.cancel(kind))
        studio.jobs.busy_changed.connect(self._on_busy)
        self._show(busy=studio.jobs.is_busy(kind))

    def tell(self, done: float) -> None:
        """Show a share done, 0 to 1."""
        self.progress.setValue(round(100 * done))

    def _on_busy(self, kind: str, busy: bool) -> None:  # noqa: FBT001 -- a signal's argument
        if kind == self._kind:
            self.tell(0.0)
            self._show(busy=busy)

    def _show(self, *, busy: bool) -> None:
        self.button.setEnabled(not busy)
        self.stop.setVisible(busy)
        self.progress.setVisible(busy)
