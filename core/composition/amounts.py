"""Reading one amount as analyses report it: a number, a limit, a range, a trace, nothing.

Where no error is stated none is invented. Where one is, it becomes a standard error:

* ``12.5 ± 0.5`` and ``12.5(5)``: taken as one standard error. Brackets count units of the last
  digit (JCGM 100:2008, Guide to the expression of uncertainty in measurement, 7.2.2).
* ``20 to 30``: anything between is as likely, so the middle with the standard error
  (upper - lower)/sqrt(12) (JCGM 100:2008, 4.3.7).
* ``<0.1``: likewise between none and the limit, so half the limit.
* ``trace``: read as below 0.1 percent (common practice, no source: tables of glass analyses quote
  minor oxides to a tenth or a hundredth of a percent).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import StrEnum

from core.errors import CompositionError, UnitError
from core.units import parse_number

TRACE_LIMIT = 0.1
"""Percent below which a trace is taken to lie (see the module's text)."""

NUMBER = r"[+-]?(?:[0-9][0-9.,]*|\.[0-9][0-9.,]*)(?:[eE][+-]?[0-9]+)?"
DASH = "[-\u2010-\u2015]"
UNIT = (
    r"(?:%|‰|(?:wt\.?\s?|mass\s?)?pp[mb][wm]?\b(?:\s?\(?(?:by\s)?(?:wt|weight|mass)\b\.?\)?)?"
    r"|mol(?:e|ar)?\s?ppm\b|[mµμu]g\s?/\s?k?g\b|g\s?/\s?(?:100\s?g|kg)\b)"
)
_LESS = r"(?:<\s?=?|[≤⩽≲]|(?:less than|below|under|up to|at most|max\.?)(?=[\s\d.]))"
_MORE = r"(?:>\s?=?|[≥⩾≳]|(?:more than|above|over|at least|min\.?)(?=[\s\d.]))"
# In lower case only: “Ca 7” is calcium.
_ABOUT = r"(?:[~≈]|(?-i:ca|c|circa|approx|approximately|about|roughly)(?:\.\s?|\s))"
_PLUS_MINUS = r"(?:±|\+\s?/\s?-|\+-)"
_U = rf"(?:\s*{UNIT})?"

_NOTHING = (
    r"(?:n\.?\s?d\.?|not detected|not determined|none(?: detected)?|nil|absent"
    r"|b\.?\s?d\.?(?:\s?l\.?)?"
    r"|below detection(?: limit)?|<\s?(?:d\.?l\.?|l\.?o\.?[dq]\.?|mdl|bdl))"
)
_UNKNOWN = (
    r"(?:n\.\s?a\.?|n/a|na|NA|n\.?\s?m\.?|not (?:analy[sz]ed|measured|given|reported|available))"
)
_TRACE = r"(?:traces?|tr\.?)"
_BLANK = rf"(?:{DASH}{{1,3}}|\.{{2,3}}|…)"

WORDS = rf"(?:{_NOTHING}|{_TRACE}|{_UNKNOWN})"
"""Words that stand where a number would."""
AMOUNT = (
    rf"(?:(?:{_LESS}|{_MORE}|{_ABOUT})\s*{NUMBER}{_U}"
    rf"|(?:from|between)\s+{NUMBER}{_U}\s*(?:to|and|{DASH})\s*{NUMBER}{_U}"
    rf"|{NUMBER}{_U}\s*(?:{DASH}|to\b|\.\.\.?|…)\s*{NUMBER}{_U}"
    rf"|{NUMBER}{_U}\s*\(\s*{_PLUS_MINUS}\s*{NUMBER}{_U}\s*\){_U}"
    rf"|{NUMBER}{_U}\s*{_PLUS_MINUS}\s*{NUMBER}{_U}(?:\s?rel(?:ative|\.)?)?"
    rf"|{NUMBER}\s?\(\s?{NUMBER}\s?\){_U}"
    rf"|{NUMBER}{_U})"
)
"""One amount with a number in it, for readers that pick amounts out of running text."""

_N, _M = f"(?P<first>{NUMBER})", f"(?P<second>{NUMBER})"
_FORMS = {
    "plain": re.compile(_N),
    "less": re.compile(rf"{_LESS}\s*{_N}", re.IGNORECASE),
    "more": re.compile(rf"{_MORE}\s*{_N}", re.IGNORECASE),
    "about": re.compile(rf"{_ABOUT}\s*{_N}", re.IGNORECASE),
    "range": re.compile(
        rf"{_N}\s*(?:{DASH}|to\b|\.\.\.?|…)\s*{_M}|(?:from|between)\s+"
        rf"(?P<low>{NUMBER})\s*(?:to|and|{DASH})\s*(?P<high>{NUMBER})",
        re.IGNORECASE,
    ),
    "error": re.compile(
        rf"{_N}\s*(?P<bracket>\()?\s*{_PLUS_MINUS}\s*{_M}\s*(?(bracket)\))", re.IGNORECASE
    ),
    "relative": re.compile(rf"{_N}\s*{_PLUS_MINUS}\s*{_M}\s*rel(?:ative|\.)?", re.IGNORECASE),
    "brackets": re.compile(rf"(?P<first>[0-9]+(?:[.,][0-9]*)?)\s?\(\s?{_M}\s?\)"),
}
_NOTHING_WORDS = re.compile(rf"{_NOTHING}|{_BLANK}", re.IGNORECASE)
_UNKNOWN_WORDS = re.compile(_UNKNOWN, re.IGNORECASE)
_TRACE_WORDS = re.compile(_TRACE, re.IGNORECASE)
_UNITS = re.compile(UNIT, re.IGNORECASE)
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:,[0-9]{3})+")
_PLAIN = str.maketrans("₀₁₂₃₄₅₆₇₈₉−\u00a0\u2009\u202f\ufeff", "0123456789-    ")


