"""A part that is folded away until it is wanted."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit
from pytestqt.qtbot import QtBot

from app.widgets.disclosure import Disclosure


def test_it_opens_and_folds_and_says_what_it_holds(qtbot: QtBot) -> None:
    body = QLineEdit()
    part = Disclosure("Advanced", body)
    qtbot.addWidget(part)
    part.show()
    part.set_summary("two limits")
    assert not body.isVisible()
    assert part.summary.isVisible()
    assert part.button.accessibleDescription() == "two limits"
    qtbot.mouseClick(part.button, Qt.MouseButton.LeftButton)
    assert body.isVisible()
    assert part.opened
    assert not part.summary.isVisible()
    part.set_summary("three limits")
    assert body.isVisible()
    qtbot.keyClick(part.button, Qt.Key.Key_Space)
    assert not body.isVisible()
    assert part.summary.text() == "three limits"
    part.open()
    part.open()
    assert body.isVisible()
    part.fold()
    assert not body.isVisible()
