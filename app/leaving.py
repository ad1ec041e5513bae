"""The question before the window closes or another book opens, when something would be lost."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QMessageBox, QWidget


def reasons_to_stay(unsaved: Sequence[str], recorded: Sequence[str]) -> tuple[str, ...]:
    """What would be lost, in sentences.

    Parameters
    ----------
    unsaved : sequence of str
        Pages on which something is not saved.
    recorded : sequence of str
        Lehrs whose runs are being recorded.
    """
    told = []
    if unsaved:
        page = "page" if len(unsaved) == 1 else "pages"
        told.append(f"On the {page} {_listed(unsaved)} something was typed and not saved.")
    if recorded:
        told.append(
            f"The night in {_listed(recorded)} is being recorded: recording and alarms end with "
            "the window. What was read so far is in the book."
        )
    return tuple(told)


def ask_to_leave(window: QWidget, reasons: Sequence[str]) -> bool:
    """Ask; False when the person wants to stay."""
    box = QMessageBox(window)
    box.setIcon(QMessageBox.Icon.Warning)
    box.setWindowTitle("Lehrkeeper")
    box.setText("Leave all the same?")
    box.setInformativeText("\n\n".join(reasons))
    leave = box.addButton("Leave", QMessageBox.ButtonRole.DestructiveRole)
    stay = box.addButton("Stay here", QMessageBox.ButtonRole.RejectRole)
    box.setDefaultButton(stay)
    box.setEscapeButton(stay)
    box.exec()
    return box.clickedButton() is leave


def _listed(words: Sequence[str]) -> str:
    quoted = [f"“{word}”" for word in words]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} and {quoted[-1]}"
