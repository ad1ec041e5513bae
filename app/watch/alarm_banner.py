"""An alarm told on whatever page is open, until somebody has heard it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication, QWidget

from app.widgets.banner import Banner, Weight
from app.widgets.quantity import local_sentence

if TYPE_CHECKING:
    from app.studio import Studio


class AlarmBanner(QObject):
    """Shows alarms in the window's banner, and asks for attention when the window is not in front.

    Parameters
    ----------
    studio : Studio
    banner : Banner
        The window's own, used for other messages as well.
    window : QWidget
    """

    def __init__(self, studio: Studio, banner: Banner, window: QWidget) -> None:
        super().__init__(window)
        self._studio, self._banner, self._window = studio, banner, window
        self._shown: tuple[int, str] | None = None
        studio.watch.alarmed.connect(self._tell)
        studio.watch.heard.connect(self._put_away)
        studio.watch.ended.connect(self._put_away)

    def _tell(self, run_id: int, words: str) -> None:
        self._banner.tell(
            Weight.PROBLEM,
            local_sentence(words),
            action="I have heard it",
            act=lambda: self._hear(run_id),
        )
        self._shown = (run_id, self._banner.text)
        QApplication.alert(self._window)

    def _hear(self, run_id: int) -> None:
        self._studio.watch.hear(run_id)
        self._studio.page_wanted.emit("tonight")

    def _put_away(self, run_id: int) -> None:
        """Heard elsewhere, or nobody watches any more; other messages stay."""
        if self._shown == (run_id, self._banner.text):
            self._banner.clear()
        self._shown = None if self._shown is None or self._shown[0] == run_id else self._shown
