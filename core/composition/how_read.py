"""Sentences on how the odd entries of an analysis were read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from core.composition.amounts import TRACE_LIMIT, Amount, AmountKind, Unit
from core.composition.names import Component, NameKind

Entry = tuple[Component, Amount]


def notes_on(entries: Sequence[Entry], *, blanks: bool = True) -> tuple[str, ...]:
    """One sentence for each kind of odd entry.

    Parameters
    ----------
    entries : sequence of (Component, Amount)
    blanks : bool
        Whether cells left blank are worth a word; not where blank is the rule for none.
    """
    if all(amount.is_exact and named.kind is NameKind.OXIDE for named, amount in entries):
        return ()
    said = [_names(entries), _iron(entries), _converted(entries), _left_out(entries)]
    counted = [(named, amount) for named, amount in entries if named.oxide]
    by_kind: dict[AmountKind, list[Entry]] = {}
    for named, amount in counted:
        by_kind.setdefault(amount.kind, []).append((named, amount))
    for kind, tell in _TELLERS.items():
        group = by_kind.get(kind, [])
        if kind is AmountKind.NOTHING and not blanks:
            group = [(named, amount) for named, amount in group if amount.text]
        if group:
            said.append(tell(group))
    said.append(_small_units(by_kind.get(AmountKind.NUMBER, [])))
    return tuple(sentence for sentence in said if sentence)


def listed(words: Iterable[str]) -> str:
    """``"a"``, ``"a and b"``, ``"a, b and c"``."""
    several = list(dict.fromkeys(words))
    return " and ".join([", ".join(several[:-1]), several[-1]]) if several[1:] else several[0]


def _names(entries: Sequence[Entry]) -> str:
    pairs = [(n.written, n.oxide) for n, _ in entries if n.kind is NameKind.OTHER_NAME]
    return f"Read {listed(f'“{w}” as {o}' for w, o in pairs)}." if pairs else ""


def _iron(entries: Sequence[Entry]) -> str:
    found = [n for n, _ in entries if n.kind is NameKind.TOTAL_IRON]
    return f"“{found[0].written}”: all iron is counted as {found[0].oxide}." if found else ""


def _converted(entries: Sequence[Entry]) -> str:
    wanted = {NameKind.ELEMENT, NameKind.OTHER_OXIDE}
    found = [n for n, _ in entries if n.kind in wanted]
    if not found:
        return ""
    each = listed(f"{n.written} to {n.oxide} (× {n.weight_factor:.4f})" for n in found)
    return f"Converted {each}."


def _left_out(entries: Sequence[Entry]) -> str:
    found = [(n, a) for n, a in entries if n.kind is NameKind.LEFT_OUT and a.value != 0]
    if not found:
        return ""
    each = listed(f"“{n.written}” ({a.value:.4g} %)" for n, a in found)
    return f"Left out, being no oxide of the glass: {each}."


def _nothing(group: Sequence[Entry]) -> str:
    by_text: dict[str, list[str]] = {}
    for named, amount in group:
        by_text.setdefault(amount.text, []).append(named.written)
    each = listed(
        f"{f'“{text}”' if text else 'a blank'} for {listed(names)}"
        for text, names in by_text.items()
    )
    return f"Read as none: {each}."


def _unknown(group: Sequence[Entry]) -> str:
    names = listed(named.written for named, _ in group)
    return f"{names} was not analysed: counted as none, though there may be some."


def _trace(group: Sequence[Entry]) -> str:
    names = listed(named.written for named, _ in group)
    half, error = TRACE_LIMIT / 2, group[0][1].error
    return (
        f"A trace of {names} was read as below {TRACE_LIMIT:g} %: {half:g} % with a standard error "
        f"of {error:.2g} %."
    )


def _limit(group: Sequence[Entry]) -> str:
    each = listed(_with_error(entry) for entry in group)
    return f"A limit was read as half of it, evenly likely from none up to the limit: {each}."


def _range(group: Sequence[Entry]) -> str:
    each = listed(_with_error(entry) for entry in group)
    return f"A range was read as its middle, evenly likely from end to end: {each}."


def _error(group: Sequence[Entry]) -> str:
    said = []
    for relative in (False, True):
        names = [n.written for n, a in group if ("rel" in a.text.casefold()) is relative]
        if names:
            how = "in % of the amount, as it says" if relative else "not in % of the amount"
            said.append(
                f"The error given for {listed(names)} was taken as one standard error, {how}."
            )
    return " ".join(said)


def _about(group: Sequence[Entry]) -> str:
    each = listed(f"{named.written} “{amount.text}”" for named, amount in group)
    return f"No error is given for {each}: the number was taken as it stands."


def _with_error(entry: Entry) -> str:
    named, amount = entry
    return f"{named.written} “{amount.text}” as {amount.value:.3g} ± {amount.error:.2g} %"


def _small_units(group: Sequence[Entry]) -> str:
    found = [(n, a) for n, a in group if a.unit is not Unit.PERCENT]
    if not found:
        return ""
    units = listed(amount.unit.value for _, amount in found)
    each = listed(f"{named.written} {amount.value:.4g} %" for named, amount in found)
    return f"Given in {units}: {each}."


_TELLERS: dict[AmountKind, Callable[[Sequence[Entry]], str]] = {
    AmountKind.NOTHING: _nothing,
    AmountKind.UNKNOWN: _unknown,
    AmountKind.TRACE: _trace,
    AmountKind.LIMIT: _limit,
    AmountKind.RANGE: _range,
    AmountKind.ERROR: _error,
    AmountKind.ABOUT: _about,
}
