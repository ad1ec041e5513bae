"""Pages to look at, to save as PDF and to print; all three draw the same."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QLocale, QMarginsF, QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QPagedPaintDevice,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
    QPen,
)

from app.card.sheet import Sheet, font_of
from app.theme import LIGHT
from core.errors import LehrkeeperError
from core.version import VERSION

_DOTS_PER_INCH = 300


@dataclass(frozen=True)
class PaperDocument:
    """What goes on paper.

    Attributes
    ----------
    kind : str
        What it is, ``"lehr card"``; said in messages and written before the name of its file.
    title : str
        ``"Lehr card: Tonight"``.
    file_name : str
        Without ending.
    paint : callable
        Draws page ``n`` (from 0) into a whole sheet of paper with its edges.
    pages : int
    """

    kind: str
    title: str
    file_name: str
    paint: Callable[[QPainter, QRectF, int], None]
    pages: int = 1


def card_page_size() -> QPageSize:
    """Letter where the machine's country measures in inches, else A4."""
    system = QLocale().measurementSystem()
    letter = system is QLocale.MeasurementSystem.ImperialUSSystem
    return QPageSize(QPageSize.PageSizeId.Letter if letter else QPageSize.PageSizeId.A4)


def page_layout(size: QPageSize) -> QPageLayout:
    """Upright paper without margins of the device's own."""
    return QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0))


def paint_pages(
    painter: QPainter, device: QPagedPaintDevice, rect: QRectF, document: PaperDocument
) -> bool:
    """Draw every page on a device with pages; False when it gives no new page."""
    for number in range(document.pages):
        if number and not device.newPage():
            return False
        document.paint(painter, rect, number)
    return True


def save_pdf(path: Path, document: PaperDocument, page_size: QPageSize | None = None) -> None:
    """Write a document as PDF; what stood at ``path`` is replaced only by a whole file.

    Raises
    ------
    LehrkeeperError
        If the folder is missing or the file cannot be written, with what to do about it.
    """
    path = Path(path)
    if not path.parent.is_dir():
        raise LehrkeeperError(
            f"The folder {path.parent} does not exist.", field="path", remedy="Choose another."
        )
    if path.is_dir():
        raise LehrkeeperError(
            f"{path} is a folder.", field="path", remedy="Give the file a name of its own."
        )
    if path.exists() and not os.access(path, os.W_OK):
        raise LehrkeeperError(
            f"{path.name} may only be read.", field="path", remedy="Choose another name."
        )
    try:
        handle, name = tempfile.mkstemp(prefix=f".{document.kind} ", suffix=".pdf", dir=path.parent)
    except OSError as error:
        raise _cannot_write(path, error) from error
    os.close(handle)
    part = Path(name)
    try:
        _write_pdf(part, document, page_size or card_page_size())
        part.chmod(0o644)
        part.replace(path)
    except OSError as error:
        raise _cannot_write(path, error) from error
    finally:
        part.unlink(missing_ok=True)


def _cannot_write(path: Path, error: OSError) -> LehrkeeperError:
    why = error.strerror or str(error)
    return LehrkeeperError(
        f"{path.name} cannot be written to {path.parent}: {why}.",
        field="path",
        remedy="Choose another folder, or close the program that has the file open.",
    )


def _write_pdf(part: Path, document: PaperDocument, page_size: QPageSize) -> None:
    writer = QPdfWriter(str(part))
    writer.setResolution(_DOTS_PER_INCH)
    writer.setTitle(document.title)
    writer.setCreator(f"Lehrkeeper {VERSION}")
    writer.setPageLayout(page_layout(page_size))
    painter = QPainter()
    if not painter.begin(writer):
        raise OSError("the file could not be opened")
    sheet = QRectF(writer.pageLayout().fullRectPixels(_DOTS_PER_INCH))
    whole = paint_pages(painter, writer, sheet, document)
    if not painter.end() or not whole:
        raise OSError("the page could not be finished")


def in_dots(rect: QRectF, point: float) -> QRectF:
    """A rectangle in points as dots of a device that has ``point`` dots to the point."""
    return QRectF(
        rect.left() * point, rect.top() * point, rect.width() * point, rect.height() * point
    )


def paint_sheet(painter: QPainter, sheet: Sheet, point: float) -> None:
    """Draw the words, rules and boxes of a page; the painter stands at its corner."""

    def ink(name: str) -> QColor:
        return QColor(getattr(LIGHT, name))

    for box in sheet.boxes:
        painter.setPen(QPen(ink(box.edge), 0.8 * point) if box.edge else QPen(Qt.PenStyle.NoPen))
        painter.setBrush(ink(box.ground) if box.ground else Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(in_dots(box.rect, point), box.radius * point, box.radius * point)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for rule in sheet.rules:
        painter.setPen(QPen(ink(rule.ink), rule.width * point))
        painter.drawLine(
            QPointF(rule.x1 * point, rule.y1 * point), QPointF(rule.x2 * point, rule.y2 * point)
        )
    for words in sheet.words:
        painter.setFont(font_of(words.face))
        painter.setPen(ink(words.face.ink))
        side = Qt.AlignmentFlag.AlignRight if words.right else Qt.AlignmentFlag.AlignLeft
        flags = side | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextSingleLine
        # Words may be drawn a hair wider than measured; their own room already allows for it.
        painter.drawText(
            in_dots(words.rect, point), int(flags) | int(Qt.TextFlag.TextDontClip), words.text
        )
