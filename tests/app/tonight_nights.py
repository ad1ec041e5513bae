"""An invented studio for the tests of tonight's page, and ways to use the page like a person."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit
from pytestqt.qtbot import QtBot

from app.tonight.page import TonightPage
from core.equipment.lehr import Lehr
from core.glass.glass import Glass, MeasuredPoints
from core.load.load import Load
from core.piece.piece import CooledFrom, Piece, Shape
from core.store.book import Book

NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
BUTTON = datetime(2026, 11, 25, 17, 30, tzinfo=UTC)
QUAY_GLASS = Glass(
    "quay glass",
    measured=MeasuredPoints(
        strain_point=273.15 + 475.0,
        annealing_point=273.15 + 515.0,
        expansion=95e-7,
        source="invented sheet",
    ),
)
BIG_LEHR = Lehr("Big lehr", 4.5 * 3600)
LITTLE_LEHR = Lehr("Little lehr", 2.2 * 3600)
FLOAT = Piece(
    "Fishing float",
    8,
    Shape.PLATE,
    QUAY_GLASS.name,
    wall_thickness=0.003,
    cooled_from=CooledFrom.ONE,
)
DECANTER = Piece(
    "Ship's decanter",
    6,
    Shape.VESSEL,
    QUAY_GLASS.name,
    wall_thickness=0.004,
    base_thickness=0.022,
    cooled_from=CooledFrom.ONE,
    base_cooled_from=CooledFrom.BOTH,
)


class Clock:
    """The clock on the studio's wall, set by hand."""

    def __init__(self, now: datetime = NOON) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now


def fill_studio(book: Book, *, load: bool = True) -> None:
    book.save_glass(QUAY_GLASS)
    book.save_lehr(BIG_LEHR)
    book.save_lehr(LITTLE_LEHR)
    if load:
        book.save_load(tonight(), saved_at=NOON - timedelta(hours=1))


def tonight(*pieces: Piece, lehr: Lehr = BIG_LEHR) -> Load:
    return Load(
        "Tonight",
        pieces or (FLOAT,),
        {QUAY_GLASS.name: QUAY_GLASS},
        lehr,
        BUTTON,
        out_by=datetime(2026, 11, 26, 9, 0, tzinfo=UTC),
    )


def wait_for_plan(qtbot: QtBot, page: TonightPage) -> None:
    """Until what is shown is up to date."""
    qtbot.waitUntil(lambda: page.plan is not None and page.work.start_button.isEnabled())


def type_into(qtbot: QtBot, box: QLineEdit, text: str) -> None:
    """Replace what stands in a box, and leave it."""
    box.setFocus()
    box.selectAll()
    qtbot.keyClicks(box, text)
    qtbot.keyClick(box, Qt.Key.Key_Tab)


def type_length(qtbot: QtBot, page: TonightPage, name: str, text: str) -> None:
    type_into(qtbot, page.load_panel.pieces.form.lengths[name], text)


PageMaker = Callable[[], TonightPage]
