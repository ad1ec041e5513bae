"""Over a weekend: keeping the furnace idling against shutting it down."""

from __future__ import annotations

from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.studio import Studio
from app.theme import set_role
from app.widgets.field import Field
from app.widgets.label import Label
from app.widgets.quantity import Quantity, local_sentence
from app.widgets.quantity_edit import QuantityEdit
from core.errors import LehrkeeperError
from core.melt.melt_task import MeltTask
from core.melt.melt_words import weekend_sentences
from core.melt.weekend import Weekend, compare_weekend

_KIND = "melt break"


class BreakCard(QFrame):
    """Hours of a break, and what both ways take."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        set_role(self, "card")
        self._studio = studio
        self._task: MeltTask | None = None
        self.hours = QuantityEdit(
            Quantity.HOURS, units=studio.units, minimum=2 * 3600.0, maximum=1440 * 3600.0
        )
        self.hours.set_value_si(62 * 3600.0)
        self.field = Field("&Break", self.hours, name="duration")
        self.compare = QPushButton("Idle or shut down?")
        self.told = Label("From the last work to the next.", role="muted", wrap=True)
        self.told.setMinimumWidth(160)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(14, 8, 14, 8)
        whole.setSpacing(4)
        row = QHBoxLayout()
        row.setSpacing(12)
        self.field.setMaximumWidth(130)
        row.addWidget(self.field)
        beside = QVBoxLayout()
        beside.setContentsMargins(0, self.field.label.sizeHint().height() + 3, 0, 0)
        beside.addWidget(self.compare)
        beside.addStretch(1)
        row.addLayout(beside)
        row.addStretch(1)
        whole.addLayout(row)
        whole.addWidget(self.told)
        self.compare.clicked.connect(self._on_compare)
        self.hours.returnPressed.connect(self._on_compare)

    def show_task(self, task: MeltTask) -> None:
        """Compare for this furnace, with the glass it has."""
        self._task = task

    def _on_compare(self) -> None:
        if self._task is None:
            return
        try:
            hours = self.hours.require()
        except LehrkeeperError as error:
            self.field.set_error(str(error))
            return
        self.told.setText("Reckoning both ways …")
        self._studio.jobs.submit(
            compare_weekend,
            self._task,
            hours,
            on_done=self._show,
            on_failed=self._failed,
            kind=_KIND,
            owner=self,
        )

    def _show(self, weekend: Weekend) -> None:
        task = self._task
        currency = task.furnace.energy.currency if task is not None else ""
        sentences = weekend_sentences(weekend, currency, self._studio.units)
        self.told.setText(local_sentence(" ".join(sentences)))

    def _failed(self, error: LehrkeeperError) -> None:
        self.told.setText(str(error))
