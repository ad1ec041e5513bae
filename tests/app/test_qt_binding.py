"""The Qt binding itself: a broken one ends the program without a word after some hundred calls.

Measured: PySide6 6.12.0 on Python 3.11 gives back one reference to ``None`` too many on every
call that returns nothing, until the interpreter aborts ("deallocating None"); 6.11.2 is sound,
and from Python 3.12 on ``None`` is immortal (PEP 683).
"""

import sys

from PySide6.QtCore import QObject


def test_calls_that_return_nothing_keep_count_of_none() -> None:
    thing = QObject()
    before = sys.getrefcount(None)
    for _ in range(500):
        thing.setObjectName("crucible")
    lost = before - sys.getrefcount(None)
    assert lost < 50, "This PySide6 is broken on this Python: use PySide6-Essentials < 6.12."
