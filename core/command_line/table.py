"""Plain text tables and JSON for the terminal."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any


def columns(rows: Sequence[Sequence[str]], *, right: Sequence[int] = ()) -> str:
    """Rows of text in columns two spaces apart.

    Parameters
    ----------
    rows : sequence of sequence of str
        All of the same length.
    right : sequence of int
        Columns set flush right.
    """
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = [
            cell.rjust(width) if i in right else cell.ljust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
    return "\n".join(lines)


def as_json(value: dict[str, Any]) -> str:
    """JSON for machines: no NaN, sorted as given, plain ASCII so that no code page spoils it."""
    return json.dumps(value, indent=2, allow_nan=False)
