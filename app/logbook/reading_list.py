"""The readings of a run as a table: what the plot shows, in numbers."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.local_time import day_and_clock, to_local, weekday_clock
from app.logbook.run_sheet import ReadingLine, RunSheet
from app.logbook.run_words import count_words
from app.studio import Studio
from app.theme import set_role
from app.widgets.label import Label, tip_text
from app.widgets.quantity import Quantity, format_quantity, scale_of, signed_text
from app.widgets.tables import Column, DataTable
from core.store.book import ImportRecord


class ReadingList(QWidget):
    """Readings, the newest first; a mistyped one, or a whole file, can be taken out again.

    Signals
    -------
    removal_wanted(ReadingLine)
        Of a typed reading.
    file_removal_wanted(ImportRecord)
        Of all readings of a file.
    """

    removal_wanted = Signal(object)
    file_removal_wanted = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.table = DataTable(self._columns(), name="Readings, the newest first")
        self.remove = QPushButton("Re&move this reading")
        self.remove.setToolTip("Only a typed reading; readings of a file go with their file")
        self.remove.setEnabled(False)
        self._files = QVBoxLayout()
        self._files.setSpacing(0)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 12, 0, 0)
        column.setSpacing(8)
        self.told = Label(role="small", wrap=True)
        self.told.hide()
        column.addWidget(self.told)
        column.addWidget(self.table, 1)
        column.addLayout(self._files)
        row = QHBoxLayout()
        row.addWidget(self.remove)
        row.addStretch(1)
        column.addLayout(row)
        self.table.row_selected.connect(
            lambda line: self.remove.setEnabled(line is not None and line.typed)
        )
        self.remove.clicked.connect(self._remove)
        studio.units_changed.connect(lambda _: self.table.set_columns(self._columns()))

    def _columns(self) -> tuple[Column, ...]:
        units, zone = self._studio.units, self._studio.zone
        symbol = scale_of(Quantity.TEMPERATURE, units).symbol

        def degrees(kelvin: float) -> str:
            return format_quantity(Quantity.TEMPERATURE, kelvin, units, decimals=1, with_unit=False)

        def off(line: ReadingLine) -> str:
            return signed_text(
                format_quantity(
                    Quantity.INTERVAL, line.deviation, units, decimals=1, with_unit=False
                )
            )

        return (
            Column(
                "Time",
                lambda line: weekday_clock(line.time, zone),
                value=lambda line: line.time,
                tip=lambda line: f"{to_local(line.time, zone):%Y-%m-%d %H:%M:%S}",
            ),
            Column(
                f"Actual {symbol}",
                lambda line: degrees(line.temperature),
                value=lambda line: line.temperature,
                numeric=True,
            ),
            Column(
                "Plan",
                lambda line: degrees(line.planned),
                value=lambda line: line.planned,
                numeric=True,
                gives_way=1,
            ),
            Column("Off plan", off, value=lambda line: line.deviation, numeric=True),
            Column(
                "Source",
                lambda line: "typed" if line.typed else "imported",
                tip=lambda line: "typed" if line.typed else f"imported, {line.source}",
            ),
        )

    def show_sheet(self, sheet: RunSheet) -> None:
        """Show a run's readings and the files they came from."""
        self.table.set_rows(sheet.lines)
        many = len(sheet.readings) > len(sheet.lines)
        self.told.setText(
            f"The newest {len(sheet.lines)} of {len(sheet.readings)} readings; the curve has all."
        )
        self.told.setVisible(many)
        self.remove.setEnabled(False)
        while (item := self._files.takeAt(0)) is not None:
            item.widget().deleteLater()
        for record in sheet.imports:
            if record.added:
                self._files.addWidget(self._file_row(record))

    def _file_row(self, record: ImportRecord) -> QWidget:
        row = QWidget()
        when = day_and_clock(record.imported_at, zone=self._studio.zone, now=self._studio.now())
        words = Label(
            f"“{record.file_name}”: {count_words(record.added, 'reading', 'readings')}",
            role="muted",
            wrap=True,
        )
        words.setToolTip(f"Taken in {when}")
        out = QPushButton("Take out")
        set_role(out, "quiet")
        out.setToolTip(tip_text(f"Take the readings of “{record.file_name}” out of this run"))
        out.clicked.connect(lambda: self.file_removal_wanted.emit(record))
        line = QHBoxLayout(row)
        line.setContentsMargins(0, 0, 0, 0)
        line.addWidget(words, 1)
        line.addWidget(out)
        return row

    def _remove(self) -> None:
        line = self.table.selected_row()
        if line is not None and line.typed:
            self.removal_wanted.emit(line)
