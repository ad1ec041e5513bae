"""The lines of a logger's file as marks in one buffer, so that a million of them cost little."""

from __future__ import annotations

from typing import overload

import numpy as np
from numpy.typing import NDArray

IntArray = NDArray[np.int64]
ByteArray = NDArray[np.uint8]


class Lines:
    """Lines as an editor counts them (CR LF, LF or CR), from 0.

    Parameters
    ----------
    text : str
        The whole file.

    Attributes
    ----------
    buffer : ndarray of uint8
        The text in UTF-8, its line ends made LF.
    start, end : ndarray of int64, shape (n,)
        Where each line stands in the buffer.
    """

    def __init__(self, text: str) -> None:
        if "\r" in text:
            text = text.replace("\r\n", "\n").replace("\r", "\n")
        self._data = text.encode("utf-8", "surrogatepass")
        self.buffer: ByteArray = np.frombuffer(self._data, dtype=np.uint8)
        breaks = np.flatnonzero(self.buffer == ord("\n")).astype(np.int64)
        self.start: IntArray = np.concatenate((np.zeros(1, dtype=np.int64), breaks + 1))
        self.end: IntArray = np.append(breaks, self.buffer.size)

    def __len__(self) -> int:
        return int(self.start.size)

    @overload
    def __getitem__(self, place: int) -> str: ...
    @overload
    def __getitem__(self, place: slice) -> list[str]: ...
    def __getitem__(self, place: int | slice) -> str | list[str]:
        if isinstance(place, slice):
            return [self[i] for i in range(*place.indices(len(self)))]
        first, last = int(self.start[place]), int(self.end[place])
        return self._data[first:last].decode("utf-8", "surrogatepass")
