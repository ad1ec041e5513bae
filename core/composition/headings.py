"""What the heading of a column (or a word in a text) says: the oxide, its unit, amount or error."""

from __future__ import annotations

import re
from dataclasses import dataclass

from core.composition.amounts import UNIT, Unit, unit_named
from core.composition.counting import Basis
from core.composition.names import Component, find_component

WEIGHT_WORDS = (
    r"(?:\b(?:wt|weight|mass)\.?[ -]?(?:%|percent\b|per cent\b|pct\b)|\bw/w\b|\bw%"
    r"|%\s?(?:by )?(?:wt|weight|mass|w/w)\b)"
)
MOLE_WORDS = (
    r"(?:\bmol(?:e|ar)?\.?[ -]?(?:%|percent\b|per cent\b|pct\b)|%\s?(?:by )?mol(?:e|ar)?\b)"
)
_ERROR_WORDS = (
    r"(?:±|\+\s?/\s?-|\+-|\b(?:std|standard) (?:err(?:or)?|dev(?:iation)?)\b"
    r"|\b(?P<sigmas>[12])?\s?(?:sigma\b|σ|s\b)"
    r"|\b(?:errors?|err|s\.?d|stdev|std|s\.?e|uncertainty)\b\.?)"
)
_EDGE = r"[\s,/.:()\[\]-]"
_PARTS = {
    "weight": re.compile(rf"(?:{WEIGHT_WORDS}|\b(?:wt|weight)\b\.?)", re.IGNORECASE),
    "mole": re.compile(rf"(?:{MOLE_WORDS}|\bmol(?:es?)?\b\.?(?!\s?pp))", re.IGNORECASE),
    "unit": re.compile(UNIT, re.IGNORECASE),
    "error": re.compile(_ERROR_WORDS, re.IGNORECASE),
}
_LONGEST = 80
"""Letters in a heading; what is longer is a sentence."""
_TOTAL_WORDS = {"total", "totals", "sum", "σ", "∑"}


@dataclass(frozen=True)
class Heading:
    """A column that says something of an analysis.

    Attributes
    ----------
    text : str
        As written.
    component : Component
        What is named and the oxide it counts as.
    unit : Unit or None
        Of its numbers; ``None`` where the heading names none (percent then).
    basis : Basis or None
        wt% or mol%, where the heading says so.
    is_error : bool
        The column holds the errors of that oxide, not its amounts.
    sigmas : float
        Standard errors in one of such an error.
    """

    text: str
    component: Component
    unit: Unit | None = None
    basis: Basis | None = None
    is_error: bool = False
    sigmas: float = 1.0

    @property
    def oxide(self) -> str:
        """Canonical oxide; empty for oxygen, loss on ignition and the like."""
        return self.component.oxide

    @property
    def unit_factor(self) -> float:
        """Percent in one of the column's unit."""
        return 1.0 if self.unit is None else self.unit.percent

    @property
    def oxide_factor(self) -> float:
        """Mass of the oxide in a unit mass of what the column names."""
        return self.component.weight_factor


def read_heading(text: str) -> Heading | None:
    """What a heading says, or ``None`` if it names nothing an analysis lists.

    Units and the like may stand on either side, in brackets or behind an underscore:
    ``"Fe2O3 (ppm)"``, ``"SiO2_wt%"``, ``"mol% CaO"``, ``"Na2O ±"``, ``"soda"``, ``"Fe, mg/kg"``.

    Raises
    ------
    CompositionError
        The name has more than one reading (``"sodium"``).
    """
    whole = " ".join(re.sub(r"\(\s*\)|\[\s*\]", " ", text.replace("_", " ")).split())
    if len(whole) > _LONGEST:
        return None
    named = find_component(whole)
    if named is not None:
        return Heading(text.strip(), named)
    unit: Unit | None = None
    basis: Basis | None = None
    is_error, sigmas = False, 1.0
    rest = whole
    while rest:
        taken = _take_part(rest)
        if taken is None:
            return None
        kind, part, rest = taken
        if kind == "unit":
            unit = unit_named(part)
        elif kind == "error":
            is_error = True
            sigmas = 2.0 if "2" in part else 1.0
        else:
            basis = Basis.WEIGHT if kind == "weight" else Basis.MOLE
        named = find_component(rest)
        if named is not None:
            return Heading(text.strip(), named, unit, basis, is_error, sigmas)
    return None


def is_total(text: str) -> bool:
    """Tell the heading of a column of totals."""
    return text.strip().casefold().rstrip(".") in _TOTAL_WORDS


def _take_part(text: str) -> tuple[str, str, str] | None:
    """The unit, basis or error at one end of a heading, and what is left without it."""
    for kind, pattern in _PARTS.items():
        for found in pattern.finditer(text):
            before, after = text[: found.start()], text[found.end() :]
            at_end = not after.strip(" ()[].,:") and (not before or _parted(before[-1], found[0]))
            at_start = not before.strip(" ()[].,:") and (not after or _parted(found[0], after[0]))
            if at_end or at_start:
                rest = before if at_end else after
                return kind, found[0], _bare(rest)
    return None


def _parted(left: str, right: str) -> bool:
    """Whether two neighbours belong to different words (``CaO|%``, ``CaO |ppm``, ``±|CaO``)."""
    edges = re.match(_EDGE, left[-1]) or re.match(_EDGE, right[0])
    return bool(edges) or right[0] in "%‰±σ" or left[-1] in "%‰±σ"


def _bare(text: str) -> str:
    """A name without the brackets and commas its unit stood in; ``(T)`` of total iron stays."""
    rest = text.strip(" ,/.:-[]")
    while rest.count("(") > rest.count(")") and rest.endswith("("):
        rest = rest[:-1].strip(" ,/.:-[]")
    if rest.startswith("(") and rest.endswith(")"):
        rest = rest[1:-1]
    return rest.strip(" ,/.:-[]")
