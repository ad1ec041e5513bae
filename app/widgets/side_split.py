"""A main part with a narrower one beside it, which scrolls when it is too tall."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QSplitter, QWidget


def side_split(
    main: QWidget, side: QWidget, *, least: int, shares: tuple[int, int], sizes: tuple[int, int]
) -> QSplitter:
    """Put both into a splitter.

    Parameters
    ----------
    main, side : QWidget
    least : int
        Smallest width of the side [pixels].
    shares, sizes : tuple of int
        What each gets of spare width, and its width at first [pixels].
    """
    scroll = QScrollArea()
    scroll.setWidgetResizable(True)
    scroll.setFrameShape(QFrame.Shape.NoFrame)
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    scroll.setWidget(side)
    scroll.setMinimumWidth(least)
    split = QSplitter(Qt.Orientation.Horizontal)
    split.setChildrenCollapsible(False)
    split.setHandleWidth(14)
    for number, part in enumerate((main, scroll)):
        split.addWidget(part)
        split.setStretchFactor(number, shares[number])
    split.setSizes(list(sizes))
    return split
