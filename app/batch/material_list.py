"""The list of raw materials at the left of their tab."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QMenu,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.theme import set_role, theme_of, themed_icon
from app.widgets.choice_box import ChoiceBox
from app.widgets.label import Label
from app.widgets.quantity import NOTHING, Quantity, format_quantity, number_text
from app.widgets.tables import Column, DataTable
from core.batch.material import Material
from core.units import UnitChoice


class ShelfList(QFrame):
    """Materials with stock and price, the currency, and buttons to add more.

    Signals
    -------
    chosen(str)
        Name of what a person chose.
    new_wanted()
    shipped_wanted()
        The materials of the shipped list that are not there shall be added.
    read_wanted(), write_wanted()
        A list in a file shall be read, or this one written.
    move_wanted(int)
        The material chosen shall move so many places down.
    currency_changed(str)
    """

    chosen = Signal(str)
    new_wanted = Signal()
    shipped_wanted = Signal()
    read_wanted = Signal()
    write_wanted = Signal()
    move_wanted = Signal(int)
    currency_changed = Signal(str)
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        set_role(self, "card")
        self._units = units
        self._marking = False
        self.table = DataTable(self._columns(), name="Materials")
        self.add = QPushButton("Add a material")
        self.more = QPushButton("More")
        set_role(self.more, "quiet")
        self.menu = menu = QMenu(self.more)
        menu.setToolTipsVisible(True)
        self.shipped = menu.addAction("Add the pure compounds")
        self.shipped.setToolTip("Every material of the shipped list that is not in yours yet")
        self.read = menu.addAction("Read a list from a file…")
        self.write = menu.addAction("Write this list to a file…")
        menu.addSeparator()
        self.up = menu.addAction("Move it up the list")
        self.down = menu.addAction("Move it down the list")
        for action in (self.up, self.down):
            action.setToolTip("Of materials that can stand for one another, the first is taken")
        self.more.setMenu(menu)
        self.currency = QLineEdit()
        self.currency.setPlaceholderText("EUR")
        self.currency.setMaxLength(8)
        self.currency.setFixedWidth(84)
        self.currency.setAccessibleName("Currency of the prices")
        said = Label("Prices in")
        said.setBuddy(self.currency)
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(said)
        row.addWidget(self.currency)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 10)
        column.setSpacing(8)
        column.addWidget(self.table, 1)
        column.addLayout(row)
        column.addWidget(self.add)
        column.addWidget(self.more)
        self.table.row_selected.connect(self._on_row)
        self.add.clicked.connect(self.new_wanted)
        self.shipped.triggered.connect(lambda _=False: self.shipped_wanted.emit())
        self.read.triggered.connect(lambda _=False: self.read_wanted.emit())
        self.write.triggered.connect(lambda _=False: self.write_wanted.emit())
        self.up.triggered.connect(lambda _=False: self.move_wanted.emit(-1))
        self.down.triggered.connect(lambda _=False: self.move_wanted.emit(1))
        self.currency.editingFinished.connect(
            lambda: self.currency_changed.emit(self.currency.text().strip())
        )
        self._built = True
        self._tint()

    def show_materials(self, materials: Sequence[Material], currency: str) -> None:
        """List these materials; nothing is chosen afterwards until :meth:`mark`."""
        self._marking = True
        self.table.clearSelection()
        self.table.set_rows(materials)
        self._marking = False
        if not self.currency.hasFocus():
            self.currency.setText(currency)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the materials listed."""
        return tuple(material.name for material in self.table.rows_model.rows)

    def mark(self, name: str) -> None:
        """Show that material as chosen (none, if it is not listed), without a signal."""
        self._marking = True
        rows = [row for row in self.table.rows_model.rows if row.name == name]
        if rows:
            self.table.select(rows[0])
        else:
            self.table.clearSelection()
        self._marking = False

    def set_units(self, units: UnitChoice) -> None:
        """Show stocks in other units."""
        self._units = units
        self.table.set_columns(self._columns())

    def _columns(self) -> list[Column]:
        def stock(material: Material) -> str:
            return format_quantity(Quantity.MASS, material.stock, self._units)

        def price(material: Material) -> str:
            return NOTHING if material.price is None else number_text(material.price, 2)

        return [
            Column("Material", lambda m: m.name, stretch=True),
            Column("Stock", stock, numeric=True),
            Column("Price", price, numeric=True, gives_way=1, tip=lambda _: "Per kg"),
        ]

    def _on_row(self, material: object) -> None:
        if isinstance(material, Material) and not self._marking:
            self.chosen.emit(material.name)

    def _tint(self) -> None:
        self.add.setIcon(themed_icon("add", theme_of(self)))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()


class ShelfPicker(QWidget):
    """The same choice in one line, for narrow windows.

    Signals
    -------
    chosen(str)
    new_wanted()
    """

    chosen = Signal(str)
    new_wanted = Signal()

    def __init__(self, more: QMenu, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._filling = False
        self.box = ChoiceBox()
        self.box.setAccessibleName("Material")
        self.add = QPushButton("Add a material")
        self.more = QPushButton("More")
        self.more.setMenu(more)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(10)
        row.addWidget(self.box, 1)
        row.addWidget(self.add)
        row.addWidget(self.more)
        self.box.chosen.connect(self._on_chosen)
        self.add.clicked.connect(self.new_wanted)

    def show_names(self, names: Sequence[str], shown: str) -> None:
        """List these names and mark the one shown, without a signal."""
        pairs: list[tuple[str, object]] = [(name, name) for name in names]
        if shown not in names:
            pairs.insert(0, ("a new material", ""))
        self._filling = True
        self.box.set_choices(pairs)
        self.box.set_value(shown)
        self._filling = False

    def _on_chosen(self, name: object) -> None:
        if name and not self._filling:
            self.chosen.emit(str(name))
