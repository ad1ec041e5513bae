"""Glasses of tonight's gathered pieces, reckoned from the pots' ledgers off the GUI thread."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import tzinfo

from PySide6.QtCore import QObject, QTimer, Signal

from app.furnace.pot_book import ledger_of
from app.studio import Studio
from core.errors import LehrkeeperError, LoadError
from core.glass.glass import Glass, GlassProperties
from core.glass.properties import properties_of
from core.load.gathering import Gathering
from core.load.load import Load
from core.melt.gathered_glass import gathered_glass
from core.store.book import Book


class LedgerPendingError(LoadError):
    """A pot's ledger is being read; ``PotGlasses.changed`` says when it has been."""


@dataclass(frozen=True)
class PotGlass:
    """What was in a pot when it was gathered from, and its properties."""

    glass: Glass
    properties: GlassProperties


Answer = PotGlass | LehrkeeperError


class PotGlasses(QObject):
    """Keeps what pots held at the times asked for.

    Signals
    -------
    changed()
        Answers have come, or what was answered may hold no longer.
    """

    changed = Signal()

    def __init__(self, studio: Studio, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._answers: dict[Gathering, Answer] = {}
        self._asked: set[Gathering] = set()
        self._brought: dict[Gathering, Glass] = {}
        self._in_book: frozenset[str] = frozenset()
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self._read)

    def bring(self, load: Load) -> None:
        """Take note of a load's gathered glasses: they serve where its pot is not in the book."""
        self._brought = {
            load.gathered[piece.name]: load.glasses[piece.glass]
            for piece in load.pieces
            if piece.name in load.gathered
        }
        self._answers.clear()

    def pots(self) -> tuple[str, ...]:
        """Pots of the book, and after them those that only the load knows."""
        names = [pot.name for pot in self._studio.book.pots()]
        self._in_book = frozenset(names)
        return tuple(dict.fromkeys([*names, *(gathering.pot for gathering in self._brought)]))

    def glass_of(self, gathering: Gathering) -> PotGlass:
        """What was in the pot then.

        Raises
        ------
        LedgerPendingError
            Until ``changed`` says that it is known.
        LehrkeeperError
            If the pot was empty then, or is not known.
        """
        answer = self._answers.get(gathering)
        if answer is None and gathering.pot not in self._in_book and gathering in self._brought:
            answer = self._answers[gathering] = _pot_glass(self._brought[gathering])
        if answer is None:
            self._asked.add(gathering)
            self._soon.start()
            raise LedgerPendingError(f"The ledger of “{gathering.pot}” is being read.")
        if isinstance(answer, LehrkeeperError):
            raise answer
        return answer

    def forget(self) -> None:
        """Ledgers, or glasses they name, may have changed."""
        if self._answers:
            self._answers.clear()
            self.changed.emit()

    def _read(self) -> None:
        asked, self._asked = self._asked, set()

        def done(answers: Mapping[Gathering, Answer]) -> None:
            self._answers |= answers
            self.changed.emit()

        self._studio.jobs.submit(
            _answers,
            self._studio.book,
            self._studio.zone,
            asked,
            on_done=done,
            kind="pot glasses",
            owner=self,
            supersede=False,
        )


def _pot_glass(glass: Glass) -> PotGlass:
    return PotGlass(glass, properties_of(glass))


def _answers(
    book: Book, zone: tzinfo | None, asked: Collection[Gathering]
) -> dict[Gathering, Answer]:
    pots = {pot.name: pot for pot in book.pots()}
    names = {gathering.pot for gathering in asked} & pots.keys()
    ledgers = {name: ledger_of(book, pots[name], zone) for name in names}
    answers: dict[Gathering, Answer] = {}
    for gathering in asked:
        try:
            answers[gathering] = _pot_glass(gathered_glass(gathering, ledgers))
        except LehrkeeperError as error:
            answers[gathering] = error
    return answers
