"""Words, numbers and separators of a line of an analysis, each with its column."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from dataclasses import dataclass

from core.composition.amounts import AMOUNT, DASH, UNIT, WORDS
from core.composition.names import name_phrases

# One character for one, so that columns stay true.
_PLAIN = str.maketrans("₀₁₂₃₄₅₆₇₈₉\u2212\u00a0\u2009\u202f\ufeff", "0123456789-    ")
_END = r"(?=[\s,;|:=()\[\]{}\"%‰]|$)"
_IRON = (
    r"(?:(?:total|all)\s+)?(?:iron|fe)\s+as\s+(?:feo|fe2o3)|(?:total|all)\s+(?:feo|fe2o3)"
    r"|(?:feo|fe2o3)\s?\(\s?(?:t|tot\.?|total)\s?\)"
)


@dataclass(frozen=True)
class Token:
    """A piece of a line.

    Attributes
    ----------
    kind : str
        ``"amount"``, ``"void"`` (a word where a number would stand), ``"dash"``, ``"unit"``,
        ``"word"``, ``"comma"`` or ``"cell"`` (tab, semicolon, bar).
    text : str
    line, column : int
        From 1.
    quoted : bool
        A quotation mark stands before it.
    """

    kind: str
    text: str
    line: int
    column: int
    quoted: bool = False


@functools.cache
def _pattern() -> re.Pattern[str]:
    names = "|".join(
        re.escape(name).replace(r"\ ", r"[ _]+").replace(r"\(", r"\s?\(") for name in name_phrases()
    )
    return re.compile(
        rf"(?P<cell>[\t;|])|(?P<comma>,)|(?P<name>(?:{_IRON}|{names}){_END})"
        rf"|(?P<amount>{AMOUNT}{_END})|(?P<unit>{UNIT}{_END})|(?P<void>{WORDS}{_END})"
        rf"|(?P<dash>(?:{DASH}{{1,3}}|…|\.{{2,3}}){_END})"
        r"|(?P<word>[^\s;|:=()\[\]{}\",%‰<>≤≥±~≈]+|[<>≤≥±~≈])|.",
        re.IGNORECASE,
    )


def plain(text: str) -> str:
    """The text with plain digits, minus signs and spaces, character for character."""
    return text.translate(_PLAIN)


def tokens(line: str, number: int) -> Iterator[Token]:
    """Split a line into tokens; spaces, brackets, colons, quotes, equals signs only part."""
    for found in _pattern().finditer(line):
        kind = found.lastgroup
        if kind is None:
            continue
        text = found.group()
        if kind == "amount":
            text = text.rstrip(",")
        quoted = found.start() > 0 and line[found.start() - 1] == '"'
        yield Token("word" if kind == "name" else kind, text, number, found.start() + 1, quoted)
        if len(text) < len(found.group()):
            yield Token("comma", ",", number, found.start() + len(text) + 1)
