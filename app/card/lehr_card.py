"""The lehr card to look at, to save as PDF and to print; all three draw the same page."""

from __future__ import annotations

import os
import tempfile
from datetime import UTC, datetime, tzinfo
from pathlib import Path

from PySide6.QtCore import QLocale, QMarginsF, QRectF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPdfWriter
from PySide6.QtWidgets import QWidget

from app.card.card_page import paint_card
from app.studio import Studio
from core.errors import LehrkeeperError
from core.load.load import Load
from core.plan.plan import Plan
from core.run.readings import Readings
from core.units import UnitChoice
from core.version import VERSION

__all__ = ["card_page_size", "paint_card", "save_card_pdf", "show_card"]

_DOTS_PER_INCH = 300


def card_page_size() -> QPageSize:
    """Letter where the machine's country measures in inches, else A4."""
    system = QLocale().measurementSystem()
    letter = system is QLocale.MeasurementSystem.ImperialUSSystem
    return QPageSize(QPageSize.PageSizeId.Letter if letter else QPageSize.PageSizeId.A4)


def save_card_pdf(
    path: Path,
    plan: Plan,
    load: Load,
    readings: Readings | None = None,
    *,
    units: UnitChoice,
    zone: tzinfo | None,
    page_size: QPageSize | None = None,
    made_at: datetime | None = None,
) -> None:
    """Write the card as PDF; what stood at ``path`` is replaced only by a whole file.

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
        handle, name = tempfile.mkstemp(prefix=".lehr card ", suffix=".pdf", dir=path.parent)
    except OSError as error:
        raise _cannot_write(path, error) from error
    os.close(handle)
    part = Path(name)
    try:
        _write_pdf(part, plan, load, readings, units, zone, page_size, made_at)
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


def _write_pdf(
    part: Path,
    plan: Plan,
    load: Load,
    readings: Readings | None,
    units: UnitChoice,
    zone: tzinfo | None,
    page_size: QPageSize | None,
    made_at: datetime | None,
) -> None:
    writer = QPdfWriter(str(part))
    writer.setResolution(_DOTS_PER_INCH)
    writer.setTitle(f"Lehr card: {plan.load_name}")
    writer.setCreator(f"Lehrkeeper {VERSION}")
    writer.setPageLayout(
        QPageLayout(
            page_size or card_page_size(), QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0)
        )
    )
    painter = QPainter()
    if not painter.begin(writer):
        raise OSError("the file could not be opened")
    sheet = QRectF(writer.pageLayout().fullRectPixels(_DOTS_PER_INCH))
    paint_card(painter, sheet, plan, load, readings, units=units, zone=zone, made_at=made_at)
    if not painter.end():
        raise OSError("the page could not be finished")


def show_card(
    parent: QWidget | None, plan: Plan, load: Load, readings: Readings | None, studio: Studio
) -> None:
    """Show the card in a window of its own, to save or print; returns when it is closed."""
    from app.card.card_preview import CardPreview  # noqa: PLC0415 -- printing loads when wanted

    preview = CardPreview(plan, load, readings, studio, made_at=datetime.now(UTC), parent=parent)
    preview.exec()
    preview.deleteLater()
