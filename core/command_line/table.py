"""Plain text tables and JSON for the terminal."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from core.glass.glass import Estimate


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


def estimate_json(
    key: str,
    estimate: Estimate | None,
    *,
    factor: float = 1.0,
    shift: float = 0.0,
    digits: int | None = None,
) -> dict[str, float | None]:
    """Value, low and high of an estimate under ``key``, ``key_low`` and ``key_high``.

    Each times ``factor`` plus ``shift``, rounded where ``digits`` are given; ``None`` where it is
    not known.
    """

    def shown(value: float | None) -> float | None:
        if value is None:
            return None
        scaled = value * factor + shift
        return scaled if digits is None else round(scaled, digits)

    ends = (None,) * 3 if estimate is None else (estimate.value, estimate.low, estimate.high)
    return {f"{key}{end}": shown(v) for end, v in zip(("", "_low", "_high"), ends, strict=True)}
