"""An analysis in wt% or mol%, checked and normalised to 100."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from core.composition.oxides import GLASS_FORMERS, MOLAR_MASS, canonical_oxide, listing_order
from core.errors import CompositionError

QUIET_TOTAL = (98.0, 102.0)
"""Totals an honest analysis reaches; others are scaled with a warning (common practice)."""
POSSIBLE_TOTAL = (90.0, 110.0)
"""Totals beyond which an oxide is missing or mistyped: refused. Our choice: rounding, a missing
minor oxide and a poor analysis stay within 10 %, a slipped decimal point or line does not."""


class Basis(StrEnum):
    """What the percentages are percent of."""

    WEIGHT = "wt%"
    MOLE = "mol%"


def _percent(amounts: Mapping[str, float]) -> dict[str, float]:
    total = math.fsum(amounts.values())
    return {oxide: 100.0 * amount / total for oxide, amount in amounts.items()}


def _listed(amounts: Mapping[str, float]) -> Mapping[str, float]:
    return MappingProxyType(dict(sorted(amounts.items(), key=lambda pair: listing_order(pair[0]))))


@dataclass(frozen=True)
class Composition:
    """What a glass is made of. Make one with :meth:`from_percent` or the text parser.

    Attributes
    ----------
    weight_percent : Mapping of str to float
        Read-only; by canonical oxide in listing order, adding up to 100, zeros left out.
    original_total : float
        What the percentages added up to as entered, in ``basis``.
    basis : Basis
        How it was entered.
    warnings : tuple of str
        Plain sentences, such as one on a total far from 100.
    uncertainty : Mapping of str to float
        Read-only; standard error [wt%] by canonical oxide in listing order, only where one is
        known. Those of the amounts as entered, on the scale of ``weight_percent`` and independent
        of one another: whoever varies them normalises to 100 afterwards. An oxide that
        ``weight_percent`` leaves out may have one (0 ± 0.1).
    notes : tuple of str
        How each entry that is not a plain percentage of an oxide was read, in plain sentences.
        Two readings that come to the same composition are equal, whatever their notes.

    Raises
    ------
    CompositionError
        If the percentages are not known oxides with positive amounts that add up to 100, or a
        standard error is not a positive number of a known oxide.
    """

    weight_percent: Mapping[str, float]
    original_total: float = 100.0
    basis: Basis = Basis.WEIGHT
    warnings: tuple[str, ...] = ()
    uncertainty: Mapping[str, float] = field(default_factory=dict)
    notes: tuple[str, ...] = field(default=(), compare=False)

    def __post_init__(self) -> None:
        given = dict(self.weight_percent)
        for oxide, amount in given.items():
            if oxide not in MOLAR_MASS or not (math.isfinite(amount) and amount > 0):
                raise CompositionError(f"{oxide} cannot be {amount:g} wt%.", field=oxide)
        errors = dict(self.uncertainty)
        for oxide, error in errors.items():
            if oxide not in MOLAR_MASS or not (math.isfinite(error) and error > 0):
                raise CompositionError(
                    f"The error of {oxide} cannot be {error:g} wt%.", field=oxide
                )
        if not math.isclose(math.fsum(given.values()), 100.0, abs_tol=1e-6):
            raise CompositionError(
                "The weight percentages do not add up to 100.", remedy="Use from_percent."
            )
        object.__setattr__(self, "weight_percent", _listed(given))
        object.__setattr__(self, "uncertainty", _listed(errors))

    def __hash__(self) -> int:
        errors = tuple(self.uncertainty.items())
        return hash((tuple(self.weight_percent.items()), self.original_total, self.basis, errors))

    def __reduce__(self) -> tuple[type[Composition], tuple[object, ...]]:
        # A mapping proxy can be neither pickled nor deep-copied by itself.
        plain, errors = dict(self.weight_percent), dict(self.uncertainty)
        rest = (self.original_total, self.basis, self.warnings, errors, self.notes)
        return (type(self), (plain, *rest))

    @classmethod
    def from_percent(cls, amounts: Mapping[str, float], basis: Basis = Basis.WEIGHT) -> Composition:
        """Check an analysis and normalise it to 100.

        Parameters
        ----------
        amounts : Mapping of str to float
            Percent of each oxide in ``basis``; any spelling and order, zeros allowed.
        basis : Basis
            Whether the amounts are weight or mole percent.

        Raises
        ------
        CompositionError
            Empty; an unknown oxide or one given twice; a negative amount or not a number;
            no glass former; a total outside 90-110. ``field`` names the oxide.
        """
        entered: dict[str, float] = {}
        for text, amount in amounts.items():
            oxide = canonical_oxide(text)
            if oxide in entered:
                raise CompositionError(
                    f"{oxide} is given twice.", field=oxide, remedy="Leave one of the two."
                )
            if not math.isfinite(amount):
                raise CompositionError(
                    f"{oxide} is not a number.", field=oxide, remedy="Type its percentage."
                )
            if amount < 0:
                raise CompositionError(
                    f"{oxide} is {amount:g} %, and an amount cannot be negative.",
                    field=oxide,
                    remedy="Correct it or leave it out.",
                )
            if amount > POSSIBLE_TOTAL[1]:
                raise CompositionError(
                    f"{oxide} is {amount:.6g} %, more than a whole glass.",
                    field=oxide,
                    remedy="Check the decimal point; amounts are in percent.",
                )
            entered[oxide] = float(amount)
        entered = {o: entered[o] for o in sorted(entered, key=listing_order) if entered[o] > 0}
        if not entered:
            raise CompositionError(
                "The analysis is empty.", remedy="Enter oxides, such as SiO2 72, Na2O 14, CaO 10."
            )
        total = math.fsum(entered.values())
        warnings = _check_total(total, basis)
        if not any(former in entered for former in GLASS_FORMERS):
            raise CompositionError(
                "There is no glass former (SiO2, B2O3, P2O5 or GeO2) in the analysis.",
                field="SiO2",
                remedy="Add the silica.",
            )
        if basis is Basis.MOLE:
            weights = {oxide: mole * MOLAR_MASS[oxide] for oxide, mole in entered.items()}
        else:
            weights = entered
        # An amount too small to be left after scaling is none.
        percent = {oxide: value for oxide, value in _percent(weights).items() if value > 0}
        return cls(percent, total, basis, warnings)

    @property
    def mole_percent(self) -> dict[str, float]:
        """Mole percent of each oxide, adding up to 100, in listing order."""
        return _percent({o: w / MOLAR_MASS[o] for o, w in self.weight_percent.items()})

    @property
    def as_entered(self) -> dict[str, float]:
        """Amounts as they were entered, in ``basis``, adding up to ``original_total``."""
        percent = self.weight_percent if self.basis is Basis.WEIGHT else self.mole_percent
        return {oxide: value * self.original_total / 100.0 for oxide, value in percent.items()}

    def weight(self, oxide: str) -> float:
        """Weight percent of an oxide; 0 when the glass has none of it."""
        return self.weight_percent.get(oxide, 0.0)

    def to_text(self) -> str:
        """Amounts as they were entered, e.g. ``"SiO2 70.1, Na2O 16.2, CaO 13.7 wt%"``.

        The parser reads it back to the same composition (to six figures).
        """
        pairs = ", ".join(f"{oxide} {value:.6g}" for oxide, value in self.as_entered.items())
        return f"{pairs} {self.basis.value}"


def _check_total(total: float, basis: Basis) -> tuple[str, ...]:
    low, high = POSSIBLE_TOTAL
    if not low <= total <= high:
        raise CompositionError(
            f"The analysis adds up to {total:.6g} {basis.value}, far from 100.",
            field="total",
            remedy=f"Between {low:g} and {high:g} it can be scaled; look for an oxide left out, "
            "typed twice or with a slipped decimal point.",
        )
    low, high = QUIET_TOTAL
    if low <= total <= high:
        return ()
    scaled = "every oxide was scaled so that the total is 100."
    return (f"The analysis adds up to {total:.6g} {basis.value}; {scaled}",)
