"""Names of loggers' files that differ by date or number only, as one pattern."""

from __future__ import annotations

import fnmatch
import re
from collections.abc import Iterable

_VARYING = re.compile(r"\d+(?:[-_.:T ]+\d+)*")
"""Numbers, and dates and times made of them."""
_SPECIAL = re.compile(r"([\[\]*?])")


def file_pattern(name: str) -> str:
    """Pattern of a file's name: what varies from night to night becomes ``*``.

    ``"lehr 2026-03-14 2130.csv"`` gives ``"lehr *.csv"``. A name without numbers is its own
    pattern. Characters that mean something in patterns are kept as themselves.
    """
    parts = _VARYING.split(name)
    return "*".join(_SPECIAL.sub(r"[\1]", part) for part in parts)


def matches(name: str, pattern: str) -> bool:
    """Tell whether a file's name fits a pattern; capitals do not matter."""
    return fnmatch.fnmatchcase(name.casefold(), pattern.casefold())


def best_pattern(name: str, patterns: Iterable[str]) -> str | None:
    """Find the pattern that says most about a file's name among those that fit, if any."""
    fitting = [pattern for pattern in patterns if matches(name, pattern)]
    return max(fitting, key=lambda pattern: len(pattern.replace("*", "")), default=None)
