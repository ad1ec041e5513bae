"""A source of readings set up, tried and kept."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.studio import Studio
from app.theme import set_role
from app.watch.source_forms import FileForm, RegisterForm
from app.widgets.banner import Banner, Weight
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Form
from app.widgets.quantity import Quantity, format_quantity
from core.errors import LehrkeeperError, RunError
from core.live.events import LiveReading, SignalKind
from core.live.open_source import open_source
from core.live.steady_clock import SteadyClock
from core.run.live_source import LiveSource, SourceKind
from core.run.log_format import LogFormat

_KINDS = (
    ("File that a logger writes", SourceKind.FILE),
    ("Controller on the network (Modbus TCP)", SourceKind.MODBUS_TCP),
    ("Controller on a serial line (Modbus RTU)", SourceKind.MODBUS_SERIAL),
)
_KIND = "try source"
_PATIENCE = 8.0
"""Seconds a source has to tell a first temperature when it is tried."""
_MOMENT = 0.05


def try_source(
    source: LiveSource,
    log_format: LogFormat | None,
    cancelled: Callable[[], bool],
) -> LiveReading:
    """Read a source until it tells a temperature; RunError says why it does not."""
    clock = SteadyClock()
    opened = open_source(source, log_format=log_format, start=clock.now())
    end = time.monotonic() + _PATIENCE
    last: LiveReading | None = None
    why = ""
    try:
        while time.monotonic() < end and not cancelled():
            poll = opened.poll(clock)
            if poll.readings:
                last = poll.readings[-1]
            elif last is not None:
                break
            if poll.signal.kind in {SignalKind.BROKEN, SignalKind.SILENT}:
                why = poll.signal.sentence
            again = min(end, time.monotonic() + opened.wait) if last is None else 0.0
            while time.monotonic() < again and not cancelled():
                time.sleep(_MOMENT)
    finally:
        opened.close()
    if last is None:
        raise RunError(
            why or f"No temperature came in {_PATIENCE:.0f} s.",
            remedy="Check the address, the register and the cable; or wait for the logger.",
        )
    return last


class SourceDialog(QDialog):
    """Ask for a source; ``source`` is what was kept, or None.

    Only reading is ever done.
    """

    def __init__(
        self,
        studio: Studio,
        lehr: str,
        before: LiveSource | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Source of readings – Lehrkeeper")
        self._studio = studio
        self._lehr = lehr
        self._before = before
        self.source: LiveSource | None = None
        self.banner = Banner()
        self.name = QLineEdit(before.name if before is not None else self._free_name())
        self.kinds = ChoiceBox(_KINDS)
        self.head = Form(columns=2)
        self.head.add("name", "&Name", self.name)
        self.head.add("kind", "&Where the readings come from", self.kinds)
        self.forms: tuple[FileForm | RegisterForm, ...] = (
            FileForm(),
            RegisterForm(SourceKind.MODBUS_TCP),
            RegisterForm(SourceKind.MODBUS_SERIAL),
        )
        self.stack = QStackedWidget()
        for form in self.forms:
            self.stack.addWidget(form)
        self.attempt = QPushButton("T&ry it")
        self.keep = QPushButton("&Keep")
        set_role(self.keep, "primary")
        self.forget = QPushButton("For&get it")
        self.leave = QPushButton("Cancel")
        self._lay_out()
        self.kinds.chosen.connect(lambda _: self._show_kind())
        self.attempt.clicked.connect(self._try)
        self.keep.clicked.connect(self._keep)
        self.forget.clicked.connect(self._forget)
        self.leave.clicked.connect(self.reject)
        if before is not None:
            self.kinds.set_value(before.kind)
            self._show_before(before)
        self._show_kind()
        self.resize(660, 640)

    def _names(self) -> frozenset[str]:
        """Names of the sources there are, of all lehrs."""
        return frozenset(record.source.name for record in self._studio.book.live_sources())

    def _free_name(self) -> str:
        usual = f"{self._lehr}, controller"
        try:
            names = self._names()
        except LehrkeeperError:
            return usual
        later = (f"{usual} {number}" for number in range(2, len(names) + 3))
        return next(name for name in (usual, *later) if name not in names)

    def _lay_out(self) -> None:
        foot = QHBoxLayout()
        foot.setSpacing(8)
        foot.addWidget(self.attempt)
        foot.addWidget(self.forget)
        foot.addStretch(1)
        foot.addWidget(self.leave)
        foot.addWidget(self.keep)
        self.forget.setVisible(self._before is not None)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 18, 20, 16)
        column.setSpacing(10)
        column.addWidget(self.banner)
        column.addWidget(self.head)
        column.addWidget(self.stack, 1)
        column.addLayout(foot)

    def _show_before(self, before: LiveSource) -> None:
        try:
            self._form(before.kind).show_source(before)
        except LehrkeeperError as error:
            self.banner.tell_error(error)

    def _form(self, kind: object) -> FileForm | RegisterForm:
        return next(form for form in self.forms if form.kind is kind)

    @property
    def form(self) -> FileForm | RegisterForm:
        """The form in sight."""
        return self._form(self.kinds.value)

    def _show_kind(self) -> None:
        self.stack.setCurrentWidget(self.form)

    def _asked(self) -> LiveSource | None:
        """What was entered; what is wrong is told beside its box."""
        for form in (self.head, self.form.form):
            form.clear_errors()
        try:
            return LiveSource(
                self.name.text().strip(), self._lehr, self.form.kind, self.form.settings()
            )
        except LehrkeeperError as error:
            if not (self.head.show_error(error) or self.form.form.show_error(error)):
                self.banner.tell_error(error)
            return None

    def _try(self) -> None:
        source = self._asked()
        if source is None:
            return
        self.banner.tell(Weight.INFORMATION, "Reading…")
        self.attempt.setEnabled(False)
        try:
            known = self._studio.book.log_format_for(
                Path(str(source.settings.get("path", "none"))).name
            )
        except LehrkeeperError as error:
            self._tell_failed(error)
            return
        self._studio.jobs.submit(
            try_source,
            source,
            None if known is None else known.format,
            on_done=self._tell_read,
            on_failed=self._tell_failed,
            kind=_KIND,
            owner=self,
        )

    def _tell_read(self, reading: LiveReading) -> None:
        self.attempt.setEnabled(True)
        shown = format_quantity(Quantity.TEMPERATURE, reading.temperature, self._studio.units)
        self.banner.tell(
            Weight.GOOD,
            f"It reads {shown}. Compare it with the controller's own display before you rely on "
            "it.",
        )

    def _tell_failed(self, error: LehrkeeperError) -> None:
        self.attempt.setEnabled(True)
        self.banner.tell_error(error)

    def _keep(self) -> None:
        source = self._asked()
        if source is None:
            return
        try:
            if self._before is None and source.name in self._names():
                raise RunError(
                    f"There is another source called “{source.name}”.",
                    field="name",
                    remedy="Choose another name.",
                )
            self._studio.book.save_live_source(
                source, renamed_from=None if self._before is None else self._before.name
            )
        except LehrkeeperError as error:
            if not self.head.show_error(error):
                self.banner.tell_error(error)
            return
        self.source = source
        self.accept()

    def done(self, result: int) -> None:
        """Let go of a source that is still being tried."""
        self._studio.jobs.cancel(_KIND)
        super().done(result)

    def _forget(self) -> None:
        if self._before is None:
            return
        try:
            self._studio.book.delete_live_source(self._before.name)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self.accept()
