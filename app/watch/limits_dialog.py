"""What the watch calls wrong, when it is quiet, and whether it sounds."""

from __future__ import annotations

from dataclasses import replace
from datetime import time

from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QDialog,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.studio import Studio
from app.theme import set_role
from app.watch.kept_settings import keep_sound_wanted, keep_watch_settings, sound_wanted
from app.widgets.banner import Banner
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Form
from app.widgets.label import Label
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.errors import LehrkeeperError
from core.live.watch_types import QuietHours, WatchSettings

_HOURS = [(f"{hour:02d}:00", time(hour)) for hour in range(24)]


class LimitsDialog(QDialog):
    """Ask for the limits of the watch; they hold for every run."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Limits of the watch – Lehrkeeper")
        self._studio = studio
        limits = studio.watch.limits
        units = studio.units
        self.banner = Banner()
        self.form = Form(columns=2)
        self.edits: dict[str, QuantityEdit] = {}
        for name, words, quantity, help_text in (
            ("too_hot", "Too &hot above the plan by", Quantity.INTERVAL, ""),
            ("too_cold", "Too &cold below the plan by", Quantity.INTERVAL, ""),
            (
                "coast_band",
                "Band while the power is &off",
                Quantity.INTERVAL,
                "That part of the plan is an estimate",
            ),
            ("rate_factor", "&Rate over the planned, times", Quantity.PLAIN, ""),
            ("stale_after", "No reading for &longer than", Quantity.MINUTES, ""),
            ("flat_after", "&Standing still for longer than", Quantity.MINUTES, ""),
            ("hold_before", "&Wait before an alarm", Quantity.MINUTES, ""),
            ("time_slack", "&Early or late by up to", Quantity.MINUTES, "Is no fault"),
        ):
            edit = QuantityEdit(quantity, units=units, value=getattr(limits, name))
            self.edits[name] = edit
            self.form.add(name, words, edit, help_text=help_text)
        self.begin = ChoiceBox([("never quiet", None), *_HOURS])
        self.end = ChoiceBox(_HOURS)
        self.form.add(
            "quiet", "&Quiet from", self.begin, help_text="Alarms are listed all the same"
        )
        self.form.add("quiet_end", "&until", self.end)
        self.begin.set_value(None if limits.quiet is None else limits.quiet.begin)
        self.end.set_value(time(7) if limits.quiet is None else limits.quiet.end)
        self.sound = QCheckBox("&Alarms sound with the computer's own warning sound")
        self.sound.setChecked(sound_wanted(studio.settings))
        self.test = QPushButton("Sound &it")
        self.caution = Label(
            "A watch that reads along is no over-temperature protection: that is a device of its "
            "own in the lehr's wiring, fitted by a licensed electrician or gas fitter under your "
            "local codes. Sound reaches nobody when the computer is off, asleep or muted.",
            role="small",
            wrap=True,
        )
        self.keep = QPushButton("&Keep")
        set_role(self.keep, "primary")
        self.keep.setDefault(True)
        self.usual = QPushButton("&Usual limits")
        self.leave = QPushButton("Cancel")
        self._lay_out()
        self.test.clicked.connect(QApplication.beep)
        self.keep.clicked.connect(self._keep)
        self.usual.clicked.connect(self._show_usual)
        self.leave.clicked.connect(self.reject)
        self.resize(560, 620)

    def _lay_out(self) -> None:
        sound = QHBoxLayout()
        sound.addWidget(self.sound, 1)
        sound.addWidget(self.test)
        foot = QHBoxLayout()
        foot.setSpacing(8)
        foot.addWidget(self.usual)
        foot.addStretch(1)
        foot.addWidget(self.leave)
        foot.addWidget(self.keep)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 18, 20, 16)
        column.setSpacing(10)
        column.addWidget(self.banner)
        column.addWidget(self.form)
        column.addLayout(sound)
        column.addWidget(self.caution)
        column.addStretch(1)
        column.addLayout(foot)

    def _show_usual(self) -> None:
        for name, edit in self.edits.items():
            edit.set_value_si(getattr(WatchSettings(), name))
        self.begin.set_value(None)

    def _keep(self) -> None:
        self.form.clear_errors()
        try:
            values = {name: edit.require() for name, edit in self.edits.items()}
            begin, end = self.begin.value, self.end.value
            quiet = (
                QuietHours(begin, end)
                if isinstance(begin, time) and isinstance(end, time)
                else None
            )
            limits = replace(self._studio.watch.limits, **values, quiet=quiet)
        except LehrkeeperError as error:
            if not self.form.show_error(error):
                self.banner.tell_error(error)
            return
        keep_watch_settings(self._studio.settings, limits)
        keep_sound_wanted(self._studio.settings, wanted=self.sound.isChecked())
        self._studio.watch.set_limits(limits)
        self.accept()
