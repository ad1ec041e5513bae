"""The load as it is put together: pieces, hours and limits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.studio import Studio
from app.tonight.fold import Folds
from app.tonight.hours_panel import HoursPanel
from app.tonight.limits_panel import LimitsPanel
from app.tonight.pieces_panel import PiecesPanel
from app.tonight.pot_glasses import LedgerPendingError, PotGlass, PotGlasses
from app.widgets.quantity import Quantity, format_quantity
from core.equipment.lehr import Lehr
from core.errors import LehrkeeperError, LoadError
from core.glass.glass import Glass
from core.load.gathering import Gathering
from core.load.load import Load
from core.melt.gathered_glass import gathered_names
from core.piece.piece import Piece
from core.units import UnitChoice

PIECES, HOURS, LIMITS = "pieces", "hours", "limits"
_SECTION_OF = {
    "pieces": PIECES,
    "glass": PIECES,
    "gathered_at": PIECES,
    "lehr": HOURS,
    "ambient": HOURS,
}


class LoadPanel(QWidget):
    """Everything about tonight's load that a person enters.

    Signals
    -------
    edited()
        Something was changed by hand.
    pots_read()
        What gathered pieces are made of is known, or is another glass than before.
    """

    edited = Signal()
    pots_read = Signal()

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._glasses: dict[str, Glass] = {}
        self._name = "Tonight"
        self._timezone = ""
        self.pots = PotGlasses(studio, self)
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
        self.pieces.table.row_selected.connect(lambda _: self._tell_gathered())
        self.pots.changed.connect(self._on_pots)
        self.hours.lehr_page_wanted.connect(lambda: studio.page_wanted.emit("equipment"))

    def set_choices(self, glasses: Mapping[str, Glass], lehrs: Sequence[Lehr]) -> None:
        """Offer these glasses and lehrs."""
        self._glasses = dict(glasses)
        self.pieces.set_glasses(list(glasses), self.pots.pots())
        self.hours.set_lehrs(lehrs)
        self._summarise(())

    def set_units(self) -> None:
        """Show everything in the studio's units."""
        for panel in (self.pieces, self.hours, self.limits):
            panel.set_units(self._studio.units)
        self._summarise(())
        self._tell_gathered()

    def show_load(self, load: Load) -> None:
        """Show a load; its glasses and lehr must be among the choices."""
        self._name, self._timezone = load.name, load.timezone
        self.pots.bring(load)
        self.pieces.set_glasses(list(self._glasses), self.pots.pots())
        self.pieces.show_load(load)
        self.hours.show_load(load)
        self.limits.show_load(load)
        self._summarise(())
        self._tell_gathered()

    def load(self) -> Load:
        """The load as entered.

        Raises
        ------
        LedgerPendingError
            What a pot held is not known yet; ``pots_read`` says when it is.
        LehrkeeperError
            What is missing or impossible; shown beside its box as well, where it has one.
        """
        try:
            made = self._made()
        except LedgerPendingError:
            raise
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
        pieces, glasses = self._melted()
        return Load(
            name=self._name,
            pieces=pieces,
            glasses=glasses,
            lehr=hours.lehr,
            button_time=hours.button_time,
            out_by=hours.out_by,
            start_temperature=hours.start_temperature,
            hand_warm=self.limits.hand_warm_temperature(),
            limits=self.limits.limits(),
            soak_above_annealing=self.limits.soak_above(),
            timezone=self._timezone,
            reheating=self.hours.reheating(),
            **self.pieces.settings,
        )

    def _melted(self) -> tuple[tuple[Piece, ...], dict[str, Glass]]:
        """The pieces with their glasses: gathered ones of what was in the pot then."""
        gathered: dict[str, Gathering] = self.pieces.settings["gathered"]
        names = gathered_names(gathered.values(), self._studio.zone)
        found = self._gathered_glasses(gathered)
        pieces = []
        glasses: dict[str, Glass] = {}
        for piece in self.pieces.pieces:
            made, glass = piece, self._glasses.get(piece.glass)
            if piece.name in gathered:
                name = names[gathered[piece.name]]
                made, glass = replace(piece, glass=name), replace(found[piece.name], name=name)
            pieces.append(made)
            if glass is not None:
                glasses[made.glass] = glass
        return tuple(pieces), glasses

    def _gathered_glasses(self, gathered: Mapping[str, Gathering]) -> dict[str, Glass]:
        """By the name of the piece; asks for all that is not known yet before it gives up."""
        found = {}
        waiting: LedgerPendingError | None = None
        for name, gathering in gathered.items():
            try:
                found[name] = self.pots.glass_of(gathering).glass
            except LedgerPendingError as error:
                waiting = error
            except LehrkeeperError as error:
                raise LoadError(
                    f"“{name}”: {error.message}", field=error.field, remedy=error.remedy
                ) from error
        if waiting is not None:
            raise waiting
        return found

    def _tell_gathered(self) -> None:
        """Beside the chosen piece, what was gathered for it."""
        gathering = self.pieces.gathered
        if gathering is None:
            return
        try:
            made = self.pots.glass_of(gathering)
        except LedgerPendingError:
            return
        except LehrkeeperError as error:
            self.pieces.form.show_gathered("", str(error))
            return
        self.pieces.form.show_gathered(_gathered_words(made, self._studio.units))

    def _on_pots(self) -> None:
        if self.pieces.settings["gathered"]:
            self._tell_gathered()
            self.pots_read.emit()

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
        self._tell_gathered()
        self.edited.emit()


def _gathered_words(made: PotGlass, units: UnitChoice) -> str:
    annealing, expansion = made.properties.annealing_point, made.properties.expansion
    told = []
    if annealing is not None:
        words = format_quantity(Quantity.TEMPERATURE, annealing.value, units, decimals=0)
        if annealing.plus_minus is not None:
            within = format_quantity(Quantity.INTERVAL, annealing.plus_minus, units, decimals=0)
            words += f" ± {within}"
        told.append(f"anneals at {words}")
    if expansion is not None:
        words = format_quantity(Quantity.EXPANSION, expansion.value, units, decimals=0)
        told.append(f"expands {words}")
    words = ", ".join(told)
    return words[:1].upper() + words[1:]
