"""The cells of a logger's file: bytes to lines, lines to cells, cells to temperatures."""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Sequence

from core.errors import LogFileError, Place

LARGEST_FILE = 256 * 1024 * 1024
"""Bytes accepted; a night of a reading a second has 2 MB, a million rows of eight channels 100."""


def check_size(count: int, file: str | None = None) -> None:
    """Refuse a file of too many bytes.

    Raises
    ------
    LogFileError
    """
    if count > LARGEST_FILE:
        raise LogFileError(
            f"The file has {count / 1e6:.0f} MB, too much for one night's log.",
            place=Place(file),
            remedy="Export only the hours of this run.",
        )


_BLANK = b" \t\r\n\f\v\0"


class CellError(Exception):
    """What is wrong with one cell; becomes a row's problem, never reaches a person as an error."""


class BrokenCellError(CellError):
    """The cell says that no thermocouple answers."""


def decode(data: bytes, encoding: str | None = None, file: str | None = None) -> tuple[str, str]:
    """Text of a file and its encoding.

    Raises
    ------
    LogFileError
        If it is empty, too large or not text.
    """
    place = Place(file)
    check_size(len(data), file)
    if not data.strip(_BLANK):
        raise LogFileError("The file is empty.", place=place, remedy="Export the log again.")
    for candidate in (encoding,) if encoding else _encodings(data):
        # A logger that lost its power leaves the rest of a block as zeros.
        whole = data if candidate.startswith("utf-16") else data.rstrip(b"\0")
        # A file that says it is UTF-8 is read as such, damaged characters and all.
        marked = candidate == "utf-8-sig" and data.startswith(codecs.BOM_UTF8)
        try:
            text = whole.decode(candidate, "replace" if marked else "strict")
        except (UnicodeError, LookupError):
            continue
        if _is_text(text):
            return text.removeprefix("\ufeff"), candidate
    raise LogFileError(
        "The file is not text.",
        place=place,
        remedy="Export the log as CSV or text, not as a spreadsheet or the logger's own format.",
    )


def _encodings(data: bytes) -> tuple[str, ...]:
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return ("utf-16",)
    head = data.rstrip(b"\0")[:4096]
    if head.count(0) * 4 > len(head):
        # UTF-16 without its mark: digits leave every second byte 0.
        return ("utf-16-le",) if head[1::2].count(0) > head[0::2].count(0) else ("utf-16-be",)
    return ("utf-8-sig", "cp1252")


def _is_text(text: str) -> bool:
    """Few control characters, and none that only binary files have."""
    head = text[:20_000]
    odd = sum(1 for c in head if (ord(c) < 32 and c not in "\t\r\n\f\v\x1a") or c == "\ufffd")
    return odd * 50 <= len(head)


def split_cells(line: str, delimiter: str, cuts: Sequence[int] = ()) -> list[str]:
    """Cells of one line. Quotes never reach over a line's end.

    Parameters
    ----------
    line : str
    delimiter : str
        ``" "`` means runs of blanks.
    cuts : sequence of int
        Where the columns of a table of fixed widths begin, the first at 0; such a table has no
        delimiter.
    """
    if cuts:
        ends = (*cuts[1:], len(line))
        return [line[begin:end].strip() for begin, end in zip(cuts, ends, strict=True)]
    if delimiter == " ":
        return line.split()
    if '"' not in line:
        return line.split(delimiter)
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        return line.split(delimiter)


def is_comment(line: str) -> bool:
    """Tell blank lines and lines set aside by the logger from rows."""
    stripped = line.strip()
    return not stripped or stripped.startswith(("#", "//", "*"))


_MARKED = {
    ".": re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,2})?"),
    ",": re.compile(r"[+-]?(?:[0-9]+(?:,[0-9]*)?|,[0-9]+)(?:[eE][+-]?[0-9]{1,2})?"),
}
NUMBER_AND_UNIT = re.compile(r"([+-]?[0-9.,]+)\s*(?:[°º]|deg\.?)?\s*([CFKcfk])")
_NOT_A_NUMBER = re.compile(
    r"[+-]?(?:nan|inf|infinity|1\.#\w+|#num!?|#n/?a|#value!?)", re.IGNORECASE
)
_BREAK_WORDS = re.compile(
    r"[-_*=?.]{2,}|[<>]+|open|o\.?l\.?|ovr|over|under|orange|ur|s\.?br|sensor.*|brk|break|broken|"
    r"burn\s?-?out|err(?:or)?\W*\d*|fault|fail(?:ed)?|n/?a|none|null",
    re.IGNORECASE,
)
_THOUSANDS = re.compile(r"[+-]?[0-9]{1,3}(?:[.,'’ ][0-9]{3})+(?:[.,][0-9]*)?")


def clean(cell: str) -> str:
    """Strip the blanks around a cell and make its minus sign plain."""
    return cell.replace("\u2212", "-").replace("\u00a0", " ").strip()


def read_number(cell: str, mark: str) -> float | None:
    """Read the number in a cell with this decimal mark; ``None`` when it is not one."""
    text = clean(cell)
    if _MARKED[mark].fullmatch(text) is None:
        return None
    return float(text.replace(",", "."))


def number_mark(cell: str) -> str | None:
    """Find the decimal mark a cell uses, ``""`` for a whole number, ``None`` if it is no number."""
    text = clean(cell)
    match = NUMBER_AND_UNIT.fullmatch(text)
    if match is not None:
        text = match.group(1)
    if _MARKED["."].fullmatch(text):
        return "." if "." in text else ""
    return "," if _MARKED[","].fullmatch(text) else None


def number_unit(cell: str) -> str | None:
    """Find the unit written behind a number, C, F or K."""
    match = NUMBER_AND_UNIT.fullmatch(clean(cell))
    return match.group(2).upper() if match else None


def read_temperature(cell: str, mark: str, unit: str) -> float:
    """Temperature as logged, in the file's unit.

    Raises
    ------
    CellError
        Saying why it is none.
    """
    text = clean(cell)
    if _MARKED[mark].fullmatch(text) is not None:
        return float(text.replace(",", "."))
    match = NUMBER_AND_UNIT.fullmatch(text)
    if match is not None and match.group(2).upper() != unit:
        raise CellError(f"“{text}” is not in °{unit} like the rest of the file.")
    if match is not None:
        return read_temperature(match.group(1), mark, unit)
    if text and _NOT_A_NUMBER.fullmatch(text) is None and _BREAK_WORDS.fullmatch(text):
        raise BrokenCellError(f"“{text}” means that no thermocouple answered.")
    raise CellError(_what_is_wrong(text, mark))


def _what_is_wrong(text: str, mark: str) -> str:
    if not text:
        return "There is no temperature."
    if _MARKED["," if mark == "." else "."].fullmatch(text):
        other, this = ("comma", "point") if mark == "." else ("point", "comma")
        return f"“{text}” has a decimal {other}, where the file otherwise uses the decimal {this}."
    if _THOUSANDS.fullmatch(text):
        return f"“{text}” has a thousands mark, so it could be either of two numbers."
    if _NOT_A_NUMBER.fullmatch(text):
        return f"“{text}” is not a number."
    return f"“{text}” is text, not a temperature."
