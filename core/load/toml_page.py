"""A page of TOML text: read from a small file, with every fault placed in it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from core.errors import LoadError, Place

LARGEST_FILE = 1_000_000
"""Bytes; a load file is a page of text."""


def page_of_text(path: Path) -> str:
    """The text of a small UTF-8 file.

    Raises
    ------
    LoadError
        If it is not there, not a file, not text, or more than a page could be.
    """
    try:
        if path.is_dir():
            raise LoadError(
                "This is a folder, not a file.",
                place=Place(str(path)),
                remedy="Name the file inside it.",
            )
        # One byte more tells a file that is too large, even one that never ends.
        with path.open("rb") as stream:
            data = stream.read(LARGEST_FILE + 1)
        if len(data) > LARGEST_FILE:
            raise LoadError(
                "This file is too large to be a page of text.",
                place=Place(str(path)),
                remedy="Choose a file such as those in schedules.",
            )
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except FileNotFoundError as error:
        raise LoadError(
            "There is no such file.", place=Place(str(path)), remedy="Check the name."
        ) from error
    except UnicodeDecodeError as error:
        raise LoadError(
            "This is not a text file.", place=Place(str(path)), remedy="Save it as UTF-8 text."
        ) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name is not possible"
        raise LoadError(f"The file cannot be read ({reason}).", place=Place(str(path))) from error


def toml_table(text: str, file: str | None) -> Mapping[str, Any]:
    """The table a TOML text holds.

    Raises
    ------
    LoadError
        If it is not TOML, with line and column.
    """
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise LoadError(
            "The tables or lists are nested far too deep.",
            place=Place(file),
            remedy="See schedules for what a load file looks like.",
        ) from error
    except ValueError as error:
        found = re.search(r"\(at line (\d+), column (\d+)\)", str(error))
        message = re.sub(r"\s*\(at .*\)$", "", str(error))
        if not isinstance(error, tomllib.TOMLDecodeError):
            message = "a whole number has thousands of digits"
        place = Place(file, int(found[1]), found[2]) if found else Place(file)
        raise LoadError(f"The text is not valid TOML: {message}.", place=place) from error
