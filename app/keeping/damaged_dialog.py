"""A book that is damaged: put a backup in its place, save what can be read, or take another."""

from __future__ import annotations

from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path

from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.jobs import Job, JobRunner
from app.keeping.words import backup_line, restored_words, salvage_words
from app.theme import set_role
from app.widgets.banner import Banner
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Field
from app.widgets.label import Label
from core.errors import LehrkeeperError
from core.store.backup import backups, stamped
from core.store.restore import restore
from core.store.salvage import SalvageReport, salvage


class WayOut(StrEnum):
    """What a person decided."""

    MENDED = "mended"
    """There is a book to open: :attr:`DamagedDialog.book`."""
    ANOTHER = "another"
    LEAVE = "leave"


class DamagedDialog(QDialog):
    """Ask what shall become of a book that cannot be opened.

    Attributes
    ----------
    way : WayOut
    book : Path
        What to open when it was mended.
    told : str
        What was done, to be told in the window.
    """

    def __init__(
        self,
        path: Path,
        error: LehrkeeperError,
        *,
        leave_words: str = "Quit",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("A damaged book – Lehrkeeper")
        self.way, self.book, self.told = WayOut.LEAVE, path, ""
        self._path = path
        self._runner = JobRunner(self)
        self._job: Job | None = None
        self.what = Label("This book cannot be opened.", role="heading")
        self.why = Label(f"{error}\n\n{path}", wrap=True)
        self.banner = Banner(closable=False)
        now = datetime.now(UTC)
        self._backups = backups(path)
        self.choice = ChoiceBox(
            [(backup_line(one, now, None), number) for number, one in enumerate(self._backups)]
        )
        self.put_back = QPushButton("&Put it in the book's place")
        self.none = Label("No backups of this book were found beside it.", role="muted")
        self.save = QPushButton("&Save what can still be read")
        self.another = QPushButton("&Choose another book…")
        self.leave = QPushButton(leave_words)
        self.progress = QProgressBar()
        self.progress.setTextVisible(False)
        self.progress.setAccessibleName("How far the saving is")
        self.progress.hide()
        self._lay_out()
        self.put_back.clicked.connect(self._on_put_back)
        self.save.clicked.connect(self._on_save)
        self.another.clicked.connect(lambda: self._leave(WayOut.ANOTHER))
        self.leave.clicked.connect(lambda: self._leave(WayOut.LEAVE))
        self.resize(620, 420)

    def _lay_out(self) -> None:
        there = bool(self._backups)
        row = QHBoxLayout()
        row.setSpacing(10)
        row.addWidget(Field("&Backup", self.choice), 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 18, 20, 16)
        column.setSpacing(12)
        column.addWidget(self.what)
        column.addWidget(self.why)
        column.addWidget(self.banner)
        if there:
            set_role(self.put_back, "primary")
            column.addLayout(row)
            beside = QHBoxLayout()
            beside.addWidget(self.put_back)
            beside.addStretch(1)
            column.addLayout(beside)
        else:
            self.put_back.hide()
            self.choice.hide()
            set_role(self.save, "primary")
            column.addWidget(self.none)
        column.addWidget(
            Label(
                "Saving makes a new book of every entry that can still be read, beside the "
                "damaged one. Whatever you choose, the damaged file is kept.",
                role="muted",
                wrap=True,
            )
        )
        column.addStretch(1)
        column.addWidget(self.progress)
        foot = QHBoxLayout()
        foot.setSpacing(8)
        for button in (self.save, self.another):
            foot.addWidget(button)
        foot.addStretch(1)
        foot.addWidget(self.leave)
        column.addLayout(foot)

    @property
    def is_busy(self) -> bool:
        """True while entries are saved."""
        return self._job is not None and self._job.running

    def _on_put_back(self) -> None:
        number = self.choice.value
        if not isinstance(number, int):
            return
        try:
            aside = restore(self._path, self._backups[number].path)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self.told = restored_words(aside)
        self._leave(WayOut.MENDED)

    def _on_save(self) -> None:
        target = stamped(self._path, "saved")
        self.progress.setRange(0, 100)
        self.progress.show()
        for button in (self.put_back, self.save, self.another):
            button.setEnabled(False)
        self._job = self._runner.submit(
            salvage,
            self._path,
            target,
            on_done=self._saved,
            on_failed=self._not_saved,
            on_progress=lambda share: self.progress.setValue(round(100 * share)),
            kind="salvage",
            owner=self,
        )

    def _saved(self, report: SalvageReport) -> None:
        self.book = report.book
        self.told = salvage_words(report)
        self._leave(WayOut.MENDED)

    def _not_saved(self, error: LehrkeeperError) -> None:
        self._job = None
        self.progress.hide()
        for button in (self.put_back, self.save, self.another):
            button.setEnabled(True)
        self.banner.tell_error(error)

    def _leave(self, way: WayOut) -> None:
        self.way = way
        self.accept()

    def done(self, result: int) -> None:
        """Let go of what is still being saved."""
        self._runner.shutdown(5.0)
        super().done(result)
