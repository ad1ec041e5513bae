"""Where loads come from and go to: the book, load files, and an earlier night moved to tonight."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from app.local_time import day_and_clock
from app.studio import Studio
from app.tonight.load_files import choose_and_read, choose_and_write
from app.tonight.load_keeper import LoadKeeper
from app.widgets.banner import Banner, Weight
from core.equipment.lehr import Lehr
from core.errors import LehrkeeperError
from core.glass.glass import Glass
from core.load.evening import is_past, moved_to_tonight
from core.load.load import Load


class LoadDesk(QObject):
    """Takes loads in and gives them out; the page shows them.

    Parameters
    ----------
    studio : Studio
    keeper : LoadKeeper
    banner : Banner
        Where it tells what it did.
    load : callable
        The load being worked on, or ``None``.

    Signals
    -------
    opened(Load)
        Another load is to be worked on, read from a file.
    moved(Load)
        The load of an earlier night, moved to tonight.
    """

    opened = Signal(object)
    moved = Signal(object)

    def __init__(
        self,
        studio: Studio,
        keeper: LoadKeeper,
        banner: Banner,
        load: Callable[[], Load | None],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._studio = studio
        self._keeper = keeper
        self._banner = banner
        self._load = load
        self._window = parent

    def choices(self, load: Load | None) -> tuple[dict[str, Glass], dict[str, Lehr]]:
        """The book's glasses and lehrs by name, and those only the load has.

        Glasses gathered from a pot are no choice of their own: pot and time are.
        """
        glasses = {glass.name: glass for glass in self._studio.book.glasses()}
        lehrs = {lehr.name: lehr for lehr in self._studio.book.lehrs()}
        if load is not None:
            named = {piece.glass for piece in load.pieces if piece.name not in load.gathered}
            own = {name: glass for name, glass in load.glasses.items() if name in named}
            glasses = {**own, **glasses}
            lehrs = {load.lehr.name: load.lehr, **lehrs}
        return glasses, lehrs

    def tell_if_past(self, load: Load) -> None:
        """Offer to move a load to tonight that was for an earlier night."""
        if not is_past(load, self._studio.now()):
            return
        day = day_and_clock(load.button_time, now=self._studio.now(), zone=self._studio.zone)
        self._banner.tell(
            Weight.INFORMATION,
            f"This load was for an earlier night ({day}).",
            action="Move it to tonight",
            act=self.move_to_tonight,
        )

    def move_to_tonight(self) -> None:
        """Keep the load again, for the coming night."""
        load = self._load()
        if load is not None:
            moved = moved_to_tonight(load, self._studio.now(), self._studio.zone)
            self._keeper.keep(moved)
            self.moved.emit(moved)

    def open_file(self) -> None:
        """Ask for a load file and work with it."""
        try:
            opened = choose_and_read(self._window, self._studio)
        except LehrkeeperError as error:
            self._banner.tell_error(error)
            return
        if opened is None:
            return
        path, load = opened
        self._keeper.take(None)
        self._banner.tell(Weight.GOOD, f"“{load.name}” was read from {path.name}.")
        self.opened.emit(load)
        self._keeper.keep(load)
        self.tell_if_past(load)

    def save_file(self) -> None:
        """Ask where to and write the load being worked on."""
        load = self._load()
        if load is None:
            return
        try:
            path = choose_and_write(self._window, self._studio, load)
        except LehrkeeperError as error:
            self._banner.tell_error(error)
            return
        if path is not None:
            self._banner.tell(Weight.GOOD, f"The load was saved as {path.name}.")
