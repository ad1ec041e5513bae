"""Where the book lies unless somebody chooses otherwise."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Mapping
from pathlib import Path

from core.errors import BookError

_SERVER = re.compile(
    r"(?:^|[/\\])(?P<scheme>(?:postgres(?:ql)?|mysql|mariadb|mssql|oracle|sqlite|https?|s?ftp|file)"
    r"(?:\+\w+)?):/",
    re.IGNORECASE,
)
"""An address such as ``postgresql://host/name``, also after it was taken for a path in a folder."""
FILE_NAME = "studio book.sqlite"


def default_book_path(
    *,
    platform: str = sys.platform,
    environment: Mapping[str, str] | None = None,
    home: Path | None = None,
) -> Path:
    """Say where the book lies in the user's own data folder; nothing is made.

    Windows: ``%LOCALAPPDATA%`` (not the roaming one: a database must not be copied at log-off);
    macOS: ``~/Library/Application Support``; otherwise ``$XDG_DATA_HOME`` if it is an absolute
    path, else ``~/.local/share`` (XDG Base Directory Specification 0.8).

    Parameters
    ----------
    platform : str
        As :data:`sys.platform`.
    environment : mapping of str to str, optional
        Default: this process's environment.
    home : Path, optional
        Default: the user's home folder.
    """
    variables = os.environ if environment is None else environment
    home = Path.home() if home is None else home
    if platform == "win32":
        given = variables.get("LOCALAPPDATA", "")
        folder = Path(given) if given else home / "AppData" / "Local"
    elif platform == "darwin":
        folder = home / "Library" / "Application Support"
    else:
        given = variables.get("XDG_DATA_HOME", "")
        folder = Path(given) if Path(given).is_absolute() else home / ".local" / "share"
    return folder / "lehrkeeper" / FILE_NAME


def refuse_server(text: str) -> None:
    """Refuse the address of a database server in a path's place.

    Raises
    ------
    BookError
        If it is one. Books are files: settings such as the journal, and how backups are made, are
        chosen for SQLite and tried with it alone.
    """
    found = _SERVER.search(text)
    if found is not None:
        raise BookError(
            f"A book is kept in a file, not on a server ({found['scheme']}).",
            field="path",
            remedy="Give the name of a file.",
        )
