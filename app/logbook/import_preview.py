"""How a logger's file was understood: facts, first rows, and the rows left out."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from app.local_time import day_and_clock
from app.logbook.import_work import FileRead
from app.logbook.run_words import count_words
from app.logbook.wrapped_cells import WrappedCells
from app.studio import Studio
from app.theme import set_role, theme_of
from app.widgets.banner import Weight
from app.widgets.label import Label
from app.widgets.quantity import Quantity, format_quantity
from app.widgets.sentence import Sentence
from app.widgets.tables import Column, DataTable
from core.run.log_file import LogImport
from core.run.log_format import LogFormat, TimeKind
from core.run.log_sample import LogSample, SampleRow

_BETWEEN = {"\t": "tabs", ";": "semicolons", ",": "commas", " ": "blanks"}
_MARKS = {".": "point", ",": "comma"}


def understood(log: LogImport, studio: Studio) -> list[tuple[str, str]]:
    """Pairs of word and finding: how the file was read."""
    layout, now = log.format, studio.now()
    times = " and ".join(f"“{layout.column_name(column)}”" for column in layout.time_columns)
    facts = [
        ("Time", f"column {times}: {_time_words(layout)}"),
        (
            "Temperature",
            f"column “{layout.column_name(layout.temperature_column)}”, in {layout.unit.symbol}",
        ),
        ("Columns", f"kept apart by {_BETWEEN[layout.delimiter]}"),
        ("Decimals", f"marked by a {_MARKS[layout.decimal_mark]}"),
    ]
    if layout.time_kind is not TimeKind.ELAPSED:
        facts.append(("Clock", layout.timezone or "this computer's own zone"))

    def at(index: int) -> str:
        degrees = format_quantity(
            Quantity.TEMPERATURE, float(log.readings.temperature[index]), studio.units, decimals=1
        )
        when = day_and_clock(float(log.readings.time[index]), zone=studio.zone, now=now)
        # Not to be torn apart where the line ends.
        return f"{when}, {degrees}".replace(" °", "\u00a0°")

    return [*facts, ("First reading", at(0)), ("Last reading", at(-1))]


def _time_words(layout: LogFormat) -> str:
    if layout.time_kind is TimeKind.DATE_AND_TIME:
        return layout.date_order.value
    if layout.time_kind is TimeKind.CLOCK:
        return "time of day"
    return f"since the start, in {layout.lapse_unit.value} or h:mm"


class _Marked(QStyledItemDelegate):
    """Paints a column of the sample on a ground of its own."""

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        painter.fillRect(option.rect, QColor(theme_of(option.widget).accent_soft))
        super().paint(painter, option, index)

    def initStyleOption(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        super().initStyleOption(option, index)
        option.font.setBold(True)


class ImportPreview(QWidget):
    """The facts in words, the first rows with the columns marked, and the bad rows."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.facts = QFrame()
        set_role(self.facts, "card")
        self._grid = QGridLayout(self.facts)
        self._grid.setContentsMargins(14, 10, 14, 10)
        self._grid.setHorizontalSpacing(14)
        self._grid.setVerticalSpacing(5)
        self._grid.setColumnStretch(1, 1)
        self.pairs: list[tuple[str, str]] = []
        self.sample_title = Label("First rows of the file", role="label")
        self.sample = DataTable((), name="First rows of the file")
        self._marked = _Marked(self.sample)
        self._plain = QStyledItemDelegate(self.sample)
        self._columns = 0
        self.problem_title = Label(role="label")
        self.all_good = Sentence(Weight.GOOD, "Every row can be read.", role="good")
        self.problems = DataTable(
            (
                Column("Line", lambda row: str(row.line), value=lambda row: row.line, numeric=True),
                Column("Column", lambda row: row.column),
                Column("What is wrong", lambda row: row.message, stretch=True),
            ),
            name="Rows that are left out",
        )
        self._wrapped = WrappedCells(self.problems, 2)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.sample_title)
        column.addWidget(self.sample, 3)
        column.addWidget(self.all_good)
        column.addWidget(self.problem_title)
        column.addWidget(self.problems, 2)

    def show_file(self, read: FileRead) -> None:
        """Show how the file was read."""
        self._show_facts(read.log)
        self._show_sample(read.sample, read.log.format)
        bad = read.log.problems
        self.problems.set_rows(bad)
        self._wrapped.fit()
        self.problems.setVisible(bool(bad))
        self.problem_title.setText(f"{count_words(len(bad), 'row is', 'rows are')} left out")
        self.problem_title.setVisible(bool(bad))
        self.all_good.setVisible(not bad)

    def _show_facts(self, log: LogImport) -> None:
        self.pairs = understood(log, self._studio)
        while (item := self._grid.takeAt(0)) is not None:
            item.widget().deleteLater()
        for row, (word, finding) in enumerate(self.pairs):
            name, value = Label(word), Label(finding)
            set_role(name, "muted")
            value.setTextFormat(Qt.TextFormat.PlainText)
            value.setWordWrap(True)
            value.setMinimumWidth(60)
            value.setAccessibleName(word)
            self._grid.addWidget(name, row, 0, Qt.AlignmentFlag.AlignTop)
            self._grid.addWidget(value, row, 1)

    def _show_sample(self, sample: LogSample, layout: LogFormat) -> None:
        roles = dict.fromkeys(layout.time_columns, "time")
        roles[layout.temperature_column] = "temperature"
        columns = [
            Column("Line\n", lambda row: str(row.line), value=lambda row: row.line, numeric=True)
        ]
        for number, name in enumerate(sample.columns):
            use = f"read as {roles[number]}" if number in roles else "not used"
            columns.append(Column(f"{name}\n{use}", _cell(number)))
        self.sample.set_columns(columns)
        self.sample.set_rows(sample.rows)
        for number in range(len(columns)):
            self.sample.setItemDelegateForColumn(
                number, self._marked if number - 1 in roles else self._plain
            )

    @property
    def marked_columns(self) -> tuple[str, ...]:
        """Titles of the columns marked as time and temperature."""
        titles = [column.title.split("\n") for column in self.sample.rows_model.columns]
        return tuple(" ".join(title) for title in titles if title[1].startswith("read as"))


def _cell(number: int) -> object:
    def text(row: SampleRow) -> str:
        return row.cells[number] if number < len(row.cells) else ""

    return text


def taken_before(digest: str, imports: tuple[object, ...]) -> datetime | None:
    """When this very file was taken into the run, if it was."""
    moments = [record.imported_at for record in imports if record.file_hash == digest]
    return max(moments, default=None)
