"""Below the curve: its segments with their reasons, what to key in, and the warnings."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, tzinfo

from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QRadioButton,
    QScrollArea,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.plots.night_clock import night_clock
from app.theme import icon_pixmap, theme_of, themed_icon
from app.tonight.fold import COMPACT, scrolling
from app.widgets.label import Label
from app.widgets.quantity import NOTHING, Quantity, format_quantity, local_sentence
from app.widgets.tables import Column, DataTable
from core.equipment.lehr import Controller, Entry
from core.plan.plan import Plan, Segment, SegmentKind
from core.plan.program import program_in_words
from core.units import UnitChoice

KIND_WORDS = {
    SegmentKind.HEAT: "Heat",
    SegmentKind.SQUEEZE: "Squeeze",
    SegmentKind.PROCESS: "Process hold",
    SegmentKind.CRASH: "Crash cool",
    SegmentKind.SOAK: "Soak",
    SegmentKind.SLOW_COOL: "Slow cool",
    SegmentKind.COOL: "Cool",
    SegmentKind.COAST: "Power off",
}
_ENTRY_WORDS = {Entry.RATE: "Rate, target and hold", Entry.TIME: "Target and time"}


class SegmentsPanel(QTabWidget):
    """Three leaves: the segments, the lines to key in, the warnings."""

    _built = False

    def __init__(
        self, units: UnitChoice, zone: tzinfo | None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._units = units
        self._zone = zone
        self._plan: Plan | None = None
        self._columns_for: UnitChoice | None = None
        self._controller = Controller()
        self.setDocumentMode(True)
        self.table = DataTable([], name="Segments of the curve")
        self.table.verticalHeader().setDefaultSectionSize(27)
        self.table.setStyleSheet(COMPACT)
        self.why = Label(wrap=True)
        self.why.setContentsMargins(4, 2, 4, 0)
        segments = QWidget()
        column = QVBoxLayout(segments)
        column.setContentsMargins(0, 6, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.table, 1)
        column.addWidget(self.why)
        self.program = _ProgramLeaf()
        self.warnings = _WarningsLeaf()
        self.addTab(segments, "Segments")
        self.addTab(self.program, "To key in")
        self.addTab(self.warnings, "Warnings")
        self.table.row_selected.connect(self._show_why)
        self._built = True

    def show_plan(self, plan: Plan, controller: Controller) -> None:
        """Show a plan for a controller."""
        place = self._place()
        self._plan, self._controller = plan, controller
        if self._columns_for != self._units:
            self._columns_for = self._units
            self.table.set_columns(self._columns())
        self.table.set_rows(plan.segments)
        if plan.segments:
            self.table.selectRow(place if 0 <= place < len(plan.segments) else 0)
        self._show_why()
        self.program.show_plan(plan, controller)
        self.warnings.show_warnings(plan.warnings)
        count = len(plan.warnings)
        self._title_warnings(f"Warnings ({count})" if count else "Warnings")
        self._tint()

    def select(self, segment: Segment | None) -> None:
        """Choose a segment, such as the one that runs now."""
        if segment is not None:
            self.table.select(segment)

    def clear(self) -> None:
        """Show nothing: there is no plan."""
        self._plan = None
        self.table.set_rows(())
        self.why.clear()
        self.program.clear()
        self.warnings.show_warnings(())
        self._title_warnings("Warnings")
        self._tint()

    def set_units(self, units: UnitChoice) -> None:
        """Show temperatures in other units."""
        self._units = units
        if self._plan is not None:
            self.show_plan(self._plan, self._controller)

    def _place(self) -> int:
        chosen = self.table.selectionModel().selectedRows()
        return chosen[0].row() if chosen else -1

    def _show_why(self, _row: object = None) -> None:
        segment = self.table.selected_row()
        self.why.setText("" if segment is None else local_sentence(segment.reason))

    def _columns(self) -> list[Column]:
        degree = self._units.temperature.symbol

        def clock(moment: datetime) -> str:
            return NOTHING if self._plan is None else night_clock(moment, self._plan, self._zone)

        def number(quantity: Quantity, value: float, decimals: int) -> str:
            return format_quantity(quantity, value, self._units, decimals=decimals, with_unit=False)

        def rate(segment: Segment) -> str:
            if segment.kind is SegmentKind.COAST or not segment.ramp_time:
                return NOTHING
            text = number(Quantity.RATE, segment.rate, 1).replace("-", "−")
            return text.removesuffix(".0").removesuffix(",0")

        def hold(segment: Segment) -> str:
            return number(Quantity.DURATION, segment.hold_time, 0) if segment.hold_time else NOTHING

        return [
            Column("Segment", lambda s: KIND_WORDS[s.kind], tip=lambda s: local_sentence(s.reason)),
            Column(f"{degree}/h", rate, numeric=True),
            Column(
                f"To {degree}", lambda s: number(Quantity.TEMPERATURE, s.target, 0), numeric=True
            ),
            Column("Hold", hold, numeric=True),
            Column("From", lambda s: clock(s.start), numeric=True, gives_way=2),
            Column("Until", lambda s: clock(s.end), numeric=True),
            Column(
                "Takes",
                lambda s: number(Quantity.DURATION, s.duration, 0),
                numeric=True,
                gives_way=3,
            ),
            Column(
                "Set by",
                lambda s: s.governing_piece or "the lehr",
                stretch=True,
                gives_way=1,  # the line below says it
                tip=lambda s: local_sentence(s.reason),
            ),
        ]

    def _title_warnings(self, title: str) -> None:
        self.setTabText(self.indexOf(self.warnings), title)

    def _tint(self) -> None:
        theme = theme_of(self)
        has_warnings = self._plan is not None and bool(self._plan.warnings)
        icon = themed_icon("caution", theme, theme.caution)
        place = self.indexOf(self.warnings)
        self.setTabIcon(place, icon if has_warnings else themed_icon("good", theme, theme.good))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()


class _ProgramLeaf(QWidget):
    """The lines to key into the controller, in its own way of entry or the other."""

    def __init__(self) -> None:
        super().__init__()
        self._plan: Plan | None = None
        self._controller = Controller()
        self._ways = QButtonGroup(self)
        self.ways: dict[Entry, QRadioButton] = {}
        row = QHBoxLayout()
        row.setSpacing(16)
        for entry, words in _ENTRY_WORDS.items():
            button = QRadioButton(words)
            self.ways[entry] = button
            self._ways.addButton(button)
            row.addWidget(button)
            button.clicked.connect(self._show)
        row.addStretch(1)
        self.note = Label(role="small", wrap=True)
        self.lines = Label()
        self.lines.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.lines.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.lines.setStyleSheet("font-size: 14pt; line-height: 130%;")
        self.lines.setAccessibleName("Lines to key into the controller")
        holder = QWidget()
        inside = QVBoxLayout(holder)
        inside.setContentsMargins(4, 0, 4, 0)
        inside.addWidget(self.lines)
        inside.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(4)
        column.addLayout(row)
        column.addWidget(self.note)
        column.addWidget(scrolling(holder), 1)

    def show_plan(self, plan: Plan, controller: Controller) -> None:
        if self._plan is None or controller.entry is not self._controller.entry:
            self.ways[controller.entry].setChecked(True)
        self._plan, self._controller = plan, controller
        self._show()

    def clear(self) -> None:
        self._plan = None
        self.lines.clear()
        self.note.clear()

    def _show(self) -> None:
        if self._plan is None:
            return
        entry = next(entry for entry, button in self.ways.items() if button.isChecked())
        controller = replace(self._controller, entry=entry)
        lines = program_in_words(self._plan, controller)
        last = []
        if self._plan.segments[-1].kind is SegmentKind.COAST:
            last = ["Then power off, door shut."]
        self.lines.setText(local_sentence("\n".join([*lines, *last])))
        own = entry is self._controller.entry
        words = f"This is how “{self._plan.lehr_name}” takes it." if own else (
            f"“{self._plan.lehr_name}” takes {_ENTRY_WORDS[self._controller.entry].lower()}; "
            "this is the same night the other way."
        )  # fmt: skip
        if len(lines) > self._controller.max_segments:
            words += (
                f" {len(lines)} lines are more than its controller's "
                f"{self._controller.max_segments} segments."
            )
        self.note.setText(words)


class _WarningsLeaf(QScrollArea):
    """The warnings as a list, each with its sign."""

    _built = False

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.texts: tuple[str, ...] = ()
        self._shown = False
        self._signs: list[Label] = []
        self._built = True
        self.show_warnings(())

    def show_warnings(self, texts: tuple[str, ...]) -> None:
        if texts == self.texts and self._shown:
            return
        self.texts, self._shown = texts, True
        page = QWidget()
        page.setObjectName("page")
        column = QVBoxLayout(page)
        column.setContentsMargins(4, 10, 8, 4)
        column.setSpacing(10)
        self._signs = []
        for text in texts:
            sign, words = Label(), Label(text)
            words.setWordWrap(True)
            words.setTextFormat(Qt.TextFormat.PlainText)
            row = QHBoxLayout()
            row.setSpacing(10)
            row.addWidget(sign, 0, Qt.AlignmentFlag.AlignTop)
            row.addWidget(words, 1)
            column.addLayout(row)
            self._signs.append(sign)
        if not texts:
            nothing = Label(
                "Nothing to warn of beyond the standing caution below.", role="muted", wrap=True
            )
            column.addWidget(nothing)
        column.addStretch(1)
        self.setWidget(page)
        self._tint()

    def _tint(self) -> None:
        theme = theme_of(self)
        picture = icon_pixmap("caution", theme.caution, 20, self.devicePixelRatioF())
        for sign in self._signs:
            sign.setPixmap(picture)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
