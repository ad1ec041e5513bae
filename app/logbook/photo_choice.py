"""Photos of what happened: only where they lie is kept, never the pictures."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QPushButton, QWidget

from app.studio import Studio
from app.widgets.label import tip_text

_FOLDER = "logbook/photos"
PICTURES = "Pictures (*.jpg *.jpeg *.png *.heic *.webp *.tif *.tiff *.bmp);;All files (*)"


class PhotoChoice(QPushButton):
    """A button that asks for pictures and says how many were chosen."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._paths: tuple[str, ...] = ()
        self.clicked.connect(self._ask)
        self.set_paths(())

    @property
    def paths(self) -> tuple[str, ...]:
        """The pictures chosen."""
        return self._paths

    def set_paths(self, paths: tuple[str, ...]) -> None:
        """Have these pictures chosen."""
        self._paths = paths
        self.setText(f"P&hotos ({len(paths)})…" if paths else "P&hotos…")
        self.setToolTip(
            tip_text("\n".join(paths) or "Pictures stay where they are; their places are kept")
        )

    def _ask(self) -> None:
        settings = self._studio.settings
        names, _ = QFileDialog.getOpenFileNames(
            self.window(), "Photos", settings.text(_FOLDER), PICTURES
        )
        if names:
            settings.set_text(_FOLDER, str(Path(names[0]).parent))
            self.set_paths(tuple(names))
