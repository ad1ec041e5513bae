"""Whether a book lies where more than one computer reaches it, and what that puts at risk.

SQLite relies on locks of the file system, and those of network folders are often not kept
(https://www.sqlite.org/lockingv3.html, section 6; https://www.sqlite.org/faq.html, question 5).
"""

from __future__ import annotations

import ctypes
import os
import sys
from pathlib import Path

_KINDS = """
nfs nfs3 nfs4 cifs smb smb2 smb3 smbfs afpfs webdav davfs sshfs 9p afs ncpfs ceph glusterfs lustre
gpfs vboxsf fuse.sshfs fuse.davfs fuse.rclone fuse.ceph fuse.glusterfs
"""
NETWORK = frozenset(_KINDS.split())
"""Kinds of file systems, as the system names them, that lie on another computer."""
_REMOTE = 4
"""DRIVE_REMOTE of GetDriveTypeW."""


def network_kind(path: Path) -> str | None:
    """Kind of network file system a path lies on; ``None`` on one of this computer or unknown.

    Parameters
    ----------
    path : Path
        Need not exist yet.
    """
    path = Path(path).absolute()
    if sys.platform == "win32":
        return _windows(path)
    kind = _mounted(path)
    return kind if kind in NETWORK else None


def place_risk(path: Path) -> str | None:
    """What is at risk where the book lies, in plain sentences; ``None`` if nothing is known."""
    kind = network_kind(path)
    if kind is None:
        return None
    return (
        f"This book lies in a network folder ({kind}). Opened on one computer at a time it is "
        "safe as far as the network is; written to from two at once it can be damaged, and a lost "
        "connection can cost the entry being made. Keep the book on this computer and let the "
        "backups go into the network folder."
    )


def _mounted(path: Path, table: Path = Path("/proc/self/mountinfo")) -> str | None:
    """Kind of the file system a path is on, by the kernel's list of mounts."""
    try:
        lines = table.read_text(encoding="utf-8", errors="surrogateescape").splitlines()
        real = os.path.realpath(path)
    except OSError:
        return None
    best, found = -1, None
    for line in lines:
        # proc(5): ... mount point (field 5) ... "-" kind ...
        fields, _, rest = line.partition(" - ")
        parts = fields.split()
        if len(parts) < 5 or not rest:
            continue
        point = parts[4].encode("latin-1", "replace").decode("unicode_escape")
        inside = real == point or real.startswith(point.rstrip("/") + "/")
        if inside and len(point) >= best:  # a later mount lies over an earlier one
            best, found = len(point), rest.split()[0]
    return found


def _windows(path: Path) -> str | None:
    if path.drive.startswith("\\\\"):
        return "a share"
    kernel = getattr(ctypes, "windll", None)
    if kernel is None:
        return None
    remote = kernel.kernel32.GetDriveTypeW(f"{path.drive}\\") == _REMOTE
    return "a network drive" if remote else None