class Unit(StrEnum):
    """What an amount counts."""

    PERCENT = "%"
    PER_MILLE = "‰"
    PPM = "ppm"
    PPB = "ppb"
    MOLE_PPM = "mol ppm"

    @property
    def percent(self) -> float:
        """Percent in one of this unit."""
        return {"%": 1.0, "‰": 0.1, "ppb": 1e-7}.get(self.value, 1e-4)


class AmountKind(StrEnum):
    """How an amount was read."""

    NUMBER = "number"
    NOTHING = "nothing"
    UNKNOWN = "unknown"
    TRACE = "trace"
    LIMIT = "limit"
    RANGE = "range"
    ERROR = "error"
    ABOUT = "about"


@dataclass(frozen=True)
class Amount:
    """An amount as read.

    Attributes
    ----------
    value : float
        Percent.
    error : float
        Standard error [percent]; 0 where none is known.
    kind : AmountKind
    unit : Unit
        As given.
    text : str
        As written.
    """

    value: float
    error: float = 0.0
    kind: AmountKind = AmountKind.NUMBER
    unit: Unit = Unit.PERCENT
    text: str = ""

    @property
    def is_exact(self) -> bool:
        """True for a plain number of percent, with nothing to tell."""
        return self.kind is AmountKind.NUMBER and self.unit is Unit.PERCENT


def unit_named(text: str) -> Unit | None:
    """The unit a word or bracket names, ``None`` if it names none."""
    word = " ".join(text.casefold().replace("μ", "µ").strip(" ()[]").split())
    if not _UNITS.fullmatch(word):
        return None
    tight = word.replace(" ", "")
    if tight.startswith("mol"):
        return Unit.MOLE_PPM
    if tight in {"%", "g/100g"}:
        return Unit.PERCENT
    if tight in {"‰", "g/kg", "mg/g"}:
        return Unit.PER_MILLE
    if "ppb" in tight or tight in {"µg/kg", "ug/kg"}:
        return Unit.PPB
    return Unit.PPM


def read_amount(text: str, owner: str, unit: Unit | None = None) -> Amount:
    """Read an amount.

    Parameters
    ----------
    text : str
        One cell or phrase, such as ``"72,5"``, ``"450 ppm"``, ``"<0.1"``, ``"tr."``, ``"20–30"``.
    owner : str
        The oxide it belongs to, for messages.
    unit : Unit, optional
        Of numbers that name none themselves; default percent.

    Raises
    ------
    CompositionError
        It cannot be read with certainty; ``field`` is the owner.
    """
    # The common case, and the only one that matters for speed.
    if unit is None and len(text) < 16 and text.isascii() and text.replace(".", "", 1).isdecimal():
        return Amount(float(text), text=text)
    written = " ".join(text.translate(_PLAIN).split())
    body, named = _without_units(written, owner)
    if named is not None and unit is not None and named is not unit:
        raise _unreadable(
            written,
            owner,
            f"says {named.value}, but the column is in {unit.value}",
            "Give it in the unit of its column.",
        )
    chosen = named or unit or Unit.PERCENT
    worded = _read_words(written, body, owner, chosen)
    if worded is not None:
        return worded
    for form, pattern in _FORMS.items():
        found = pattern.fullmatch(body)
        if found is not None:
            first, second = (
                (found["low"], found["high"])
                if form == "range" and found["low"]
                else (found["first"], found.groupdict().get("second") or "")
            )
            kind, value, error = _FORM_READERS[form](written, owner, first, second, chosen)
            if not (math.isfinite(value) and math.isfinite(error)):
                raise _unreadable(written, owner, "is too large", "Check the digits.")
            scale = chosen.percent
            return Amount(value * scale, error * scale, kind, chosen, written)
    if any(c.isdigit() for c in body) and ("," in body or "." in body):
        _number(body, owner, chosen)  # says more of what is wrong with it
    raise _unreadable(written, owner, "is not an amount", "Type a plain number, such as 12.5.")


