"""Everything that is entered of a glass: name, analysis, measured points, where from."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QLineEdit, QScrollArea, QVBoxLayout, QWidget

from app.glass.analysis_edit import AnalysisEdit
from app.glass.measured_form import MeasuredForm
from app.widgets.card import card
from app.widgets.field import Form
from app.widgets.label import Label
from core.errors import GlassError, LehrkeeperError
from core.glass.glass import Glass, MeasuredPoints
from core.units import UnitChoice

UNNAMED = "this glass"


class GlassForm(QScrollArea):
    """The form at the middle of the page.

    Signals
    -------
    changed()
        A person changed something.
    """

    changed = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.name = QLineEdit()
        self.note = QLineEdit()
        self.source = QLineEdit()
        self.head = Form(columns=1)
        self.head.add("name", "&Name", self.name)
        self.analysis = AnalysisEdit()
        self.measured = MeasuredForm(units)
        self.about = Form(columns=1)
        self.about.add("source", "Where the analysis is from", self.source)
        self.about.add("note", "Note", self.note)
        inside = QWidget()
        inside.setObjectName("page")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 10, 4)
        column.setSpacing(12)
        column.addWidget(card(None, self.head, self.analysis))
        column.addWidget(
            card(
                "Measured points",
                _told(
                    "From the supplier's sheet or your own trial. They move the computed curve and "
                    "narrow what is not sure of it."
                ),
                self.measured,
            )
        )
        column.addWidget(card(None, self.about))
        column.addStretch(1)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(inside)
        for edit in (self.name, self.note, self.source):
            edit.textEdited.connect(self.changed)
        self.analysis.changed.connect(self.changed)
        self.measured.changed.connect(self.changed)

    def show_glass(self, glass: Glass | None, *, name: str | None = None) -> None:
        """Show a glass (an empty form for ``None``), without a signal.

        Parameters
        ----------
        glass : Glass or None
        name : str, optional
            Name to show instead of the glass's own.
        """
        blocked = QSignalBlocker(self)
        shown = name if name is not None else glass.name if glass is not None else ""
        self.head.clear_errors()
        self.about.clear_errors()
        self.name.setText(shown)
        self.analysis.show_composition(glass.composition if glass is not None else None)
        self.measured.show_points(glass.measured if glass is not None else MeasuredPoints())
        self.note.setText(glass.note if glass is not None else "")
        self.source.setText(glass.source if glass is not None else "")
        for edit in (self.name, self.note, self.source):
            edit.setCursorPosition(0)
        self.verticalScrollBar().setValue(0)
        blocked.unblock()

    def glass(self) -> Glass:
        """The glass as entered, for saving.

        Raises
        ------
        LehrkeeperError
            ``field`` names the input at fault.
        """
        if self.analysis.problem is not None:
            raise GlassError(
                self.analysis.problem.message,
                field="composition",
                place=self.analysis.problem.place,
                remedy=self.analysis.problem.remedy,
            )
        return self._made(self.name.text().strip(), self.measured.points())

    def readable_glass(self) -> Glass | None:
        """The glass to reckon with while it is being typed; ``None`` if there is too little.

        Raises
        ------
        GlassError
            If what was entered is not enough for any glass.
        """
        measured = self.measured.readable_points()
        if self.analysis.problem is not None or measured is None or self.is_empty:
            return None
        return self._made(self.name.text().strip() or UNNAMED, measured)

    @property
    def is_empty(self) -> bool:
        """True when neither an analysis nor a measured value stands in the form."""
        values = (self.measured.edit(name).text().strip() for name in self.measured.names)
        return not (self.analysis.entered[0] or any(values) or self.measured.trials.trials)

    def _made(self, name: str, measured: MeasuredPoints) -> Glass:
        return Glass(
            name=name,
            composition=self.analysis.composition,
            measured=measured,
            note=self.note.text().strip(),
            source=self.source.text().strip(),
        )

    def tell(self, error: LehrkeeperError, *, go_there: bool) -> bool:
        """Show an error beside the input it names; False when it names none.

        Parameters
        ----------
        error : LehrkeeperError
        go_there : bool
            Put the cursor there, as after pressing Save; never while somebody types.
        """
        field = error.field or ""
        if self.measured.tell(error):
            place: QWidget = self.measured.edit(field)
        elif field in self.head.fields:
            self.head.field(field).set_error(str(error))
            place = self.name
        elif field == "composition":
            self.analysis.text_field.set_error(str(error))
            place = self.analysis.text
        else:
            return False
        if go_there:
            place.setFocus(Qt.FocusReason.OtherFocusReason)
            self.ensureWidgetVisible(place)
        return True

    def clear_told(self) -> None:
        """Forget what the core found wrong with an earlier state of the form."""
        self.measured.clear_told()
        if self.analysis.problem is None:
            self.analysis.text_field.clear_error()

    def set_read_only(self, *, read_only: bool) -> None:
        """Only show the glass."""
        for edit in (self.name, self.note, self.source):
            edit.setReadOnly(read_only)
        self.analysis.set_read_only(read_only=read_only)
        self.measured.set_read_only(read_only=read_only)

    def set_units(self, units: UnitChoice) -> None:
        """Show and take numbers in other units."""
        self.measured.set_units(units)


def _told(text: str) -> Label:
    return Label(text, role="muted", wrap=True)
