"""The load as it is put together: pieces, hours and limits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.studio import Studio
from app.tonight.fold import Folds
from app.tonight.hours_panel import HoursPanel
from app.tonight.limits_panel import LimitsPanel
from app.tonight.pieces_panel import PiecesPanel
from core.equipment.lehr import Lehr
from core.errors import LehrkeeperError, LoadError
from core.glass.glass import Glass
from core.load.gathering import Gathering
from core.load.load import Load

PIECES, HOURS, LIMITS = "pieces", "hours", "limits"
_SECTION_OF = {"pieces": PIECES, "glass": PIECES, "lehr": HOURS, "ambient": HOURS}


class LoadPanel(QWidget):
    """Everything about tonight's load that a person enters.

    Signals
    -------
    edited()
        Something was changed by hand.
    """

    edited = Signal()

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._glasses: dict[str, Glass] = {}
        self._name = "Tonight"
        self._timezone = ""
        self._gathered: dict[str, Gathering] = {}
        self.pieces = PiecesPanel(studio.units, studio.zone, studio.now)
        self.hours = HoursPanel(studio.units, studio.zone, studio.now)
        self.limits = LimitsPanel(studio.units)
        self.folds = Folds()
        self.folds.add(PIECES, "Pieces", self.pieces, scrolls=False)
        self.folds.add(HOURS, "Lehr and hours", self.hours)
        self.folds.add(LIMITS, "Limits", self.limits)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.folds, 1)
        for panel in (self.pieces, self.hours, self.limits):
            panel.edited.connect(self._on_edited)
        self.hours.lehr_page_wanted.connect(lambda: studio.page_wanted.emit("equipment"))

    def set_choices(self, glasses: Mapping[str, Glass], lehrs: Sequence[Lehr]) -> None:
        """Offer these glasses and lehrs."""
        self._glasses = dict(glasses)
        self.pieces.set_glasses(list(glasses))
        self.hours.set_lehrs(lehrs)
        self._summarise(())

    def set_units(self) -> None:
        """Show everything in the studio's units."""
        for panel in (self.pieces, self.hours, self.limits):
            panel.set_units(self._studio.units)
        self._summarise(())

    def show_load(self, load: Load) -> None:
        """Show a load; its glasses and lehr must be among the choices."""
        self._name, self._timezone = load.name, load.timezone
        self._gathered = dict(load.gathered)
        self.pieces.show_load(load)
        self.hours.show_load(load)
        self.limits.show_load(load)
        self._summarise(())

    def load(self) -> Load:
        """The load as entered.

        Raises
        ------
        LehrkeeperError
            What is missing or impossible; shown beside its box as well, where it has one.
        """
        try:
            made = self._made()
        except LehrkeeperError as error:
            self._summarise(self._show_error(error))
            raise
        details = self.pieces.form.details
        for panel in (self.hours, self.hours.reheat, self.limits, details):
            for field in panel.form.fields.values():
                # What an editor says of itself it also takes back itself.
                if field.error and not getattr(field.editor, "error", ""):
                    field.clear_error()
        self._summarise(())
        return made

    def _made(self) -> Load:
        hours = self.hours.hours()
        if hours.lehr is None:
            raise LoadError("There is no lehr yet.", field="lehr", remedy="Add one.")
        pieces = self.pieces.pieces
        return Load(
            name=self._name,
            pieces=pieces,
            glasses={
                name: self._glasses[name]
                for name in dict.fromkeys(piece.glass for piece in pieces)
                if name in self._glasses
            },
            lehr=hours.lehr,
            button_time=hours.button_time,
            out_by=hours.out_by,
            start_temperature=hours.start_temperature,
            hand_warm=self.limits.hand_warm_temperature(),
            limits=self.limits.limits(),
            soak_above_annealing=self.limits.soak_above(),
            timezone=self._timezone,
            reheating=self.hours.reheating(),
            gathered={
                name: gathered
                for name, gathered in self._gathered.items()
                if name in {piece.name for piece in pieces}
            },
            **self.pieces.settings,
        )

    def _show_error(self, error: LehrkeeperError) -> tuple[str, ...]:
        """Show an error beside its box without moving the cursor; returns the sections it is in."""
        for key, panel in (
            (HOURS, self.hours),
            (HOURS, self.hours.reheat),
            (LIMITS, self.limits),
        ):
            field = panel.form.fields.get(error.field or "")
            if field is not None and not getattr(field.editor, "error", ""):
                field.set_error(str(error))
            if field is not None:
                return (key,)
            if not panel.form.is_valid():
                return (key,)
        own = self.pieces.form.details.form.fields.get(error.field or "")
        if own is not None:
            own.set_error(str(error))
            return (PIECES,)
        section = _SECTION_OF.get(error.field or "")
        return (section,) if section else ()

    def _summarise(self, wrong: tuple[str, ...]) -> None:
        pieces = self.pieces.pieces
        count = sum(piece.count for piece in pieces)
        kinds = f"{len(pieces)} kinds" if len(pieces) != 1 else "1 kind"
        words = f"{kinds}, {count} in all" if pieces else "none yet"
        # A list that somebody is about to begin is not wrong.
        self.folds.set_summary(PIECES, words, wrong=PIECES in wrong and bool(pieces))
        self.folds.set_summary(HOURS, self.hours.summary(), wrong=HOURS in wrong)
        self.folds.set_summary(LIMITS, self.limits.summary(), wrong=LIMITS in wrong)

    def _on_edited(self) -> None:
        self.edited.emit()
