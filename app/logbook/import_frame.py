"""The parts of the panel that takes loggers' files in, and where they stand."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.logbook.import_corrections import CorrectionsForm
from app.logbook.import_preview import ImportPreview
from app.logbook.import_questions import Questions
from app.studio import Studio
from app.theme import set_role
from app.widgets.banner import Banner
from app.widgets.disclosure import Disclosure
from app.widgets.label import Label


class ImportFrame(QWidget):
    """What is asked and understood on the left, first and bad rows on the right."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = Label(role="heading", wrap=True)
        self.belongs = Label(role="muted", wrap=True)
        self.banner = Banner(closable=False)
        self.questions = Questions(studio)
        self.preview = ImportPreview(studio)
        self.corrections = CorrectionsForm()
        self.correct = Disclosure("Not right? Correct how it is read", self.corrections)
        self.remarks = Label(role="small", wrap=True)
        self.progress = QProgressBar()
        self.progress.setRange(0, 100)
        self.progress.setTextVisible(False)
        self.progress.setAccessibleName("How far the file is")
        self.state = Label(role="muted")
        self.take = QPushButton("&Import")
        set_role(self.take, "primary")
        self.take_rest = QPushButton("The re&st too")
        self.take_rest.setToolTip(
            "Files that raise no question are taken in one after the other; the first that does "
            "is shown"
        )
        self.skip = QPushButton("S&kip it")
        self.another = QPushButton("Choose ano&ther file…")
        self.cancel = QPushButton("&Cancel")
        self._lay_out()

    def _lay_out(self) -> None:
        left = QWidget()
        left.setObjectName("page")
        told = QVBoxLayout(left)
        told.setContentsMargins(0, 0, 6, 0)
        told.setSpacing(12)
        told.addWidget(self.questions)
        told.addWidget(self.preview.facts)
        told.addWidget(self.correct)
        told.addWidget(self.remarks)
        told.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(left)
        scroll.setMinimumWidth(300)
        self._split = QSplitter(Qt.Orientation.Horizontal)
        self._split.setChildrenCollapsible(False)
        self._split.setHandleWidth(14)
        self._split.addWidget(scroll)
        self._split.addWidget(self.preview)
        self._split.setSizes([400, 520])
        self._split.setStretchFactor(0, 2)
        self._split.setStretchFactor(1, 3)
        self._spare = QWidget()
        foot = QHBoxLayout()
        foot.setSpacing(10)
        for button in (self.take, self.take_rest, self.skip, self.another, self.cancel):
            foot.addWidget(button)
        foot.addStretch(1)
        work = QHBoxLayout()
        work.setSpacing(10)
        work.addWidget(self.state)
        work.addWidget(self.progress, 1)
        work.addStretch()
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 16, 20, 16)
        column.setSpacing(10)
        column.addWidget(self.title)
        column.addWidget(self.belongs)
        column.addWidget(self.banner)
        column.addWidget(self._split, 1)
        column.addWidget(self._spare, 1)
        column.addLayout(work)
        column.addLayout(foot)
