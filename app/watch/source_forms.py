"""What has to be known of each kind of source: a file, a device on the network, a serial line."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Form
from app.widgets.label import Label
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.errors import RunError
from core.live.open_source import (
    INTERVAL,
    TIMEOUT,
    file_settings,
    line_of,
    register_of,
    register_settings,
)
from core.live.register import Coding, NetworkLine, Register, SerialLine, Table, WordOrder
from core.run.live_source import LiveSource, Setting, SourceKind
from core.units import TemperatureUnit

_CODINGS = [
    ("16 bits, signed", Coding.INT16),
    ("16 bits, unsigned", Coding.UINT16),
    ("32 bits, signed", Coding.INT32),
    ("32 bits, unsigned", Coding.UINT32),
    ("32 bits, floating point", Coding.FLOAT32),
]


def _whole(value: int, low: int, high: int) -> QuantityEdit:
    return QuantityEdit(Quantity.COUNT, minimum=low, maximum=high, value=value)


class FileForm(QWidget):
    """A logger's file that grows."""

    kind = SourceKind.FILE

    def __init__(self) -> None:
        super().__init__()
        self.path = QLineEdit()
        self.browse = QPushButton("&Choose…")
        self.browse.clicked.connect(self._choose)
        self.form = Form(columns=1)
        self.form.add(
            "path",
            "&File the logger writes",
            self.path,
            help_text="It is only read; import it once if its columns have to be explained",
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.form)
        row = QHBoxLayout()
        row.addWidget(self.browse)
        row.addStretch(1)
        column.addLayout(row)
        column.addStretch(1)

    def _choose(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, "The file the logger writes", self.path.text(), "All files (*)"
        )
        if name:
            self.path.setText(name)

    def show_source(self, source: LiveSource) -> None:
        """Show a source of this kind."""
        self.path.setText(str(source.settings.get("path", "")))

    def settings(self) -> dict[str, Setting]:
        """What was entered; raises RunError."""
        path = self.path.text().strip()
        if not path:
            raise RunError("No file was chosen.", field="path", remedy="Choose it.")
        return file_settings(Path(path))


class RegisterForm(QWidget):
    """A register of a controller, on the network or on a serial line (Modbus, an open standard)."""

    def __init__(self, kind: SourceKind) -> None:
        super().__init__()
        self.kind = kind
        self.form = Form(columns=3)
        self.host, self.serial_port = QLineEdit(), QLineEdit()
        self.port = _whole(502, 1, 65535)
        self.baud = ChoiceBox([(str(b), b) for b in (9600, 19200, 38400, 57600, 115200, 4800)])
        self.parity = ChoiceBox([("even", "E"), ("none", "N"), ("odd", "O")])
        self.stop_bits = ChoiceBox([("1", 1), ("2", 2)])
        if kind is SourceKind.MODBUS_TCP:
            self.form.add("host", "&Address of the device", self.host, span=2)
            self.form.add("port", "&Port", self.port)
        else:
            self.serial_port.setPlaceholderText("COM3, /dev/ttyUSB0")
            self.form.add("port", "Serial &port", self.serial_port)
            self.form.add("baud", "&Baud", self.baud)
            self.form.add("parity", "P&arity", self.parity)
            self.form.add("stop_bits", "St&op bits", self.stop_bits)
        self.unit = _whole(1, 0, 255)
        self.address = _whole(0, 0, 65535)
        self.table = ChoiceBox(
            [("holding (code 3)", Table.HOLDING), ("input (code 4)", Table.INPUT)]
        )
        self.coding = ChoiceBox(_CODINGS)
        self.word_order = ChoiceBox(
            [("high word first", WordOrder.HIGH_FIRST), ("low word first", WordOrder.LOW_FIRST)]
        )
        self.scale = QuantityEdit(Quantity.PLAIN, value=1.0)
        self.offset = QuantityEdit(Quantity.PLAIN, value=0.0)
        self.degrees = ChoiceBox(
            [("°C", TemperatureUnit.CELSIUS), ("°F", TemperatureUnit.FAHRENHEIT)]
        )
        self.interval = QuantityEdit(Quantity.COUNT, minimum=1, maximum=3600, value=INTERVAL)
        self.form.add("unit", "&Number of the device", self.unit)
        self.form.add(
            "address", "&Register", self.address, help_text="Counted from 0: 40001 in a list is 0"
        )
        self.form.add("table", "&Kind of register", self.table)
        self.form.add("coding", "&Coding", self.coding)
        self.form.add("word_order", "&Of two registers", self.word_order)
        self.form.add("scale", "&Times", self.scale, help_text="0.1 where it sends tenths")
        self.form.add("offset", "P&lus", self.offset)
        self.form.add("temperature_unit", "The device sends", self.degrees)
        self.form.add("interval", "Ask e&very, seconds", self.interval)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.form)
        column.addWidget(
            Label(
                "The device's manual lists its registers. Only reading is built in (function "
                "codes 3 and 4); wiring to a controller is for somebody licensed to open it.",
                role="small",
                wrap=True,
            )
        )
        column.addStretch(1)

    def show_source(self, source: LiveSource) -> None:
        """Show a source of this kind."""
        line, register = line_of(source), register_of(source)
        if isinstance(line, NetworkLine):
            self.host.setText(line.host)
            self.port.set_value_si(float(line.port))
        else:
            self.serial_port.setText(line.port)
            for box, value in (
                (self.baud, line.baud),
                (self.parity, line.parity),
                (self.stop_bits, line.stop_bits),
            ):
                box.set_value(value)
        self.unit.set_value_si(float(register.unit))
        self.address.set_value_si(float(register.address))
        self.table.set_value(register.table)
        self.coding.set_value(register.coding)
        self.word_order.set_value(register.word_order)
        self.scale.set_value_si(register.scale)
        self.offset.set_value_si(register.offset)
        self.degrees.set_value(register.temperature_unit)
        interval = source.settings.get("interval", INTERVAL)
        self.interval.set_value_si(float(interval or INTERVAL))

    def settings(self) -> dict[str, Setting]:
        """What was entered; raises LehrkeeperError."""
        line = (
            NetworkLine(self.host.text().strip(), round(self.port.require()))
            if self.kind is SourceKind.MODBUS_TCP
            else SerialLine(
                self.serial_port.text().strip(),
                int(str(self.baud.value)),
                str(self.parity.value),
                int(str(self.stop_bits.value)),
            )
        )
        register = Register(
            address=round(self.address.require()),
            unit=round(self.unit.require()),
            table=Table(str(self.table.value)),
            coding=Coding(str(self.coding.value)),
            word_order=WordOrder(str(self.word_order.value)),
            scale=self.scale.require(),
            offset=self.offset.require(),
            temperature_unit=TemperatureUnit(str(self.degrees.value)),
        )
        return register_settings(line, register, interval=self.interval.require(), timeout=TIMEOUT)
