"""Setting right how a logger's file is read, where the guess is wrong."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.logbook.form_grid import FormGrid
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Field
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.run.log_file import LogImport
from core.run.log_format import Corrections, LapseUnit, LogUnit
from core.run.log_times import DateOrder

_BETWEEN = [("Tabs", "\t"), ("Semicolons", ";"), ("Commas", ","), ("Blanks", " ")]
_MARKS = [("A point", "."), ("A comma", ",")]
_ENCODINGS = [
    ("UTF-8", "utf-8-sig"),
    ("UTF-16", "utf-16"),
    ("Windows, western", "cp1252"),
    ("ISO 8859-1", "latin-1"),
]
_AS_FOUND = "As found"
_SHOWN = 24
"""Letters of a column's first cells beside its name."""


class CorrectionsForm(FormGrid):
    """What was found, and what a person sets right; everything left alone is found anew.

    Signals
    -------
    corrected()
        Something was set right.
    """

    corrected = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._filling = False
        self.column = ChoiceBox()
        self.unit = _with_found([(unit.symbol, unit) for unit in LogUnit])
        self.between = _with_found(_BETWEEN)
        self.mark = _with_found(_MARKS)
        self.order = _with_found([(order.value, order) for order in DateOrder])
        self.lapse = _with_found([(unit.value, unit) for unit in LapseUnit])
        self.encoding = _with_found(_ENCODINGS)
        self.header = QuantityEdit(Quantity.COUNT, minimum=0, maximum=500, optional=True)
        for label, box, wide in (
            ("Temperature in colu&mn", self.column, True),
            ("&Degrees", self.unit, False),
            ("Dates &written", self.order, False),
            ("Columns kept &apart by", self.between, False),
            ("Decimals mar&ked by", self.mark, False),
            ("Lines before the &readings", self.header, False),
            ("Hours counted &in", self.lapse, False),
            ("&Letters coded as", self.encoding, False),
        ):
            self.add(Field(label, box), wide=wide)
            if isinstance(box, ChoiceBox):
                box.setMinimumWidth(90)
                box.chosen.connect(self._on_changed)
        self.header.edited.connect(self._on_changed)
        self.finish()

    def show_log(self, log: LogImport) -> None:
        """Offer the file's columns; what was set right before stays so."""
        self._filling = True
        chosen = self.column.value
        found = log.format.column_name(log.format.temperature_column)
        self.column.set_choices(
            [
                (f"{_AS_FOUND}: {found}", None),
                *((_named(one.name, one.preview), one.column) for one in log.columns),
            ]
        )
        self.column.set_value(chosen)
        self._filling = False

    def clear(self) -> None:
        """Set nothing right."""
        self._filling = True
        for box in (self.column, self.unit, self.between, self.mark):
            box.set_value(None)
        for box in (self.order, self.lapse, self.encoding):
            box.set_value(None)
        self.header.set_value_si(None)
        self._filling = False

    @property
    def corrections(self) -> Corrections:
        """What was set right."""
        header = self.header.value_si
        return Corrections(
            encoding=self.encoding.value,  # type: ignore[arg-type]
            delimiter=self.between.value,  # type: ignore[arg-type]
            decimal_mark=self.mark.value,  # type: ignore[arg-type]
            header_lines=None if header is None else round(header),
            date_order=self.order.value,  # type: ignore[arg-type]
            lapse_unit=self.lapse.value,  # type: ignore[arg-type]
            temperature_column=self.column.value,  # type: ignore[arg-type]
            unit=self.unit.value,  # type: ignore[arg-type]
        )

    def _on_changed(self, _value: object = None) -> None:
        if not self._filling and not self.header.error:
            self.corrected.emit()


def _with_found(choices: list[tuple[str, object]]) -> ChoiceBox:
    return ChoiceBox([(_AS_FOUND, None), *choices])


def _named(name: str, preview: tuple[str, ...]) -> str:
    cells = ", ".join(cell.strip() for cell in preview)
    return f"{name} ({cells[:_SHOWN]}{'…' if len(cells) > _SHOWN else ''})" if cells else name
