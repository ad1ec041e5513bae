"""The weigh-out sheet in a window of its own, to save or print."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QSizeF
from PySide6.QtGui import QPageSize
from PySide6.QtWidgets import QWidget

from app.studio import Studio
from core.batch.batch import Batch
from core.batch.sheet import WeighOutSheet


def show_sheet(
    parent: QWidget, studio: Studio, batch: Batch, sheet: WeighOutSheet, made_at: datetime
) -> None:
    """Show a sheet as it will be printed; returns when the window is closed."""
    # Printing loads when it is wanted.
    from app.batch.weigh_out_paper import weigh_out_document  # noqa: PLC0415
    from app.card.paper import card_page_size  # noqa: PLC0415
    from app.card.paper_preview import PaperPreview  # noqa: PLC0415

    document = weigh_out_document(
        batch,
        sheet,
        units=studio.units,
        zone=studio.zone,
        made_at=made_at,
        page=QSizeF(card_page_size().size(QPageSize.Unit.Point)),
    )
    preview = PaperPreview(document, studio, parent)
    preview.exec()
    preview.deleteLater()
