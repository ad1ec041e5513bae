"""The lehr card on screen before it is saved or printed."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtWidgets import QWidget

from app.card.lehr_card import card_document
from app.card.paper_preview import PaperPreview
from app.studio import Studio
from core.load.load import Load
from core.plan.plan import Plan
from core.run.readings import Readings


class CardPreview(PaperPreview):
    """The card with buttons to save it as PDF and to print it."""

    def __init__(
        self,
        plan: Plan,
        load: Load,
        readings: Readings | None,
        studio: Studio,
        *,
        made_at: datetime,
        parent: QWidget | None = None,
    ) -> None:
        document = card_document(
            plan, load, readings, units=studio.units, zone=studio.zone, made_at=made_at
        )
        super().__init__(document, studio, parent)
