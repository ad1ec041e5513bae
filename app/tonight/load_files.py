"""Load files chosen in the usual file window."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from app.studio import Studio
from core.load.load import Load
from core.load.load_file import read_load
from core.load.load_writer import write_load

_FILTER = "Load files (*.toml);;All files (*)"
_FOLDER = "tonight/folder"


def choose_and_read(parent: QWidget, studio: Studio) -> tuple[Path, Load] | None:
    """Ask for a load file and read it; ``None`` when none was chosen.

    Raises
    ------
    LehrkeeperError
        With the line and key at fault.
    """
    folder = studio.settings.text(_FOLDER)
    name, _ = QFileDialog.getOpenFileName(parent, "Open a load file", folder, _FILTER)
    if not name:
        return None
    path = Path(name)
    studio.settings.set_text(_FOLDER, str(path.parent))
    return path, read_load(path, studio.now())


def choose_and_write(parent: QWidget, studio: Studio, load: Load) -> Path | None:
    """Ask where to and write the load there; ``None`` when no place was chosen.

    Raises
    ------
    LehrkeeperError
        If it cannot be written.
    """
    suggested = Path(studio.settings.text(_FOLDER)) / f"{_as_file_name(load.name)}.toml"
    name, _ = QFileDialog.getSaveFileName(parent, "Save as load file", str(suggested), _FILTER)
    if not name:
        return None
    path = Path(name)
    studio.settings.set_text(_FOLDER, str(path.parent))
    write_load(path, load)
    return path


def _as_file_name(name: str) -> str:
    """The name without what no file may have in its own."""
    return "".join("-" if letter in '/\\:*?"<>|' else letter for letter in name).strip() or "load"