def decimal_marks(text: str) -> set[str]:
    """Which of ``.`` and ``,`` stand in the numbers of an amount."""
    return {c for number in re.findall(NUMBER, text) for c in number if c in ".,"}


def _without_units(written: str, owner: str) -> tuple[str, Unit | None]:
    """The amount without its units, and the one unit they all name."""
    units = {unit_named(found.group()) for found in _UNITS.finditer(written)} - {None}
    if len(units) > 1:
        raise _unreadable(written, owner, "names two units", "Leave one of the two.")
    body = " ".join(_UNITS.sub(" ", written).split())
    return body, next(iter(units), None)


def _read_words(written: str, body: str, owner: str, unit: Unit) -> Amount | None:
    if not body or _NOTHING_WORDS.fullmatch(body):
        return Amount(0.0, 0.0, AmountKind.NOTHING, unit, written)
    if _UNKNOWN_WORDS.fullmatch(body):
        return Amount(0.0, 0.0, AmountKind.UNKNOWN, unit, written)
    if not _TRACE_WORDS.fullmatch(body):
        return None
    if unit is not Unit.PERCENT:
        raise _unreadable(
            written,
            owner,
            f"says nothing of an amount in {unit.value}",
            "Write the limit of detection, such as <10.",
        )
    half = TRACE_LIMIT / 2.0
    return Amount(half, _uniform(TRACE_LIMIT), AmountKind.TRACE, unit, written)


def _uniform(width: float) -> float:
    return width / math.sqrt(12.0)


_Read = tuple[AmountKind, float, float]


def _plain(written: str, owner: str, first: str, second: str, unit: Unit) -> _Read:
    del written, second
    return AmountKind.NUMBER, _number(first, owner, unit), 0.0


def _about(written: str, owner: str, first: str, second: str, unit: Unit) -> _Read:
    del written, second
    return AmountKind.ABOUT, _number(first, owner, unit), 0.0


def _less(written: str, owner: str, first: str, second: str, unit: Unit) -> _Read:
    del second
    limit = _number(first, owner, unit)
    if limit <= 0:
        raise _unreadable(written, owner, "is no possible limit", "Leave the oxide out if none.")
    return AmountKind.LIMIT, limit / 2.0, _uniform(limit)


def _more(written: str, owner: str, first: str, second: str, unit: Unit) -> _Read:
    del first, second, unit
    raise _unreadable(
        written, owner, "has no upper end", "Give a range, such as 20 to 30, or the amount."
    )


def _range(written: str, owner: str, first: str, second: str, unit: Unit) -> _Read:
    low, high = _number(first, owner, unit), _number(second, owner, unit)
    if not 0 <= low <= high:
        raise _unreadable(
            written, owner, "does not run upwards from 0", "Write the smaller number first."
        )
    return AmountKind.RANGE, (low + high) / 2.0, _uniform(high - low)


def _error(written: str, owner: str, first: str, second: str, unit: Unit) -> _Read:
    value, error = _number(first, owner, unit), _number(second, owner, unit)
    if error < 0:
        raise _unreadable(written, owner, "has a negative error", "Write it without its sign.")
    return AmountKind.ERROR, value, error


def _relative(written: str, owner: str, first: str, second: str, unit: Unit) -> _Read:
    kind, value, error = _error(written, owner, first, second, unit)
    return kind, value, value * error / 100.0


def _brackets(written: str, owner: str, first: str, second: str, unit: Unit) -> _Read:
    if decimal_marks(second):
        return _error(written, owner, first, second, unit)
    kind, value, error = _error(written, owner, first, second, unit)
    decimals = len(re.split("[.,]", first)[1]) if decimal_marks(first) else 0
    return kind, value, error * 10.0**-decimals


_FORM_READERS = {
    "plain": _plain,
    "less": _less,
    "more": _more,
    "about": _about,
    "range": _range,
    "error": _error,
    "relative": _relative,
    "brackets": _brackets,
}


def _number(text: str, owner: str, unit: Unit) -> float:
    if unit is not Unit.PERCENT and _THOUSANDS.fullmatch(text):
        tight = text.replace(",", "")
        raise _unreadable(
            text,
            owner,
            f"could be {text.replace(',', '.', 1)} or {tight} {unit.value}",
            f"Write {tight} without thousands marks, or use a decimal point.",
        )
    try:
        return parse_number(text, field=owner)
    except UnitError as error:
        raise CompositionError(
            f"The amount of {owner} cannot be read: {error.message}",
            field=owner,
            remedy=error.remedy,
        ) from error


def _unreadable(written: str, owner: str, why: str, remedy: str) -> CompositionError:
    return CompositionError(f"{owner}: “{written}” {why}.", field=owner, remedy=remedy)
