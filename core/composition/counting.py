"""Counting the entries of an analysis as oxides, and judging what they add up to."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from enum import StrEnum

from core.composition.amounts import Amount, AmountKind, Unit
from core.composition.how_read import Entry
from core.composition.names import Component, NameKind
from core.composition.oxides import ATOMIC_WEIGHT
from core.errors import CompositionError

QUIET_TOTAL = (98.0, 102.0)
"""Totals an honest analysis reaches; others are scaled with a warning (common practice)."""
POSSIBLE_TOTAL = (90.0, 110.0)
"""Totals beyond which an oxide is missing or mistyped: refused. Our choice: rounding, a missing
minor oxide and a poor analysis stay within 10 %, a slipped decimal point or line does not."""

_ROUNDING = 0.15
"""Percent by which a stated total may miss the sum of oxides rounded to two decimals."""


class Basis(StrEnum):
    """What the percentages are percent of."""

    WEIGHT = "wt%"
    MOLE = "mol%"


def counted(entries: Sequence[Entry], basis: Basis) -> tuple[dict[str, float], dict[str, float]]:
    """Count entries as oxides.

    Parameters
    ----------
    entries : sequence of (Component, Amount)
    basis : Basis
        Of the amounts.

    Returns
    -------
    tuple of dict
        Percent, and standard error in percent where there is one, by canonical oxide.

    Raises
    ------
    CompositionError
        An oxide comes twice, an amount is impossible, or a unit does not go with the basis.
    """
    percent: dict[str, float] = {}
    errors: dict[str, float] = {}
    by: dict[str, Component] = {}
    for named, amount in entries:
        _check_amount(named, amount, basis)
        oxide = named.oxide
        if not oxide:
            continue
        if oxide in by:
            raise given_twice(by[oxide], named)
        by[oxide] = named
        factor = named.mole_factor if basis is Basis.MOLE else named.weight_factor
        percent[oxide] = amount.value * factor
        if amount.error > 0:
            errors[oxide] = amount.error * factor
    iron = next((n for n in by.values() if n.kind is NameKind.TOTAL_IRON), None)
    other = next(
        (n for o, n in by.items() if o in {"FeO", "Fe2O3"} and n is not iron and percent[o] > 0),
        None,
    )
    if iron is not None and other is not None:
        raise CompositionError(
            f"“{iron.written}” counts all iron, and {other.written} is given beside it.",
            field=other.written,
            remedy="Leave one of the two.",
        )
    return percent, errors


def given_twice(first: Component, again: Component) -> CompositionError:
    """The error for an oxide that an analysis names twice."""
    names = {first.written.casefold(), again.written.casefold()}
    how = f", as “{first.written}” and “{again.written}”" if len(names) > 1 else ""
    return CompositionError(
        f"{again.oxide} is given twice{how}.",
        field=again.oxide if len(names) == 1 else again.written,
        remedy="Leave one of the two.",
    )


def _check_amount(named: Component, amount: Amount, basis: Basis) -> None:
    name, value = named.written, amount.value
    if not (math.isfinite(value) and math.isfinite(amount.error)):
        raise CompositionError(
            f"{name} is not a number.", field=name, remedy="Type its percentage."
        )
    if value < 0:
        raise CompositionError(
            f"{name} is {value:g} %, and an amount cannot be negative.",
            field=name,
            remedy="Correct it or leave it out.",
        )
    if max(value, amount.error) > POSSIBLE_TOTAL[1]:
        raise CompositionError(
            f"{name} is {value:.6g} %, more than a whole glass."
            if value > POSSIBLE_TOTAL[1]
            else f"The error of {name} is {amount.error:.6g} %, more than a whole glass.",
            field=name,
            remedy="Check the decimal point; amounts are in percent unless ppm stands beside them.",
        )
    by_mole = basis is Basis.MOLE
    if by_mole and named.kind is NameKind.ELEMENT and amount.kind is not AmountKind.NOTHING:
        raise CompositionError(
            f"{name} is an element: percent of atoms and percent of oxides by mole differ.",
            field=name,
            remedy=f"Give moles of {named.oxide}, or everything by weight.",
        )
    of_weight = amount.unit in {Unit.PPM, Unit.PPB}
    if (by_mole and of_weight) or (not by_mole and amount.unit is Unit.MOLE_PPM):
        raise CompositionError(
            f"{name} is in {amount.unit.value}{' by weight' if of_weight else ''}, the analysis "
            f"in {basis.value}.",
            field=name,
            remedy="Give everything by weight, or everything by mole (mol ppm).",
        )
    if amount.unit is not Unit.PERCENT and name.casefold() in {"lead", "antimony", "arsenic"}:
        raise CompositionError(
            f"“{name}” in {amount.unit.value} could be the element or {named.oxide}.",
            field=name,
            remedy=f"Write its symbol for the element, or {named.oxide}.",
        )


_OXYGEN = {halogen: ATOMIC_WEIGHT["O"] / (2 * ATOMIC_WEIGHT[halogen]) for halogen in ("F", "Cl")}
"""Oxygen that fluorine and chlorine take the place of, but oxides count [g/g]."""


def check_total(
    entered: Mapping[str, float],
    plain: float,
    basis: Basis,
    stated: float | None,
    as_written: float,
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Judge what the oxides add up to.

    The oxygen that fluorine and chlorine take the place of is counted with the oxides of the
    metals; it is taken off the total only where the total needs it.

    Parameters
    ----------
    entered : Mapping of str to float
        Percent by canonical oxide.
    plain : float
        Their sum.
    basis : Basis
    stated : float or None
        The total as printed under the analysis.
    as_written : float
        Sum of all amounts as they stand, elements and what is left out among them.

    Returns
    -------
    tuple of tuple of str
        Warnings, and notes on how the total was reckoned.

    Raises
    ------
    CompositionError
        The total is outside 90-110.
    """
    oxygen = (
        sum(entered.get(h, 0.0) * f for h, f in _OXYGEN.items()) if basis is Basis.WEIGHT else 0
    )
    less = plain - oxygen
    total, notes = plain, tuple[str, ...]()
    low, high = QUIET_TOTAL
    as_stated = stated is not None and abs(stated - less) < abs(stated - plain)
    if oxygen > 0 and (as_stated or (plain > high and abs(less - 100.0) < abs(plain - 100.0))):
        total = less
        halogens = " and ".join(h for h in _OXYGEN if h in entered)
        taken = f"less the oxygen that {halogens} takes the place of ({oxygen:.3g} %)"
        notes = (f"The total is {less:.6g} {basis.value} {taken}.",)
    if not POSSIBLE_TOTAL[0] <= total <= POSSIBLE_TOTAL[1]:
        if 0.01 * POSSIBLE_TOTAL[0] <= total <= 0.01 * POSSIBLE_TOTAL[1]:
            raise CompositionError(
                f"The analysis adds up to {total:.6g}: these are fractions, not {basis.value}.",
                field="total",
                remedy="Multiply every amount by 100.",
            )
        raise CompositionError(
            f"The analysis adds up to {total:.6g} {basis.value}, far from 100.",
            field="total",
            remedy=f"Between {POSSIBLE_TOTAL[0]:g} and {POSSIBLE_TOTAL[1]:g} it can be scaled; "
            "look for an oxide left out, typed twice or with a slipped decimal point.",
        )
    warnings = []
    if not low <= total <= high:
        scaled = "every oxide was scaled so that the total is 100."
        warnings.append(f"The analysis adds up to {total:.6g} {basis.value}; {scaled}")
    if stated is not None and min(abs(stated - total), abs(stated - as_written)) > _ROUNDING:
        warnings.append(
            f"The total is given as {stated:g} but the oxides add up to {total:.6g}: one may be "
            "missing or mistyped."
        )
    return tuple(warnings), notes
